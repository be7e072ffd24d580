package drift

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// Weights say what waiting costs, for the order of findings. All zero: findings are ordered
// by how soon they matter.
type Weights struct {
	Refrigerant float64 // of a kilogram of refrigerant that escapes
	CO2e        float64 // of a tonne of CO2 equivalent
	Energy      float64 // of one percent of a machine's electricity, over a quarter of a year
}

func (w Weights) any() bool { return w.Refrigerant > 0 || w.CO2e > 0 || w.Energy > 0 }

// Outlook fills in what a finding comes to: what is lost a year in tonnes of CO2 equivalent,
// and of an open one the day on which a limit will be met, what would settle its cause, and
// what waiting another quarter of a year costs.
func Outlook(f *table.Finding, s register.System, w Weights) {
	potential := potentialOf(s)
	f.LossCO2e, f.LossCO2eLo, f.LossCO2eHi = f.LossKG*potential, f.LossKGLo*potential, f.LossKGHi*potential
	f.Waiting = math.NaN()
	if f.State != Open {
		return
	}
	meet(f, s)
	f.Settles = settles(*f)
	if w.any() {
		f.Waiting = w.cost(*f, s)
	}
}

// What a feature may come to before it must be seen to. A machine with a fixed opening
// degrades below 90 % of its charge, one with a valve below 80 % (six units of ASHRAE
// RP-1173, as summed up by ORNL); 6 K of a coil's difference are some 15 % of efficiency
// (common practice, no source).
const (
	chargeFixed = 10.0 // % lost
	chargeValve = 20.0
	coilLimit   = 6.0 // K
)

// meeting is a limit with what moves towards it.
type meeting struct {
	limit                float64
	unit                 string
	at, atLo, atHi       float64 // how far it has come
	rate, rateLo, rateHi float64 // a year
}

// towards is what an open finding moves towards; not ok where nothing is known to.
func towards(f table.Finding, s register.System) (m meeting, ok bool) {
	switch f.Kind {
	case ChargeLoss:
		limit := chargeFixed
		if controls(s) {
			limit = chargeValve
		}
		m = meeting{limit, "% of the charge lost", f.Lost, f.LostLo, f.LostHi, f.LossPct, f.LossPctLo, f.LossPctHi}
	case CondenserFouling, EvaporatorFouling:
		m = meeting{coilLimit, "K of the coil's difference", f.Size, f.SizeLo, f.SizeHi, f.PerYear, f.PerYearLo, f.PerYearHi}
	default:
		return m, false
	}
	return m, !math.IsNaN(m.at)
}

// farOff is how many years ahead a day is still told.
const farOff = 10

// meet says on which day a limit will be met, between which days with the intervals of
// what was found; zero where that is further off than anybody can say.
func meet(f *table.Finding, s register.System) {
	m, ok := towards(*f, s)
	if !ok {
		return
	}
	f.Limit = fmt.Sprintf("%.0f %s", m.limit, m.unit)
	if m.at >= m.limit {
		f.Limit += ": met"
		return
	}
	on := func(at, rate float64) time.Time {
		years := math.Max(0, (m.limit-at)/rate)
		if !(rate > 0) || !(years <= farOff) {
			return time.Time{}
		}
		return calendarDay(f.ChangedOn.Add(time.Duration(years * year)))
	}
	f.LimitOn, f.LimitOnLo, f.LimitOnHi = on(m.at, m.rate), on(m.atHi, m.rateHi), on(m.atLo, m.rateLo)
}

// Shares of a machine's electricity that a fault costs: a quarter of the charge costs 15 % of
// efficiency (Kim & Braun 2012), and a kelvin of a coil's difference 2.5 % (common practice,
// no source).
const (
	perLost = 0.6 // % per % of charge
	perCoil = 2.5 // % per K
)

// potentialOf is the tonnes of CO2 equivalent of a kilogram of a system's refrigerant; NaN
// where it has no known global warming potential.
func potentialOf(s register.System) float64 {
	r, err := thermo.Lookup(s.RefrigerantName)
	if err != nil {
		return math.NaN()
	}
	gwp, ok := r.GWP(thermo.GWPAR4)
	if !ok {
		return math.NaN()
	}
	return gwp / 1000
}

// cost is what another quarter of a year of waiting costs, by the weights.
func (w Weights) cost(f table.Finding, s register.System) float64 {
	kg := robust.OrZero(f.LossKG) / 4
	co2e := robust.OrZero(f.LossCO2e) / 4
	lost := 0.0
	switch f.Kind {
	case ChargeLoss:
		lost = perLost * (robust.OrZero(f.Lost) + robust.OrZero(f.LossPct)/8) // the mean of the quarter
	case CondenserFouling, EvaporatorFouling:
		lost = perCoil * math.Max(0, robust.OrZero(f.Size)+robust.OrZero(f.PerYear)/8)
	}
	return w.Refrigerant*kg + w.CO2e*co2e + w.Energy*lost
}

// sureCause is the probability from which on a cause needs no more measuring.
const sureCause = 0.85

// settles names the measurement that would tell a finding's cause from its likeliest
// rival, each with its probability in percent; nothing where the cause is sure enough. What may
// be there at once is not said to be one or the other.
func settles(f table.Finding) string {
	kind, own, rival, most := contest(f)
	if rival == "" || own >= sureCause && most < 1-sureCause {
		return ""
	}
	by, none := partedBy(kind, rival), rival == Unclear
	own, most = 100*own, 100*most
	switch {
	case own+most > 100 && none:
		return fmt.Sprintf("%s (%.0f %% likely), and perhaps something else too (%.0f %% likely): %s", kind, own, most, by)
	case own+most > 100:
		return fmt.Sprintf("%s (%.0f %% likely), and perhaps %s too (%.0f %% likely): %s", kind, own, rival, most, by)
	case none:
		return fmt.Sprintf("%s (%.0f %% likely) or none of the known causes (%.0f %% likely)%s: %s", kind, own, most, elsewhere(100-own-most), by)
	}
	return fmt.Sprintf("%s (%.0f %% likely) or %s (%.0f %% likely)%s: %s", kind, own, rival, most, elsewhere(100-own-most), by)
}

// worthSaying is the percentage that is left over from which on it is said where it goes.
const worthSaying = 5

// elsewhere says where what is left over goes.
func elsewhere(rest float64) string {
	if rest < worthSaying {
		return ""
	}
	return fmt.Sprintf(", the other %.0f %% over what else it may be", rest)
}

// contest is a finding's cause and its likeliest rival, with their probabilities. One that
// names no cause has the likeliest that it may be.
func contest(f table.Finding) (kind string, own float64, rival string, most float64) {
	kind = f.Kind
	for part := range strings.SplitSeq(f.Causes, "; ") {
		at := strings.LastIndex(part, " ")
		if at < 0 {
			continue
		}
		p, err := strconv.ParseFloat(part[at+1:], 64)
		switch name := part[:at]; {
		case err != nil || name == "nothing":
		case name == kind, kind == Starved && slices.Contains(starves, name):
			kind, own = name, p
		case p > most:
			rival, most = name, p
		}
	}
	return kind, own, rival, most
}

// partedBy is the measurement that parts two causes. Sources of the signs: see faults.
func partedBy(a, b string) string {
	pair := func(x, y string) bool { return a == x && b == y || a == y && b == x }
	one := func(x string) bool { return a == x || b == x }
	switch {
	case one(Unclear):
		return single(a, b)
	case pair(ChargeLoss, Restriction), pair(Restriction, Valve):
		return "log the liquid temperature before and after the filter drier and directly before the valve: a drop of more than 1 K is a restriction"
	case one(Gas):
		return "let the machine stand, then compare the pressure with the saturation pressure at the condenser's temperature: an excess is foreign gas"
	case pair(CondenserFouling, Overcharge), pair(ChargeLoss, Overcharge), pair(ChargeLoss, CondenserFouling):
		return "log the liquid temperature at the condenser's outlet: subcooling tells charge from the coil"
	case one(Wear):
		return "log power or current and the discharge temperature with both pressures: a worn compressor does less and gets hotter"
	case one(Valve):
		return "log the valve's opening, or the superheat at the evaporator's outlet, over an hour"
	case one(EvaporatorFouling):
		return "log the air on and off the evaporator, and the superheat at its outlet"
	}
	return "log suction, discharge and liquid temperatures, both pressures and the media's temperatures for an hour"
}

// single is what would tell whether a cause is there at all.
func single(a, b string) string {
	kind := a
	if a == Unclear {
		kind = b
	}
	switch kind {
	case ChargeLoss, Overcharge:
		return "weigh the charge at the next recovery, or look into the sight glass and log the receiver's level"
	case CondenserFouling:
		return "log the air or water on and off the condenser with the fans' speed"
	case EvaporatorFouling:
		return "log the air or water on and off the evaporator"
	case Restriction:
		return "log the liquid temperature before and after the filter drier"
	case Wear:
		return "log power or current with both pressures, and pump down"
	case Gas:
		return "log the pressure at standstill with the condenser's temperature"
	}
	return "log the valve's opening with the superheat at the evaporator's outlet"
}
