package trust

import (
	"math"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// An expectation is what a quantity should be at a visit by the machine's own history, at
// the visit's outdoor and condensing temperature.
type expectation struct {
	mean, sd            float64 // NaN where nothing tells
	outdoor, condensing float64 // how it follows these temperatures, K/K
}

// shown is what a visit shows of a quantity: its mean; of power, its index; of the outdoor
// air of a machine that draws on it, how far it is above that at the coil; of the medium entering the
// condenser, the outdoor air, for the season. NaN unknown.
func (f *Facts) shown(q cycle.Quantity) float64 {
	switch q {
	case lowAtRest, highAtRest, airAtRest:
		return f.atRest(q)
	case cycle.Power:
		return f.powerIndex()
	case cycle.OutdoorTemp:
		return f.mean(q) - f.mean(cycle.EvaporatorAirOn)
	case cycle.CondenserMedium:
		return f.mean(cycle.OutdoorTemp)
	}
	return f.mean(q)
}

// mean is that of a quantity over the settled running machine; NaN unknown.
func (f *Facts) mean(q cycle.Quantity) float64 {
	if f.means != nil {
		return f.means[q]
	}
	if v, ok := f.Mean[q.String()]; ok {
		return v
	}
	return math.NaN()
}

// rowOf are means by quantity, for those who ask for them again and again.
func rowOf(means map[string]float64) *cycle.Row {
	row := cycle.NewRow()
	for q := range row {
		if v, ok := means[cycle.Quantity(q).String()]; ok {
			row[q] = v
		}
	}
	return &row
}

// A slope is by how much a quantity follows a condition, K/K: what is believed before the
// machine has shown it, and how surely. Common practice, no source: superheat and the
// evaporator's difference hardly follow the weather, discharge superheat does, and the
// condenser's difference shrinks where head pressure is held up.
type slope struct{ mean, sd float64 }

// follows is how a quantity follows the outdoor temperature and the condensing one.
func (h history) follows(q cycle.Quantity) (outdoor, condensing slope) {
	switch q {
	case cycle.Superheat:
		return slope{0, 0.12}, slope{0, 0.08}
	case cycle.Subcooling:
		return slope{0, 0.15}, slope{0, 0.12}
	case cycle.EvaporatorTD:
		return slope{0, 0.1}, slope{0, 0.05}
	case cycle.DischargeSuperheat:
		return slope{0.2, 0.4}, slope{0.2, 0.4}
	case cycle.DischargeTemp:
		return slope{0.5, 0.6}, slope{0.5, 0.6}
	case cycle.CondenserTD:
		return slope{-0.5, 0.4}, slope{0, 1e-3}
	case cycle.Power:
		return slope{0, 0.01}, slope{0, 0.01}
	case cycle.OutdoorTemp:
		return slope{0, 0.05}, slope{0, 0.05}
	case lowAtRest, highAtRest:
		return slope{0, 0.05}, slope{0, 1e-3}
	case airAtRest:
		return slope{0.2, 0.3}, slope{0, 1e-3}
	case cycle.Speed:
		return slope{0, 0.7}, slope{0, 1e-3}
	case cycle.SinkInlet: // a building's water is the warmer the colder it is, a tower's the colder
		if h.system.Kind.Heats() {
			return slope{-0.4, 0.2}, slope{0, 1e-3}
		}
		return slope{0.4, 0.2}, slope{0, 1e-3}
	case cycle.Evaporating:
		if h.system.Kind.Heats() || h.now.Mode == Heating {
			return slope{0.8, 0.4}, slope{0, 0.1}
		}
		return slope{0, 0.2}, slope{0, 0.1}
	}
	return slope{0, 0.5}, slope{0, 0.3}
}

// What is believed of a machine's scatter between visits with one set of instruments, and
// of how often a visit is wild. Common practice, no source.
const (
	usualScatter = 0.25 // K
	scatterCount = 4
	wildChance   = 0.1
	wildSpread   = 8.0  // K
	levelSpread  = 15.0 // K
	mostBefore   = 40   // visits that tell, the latest
	sameKit      = 0.1  // of the instruments' uncertainty that moves between visits with one set
	leastSpread  = 0.15 // K
	likeOutdoor  = 10.0 // K: visits beyond say nothing of what follows no single line
)

// unit is how large what is believed of K counts in a quantity's own unit: the index of
// power is a logarithm, and discharge gas scatters more than what the valve controls.
func unit(q cycle.Quantity) float64 {
	switch q {
	case cycle.Power:
		return 0.1
	case airAtRest:
		return 3
	case cycle.DischargeSuperheat, cycle.DischargeTemp, cycle.Speed, cycle.SinkInlet:
		return 2
	}
	return 1
}

// conditions are the outdoor and the condensing temperature of a visit; NaN unknown. Where
// the air was not logged, that of the brine stands in, or the evaporating temperature.
func (f *Facts) conditions() (outdoor, condensing float64) {
	for _, q := range []cycle.Quantity{cycle.OutdoorTemp, cycle.SourceInlet, cycle.Evaporating} {
		if outdoor = f.mean(q); !math.IsNaN(outdoor) {
			break
		}
	}
	return outdoor, f.mean(cycle.Condensing)
}

// expected is what history says of a quantity at this visit.
func (h history) expected(q cycle.Quantity) expectation {
	if e, done := h.known[q]; done {
		return e
	}
	e := h.expect(q)
	if q == cycle.CondenserMedium {
		e = h.season()
	}
	h.known[q] = e
	return e
}

func (h history) expect(q cycle.Quantity) expectation {
	unknown := expectation{mean: math.NaN(), sd: math.NaN()}
	p := h.past(q)
	if _, rests := restOf[q]; rests && len(p.y) < fewestBefore {
		return h.untold(q)
	}
	middle, err := robust.Median(p.y)
	if err != nil || len(p.y) < fewestBefore {
		return unknown
	}
	s1, s2 := h.follows(q)
	k, u := unit(q), h.now.uncertainty(q)
	kits, at, fresh := p.kits(h.now.Fingerprint(), u)
	fit, err := robust.Belief{
		Y: p.y, Columns: append([][]float64{p.one, p.outdoor, p.condensing}, kits.columns...),
		Mean: append([]float64{middle, s1.mean, s2.mean}, make([]float64, len(at))...), SD: append([]float64{levelSpread * k, s1.sd, s2.sd}, kits.sd...),
		Wild: wildChance, WildSD: wildSpread * k, Scatter: usualScatter * k, ScatterWeight: scatterCount,
	}.Fit()
	if err != nil || agreeing(fit) < h.agreed(q, len(p.y)) {
		return unknown // visits that contradict each other are no history
	}
	mean, sd := fit.Along(append([]float64{1, 0, 0}, at...))
	sd = math.Sqrt(sd*sd + fit.Scatter*fit.Scatter + fresh*fresh + math.Pow(sameKit*u, 2) + math.Pow(leastSpread*k, 2))
	return expectation{mean, sd, fit.Coef[1], fit.Coef[2]}
}

// fewestAlike is how many visits must have shown what water enters the condenser and how fast the
// compressor runs, all of them alike: where a machine makes hot water now and then, it is no matter
// of the weather.
const fewestAlike = 4

// agreed is how many visits must agree on a quantity before they say what it should be.
func (h history) agreed(q cycle.Quantity, visits int) int {
	if q == cycle.SinkInlet || q == cycle.Speed {
		return max(fewestAlike, visits)
	}
	return fewestBefore
}

// beside is a condition less that of the visit that is judged: 0 where either is unknown.
func beside(then, now float64) float64 {
	if math.IsNaN(then) || math.IsNaN(now) {
		return 0
	}
	return then - now
}

// level is by how much a quantity differs from what history says, K, and by how many
// standard deviations of that, whether the visit's own rules doubt it or not; NaN where
// nothing tells.
func (h history) level(q cycle.Quantity) (by, spreads float64) {
	e := h.expected(q)
	by = h.now.shown(q) - e.mean
	return by, math.Abs(by) / e.sd
}
