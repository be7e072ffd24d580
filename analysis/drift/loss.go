package drift

import (
	"fmt"
	"math"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A loss is an estimate of charge lost, percent of the system's charge.
type loss struct {
	lost, rate amount // %, %/a
	calibrated int
	note       string
}

// An amount is more than nothing, and its errors are relative ones, so that its logarithm is
// taken for normal.
type amount struct {
	mean float64 // NaN where it cannot be said
	ln   normal
}

// amountOf is how much it is if a gauge fell so far, of which a percent is worth so much, with
// an error of its logarithm. A lognormal amount of mean m and relative standard deviation c has
// the median m/√(1+c²) and the variance ln(1+c²) of its logarithm.
func amountOf(fell reading, per, err float64) amount {
	mean, spread := fell.size/per, math.Log1p(fell.sd*fell.sd/(fell.size*fell.size))
	return amount{mean, normal{math.Log(mean) - spread/2, math.Sqrt(spread + err*err)}}
}

// ends are those of the interval that holds the amount in 90 of 100 cases.
func (a amount) ends() (lo, hi float64) {
	return math.Exp(a.ln.mean - normal90*a.ln.sd), math.Exp(a.ln.mean + normal90*a.ln.sd)
}

// perPercent is how far the charge index SC - 0.4 SH falls per percent of the charge, K:
// the charge sensor of Li & Braun 2009 with its default coefficients (from memory),
// K_ch = SC_r / ((1 - 0.75) * 0.73) for all of the charge, at its rated subcooling of 7.5 K.
// It is not taken in proportion to a machine's own subcooling: liquid that fills a share of
// the condenser comes nearer to the medium by a share of what is left between them, so that
// a percent of the charge is worth about as much whether subcooling is 4 or 8 K.
const perPercent = 7.5 * 0.01 / ((1 - 0.75) * 0.73)

// perSuperheat is how much of the index a kelvin of superheat is, K_sh/sc of the same sensor.
// A valve holds superheat, and subcooling bears all of the loss; behind a fixed opening
// superheat rises 2.5 times as fast as subcooling falls, and each bears half. Superheat is asked
// whatever the register says of the opening: where a valve holds it, it adds nothing, and a
// register that takes an orifice for a valve does not halve the loss.
const perSuperheat = 0.4

// generic is how well that is believed of any one machine, standard deviation of the
// logarithm: published sensitivities are of 0.3 to 0.4 K and more per percent. So far did the rates
// of 78 simulated machines with loggers that stayed lie off their estimates where nothing else had
// gone wrong, and those of 71 that were visited: what one machine is worth, not how its
// values scatter, limits what can be told of a loss that was watched for long.
const generic = 0.22

// spent is the subcooling from which on further loss does not show in it, K.
const spent = 1.0

// steady is how evenly a loss goes on once it cannot be seen, standard deviation of the
// logarithm of its rate (common practice, no source).
const steady = 0.3

// normal90 is the factor on a standard uncertainty within which 90 % of normal errors lie.
const normal90 = 1.6448536269514722

// What limits what can be told of a loss.
const (
	notWeighed = "about %.0f %% of what the receiver held is gone; how much charge that is shows once an addition was weighed"
	noneBehind = "no liquid stands behind the condenser: how much is gone cannot be told from these channels"
	usedUp     = "subcooling is used up: what has gone since is reckoned at the rate before"
)

// An index is the gauges that a loss shows in, each with its share.
type index map[string]float64

// main is the gauge that tells how far a loss has come.
func (of index) main() string {
	if of[Level] != 0 {
		return Level
	}
	return Subcooling
}

// index is what a loss of charge shows in at a system, and by how much it falls per percent.
// That of a receiver's level is not known before an act was weighed: NaN.
func (d diagnosis) index(s register.System) (of index, per float64) {
	if _, ok := d.tracks[Level]; ok {
		return index{Level: 1}, math.NaN()
	}
	if _, ok := d.tracks[Superheat]; ok {
		return index{Subcooling: 1, Superheat: -perSuperheat}, sensitive(s)
	}
	return index{Subcooling: 1}, alone(s)
}

// sensitive is how far the index of a system falls per percent of its charge, K.
func sensitive(s register.System) float64 {
	switch {
	case s.Kind == register.AirConditioning && feeds(s) <= 2:
		return widely * perPercent
	case s.Kind == register.Chiller:
		return largely * perPercent
	}
	return perPercent
}

// widely is how much more a percent is worth at an air conditioner: its condenser is farther
// above the air, so that the same share of it under liquid cools by more (mass and heat
// balances of plants with usual coils; no published source).
const widely = 1.25

// largely is how much more it is worth at a chiller, whose condenser is large against the rest of
// it (tilt): the losses of 32 simulated ones were overstated by so much, those of 21 with loggers that
// stayed and of 11 that were visited alike (no published source).
const largely = 1.13

// alone is how far subcooling falls by itself.
func alone(s register.System) float64 {
	if feeds(s) > 2 {
		return sensitive(s) / 2
	}
	return sensitive(s)
}

// loss turns what was found of subcooling into charge.
func (w *weighing) loss(d diagnosis, x *suspect) loss {
	unknown := amount{math.NaN(), normal{math.NaN(), math.NaN()}}
	out := loss{lost: unknown, rate: unknown}
	of, per := d.index(w.system)
	tr, ok := d.tracks[of.main()]
	if !ok || tr.healthy(x.best.onset) < noLiquid {
		out.note = noneBehind
		return out
	}
	seen := w.look(d, x, of)
	per, err, n := w.sensitivity(seen, per)
	if out.calibrated = n; math.IsNaN(per) {
		out.note = fmt.Sprintf(notWeighed, 100*math.Min(1, -seen.gone.size/tr.healthy(x.best.onset)))
		return out
	}
	if -seen.rate.size > seen.rate.sd { // else nothing is known of its size
		out.rate = amountOf(seen.rate.times(-1), per, err)
	}
	if seen.gone.size < 0 {
		out.lost = amountOf(seen.gone.times(-1), per, err)
	}
	if seen.hidden > 0.5 {
		out.note = usedUp
	}
	return out
}

// fill writes the estimate down.
func (l loss) fill(c *table.Cause) {
	c.Lost, c.LossPct, c.CalibratedBy, c.Note = l.lost.mean, l.rate.mean, int64(l.calibrated), l.note
	c.LostLo, c.LostHi = l.lost.ends()
	c.LossPctLo, c.LossPctHi = l.rate.ends()
}

// weighed is how well a booked amount is believed, of it: scales and what hoses hold
// (common practice, no source). One amount in slips, a line about another machine, a
// decimal mark or a unit, says next to nothing.
const (
	weighed = 0.1
	slips   = 0.15
	slipped = 1.0 // standard deviation of the logarithm of such an amount
)

// leastStep is how many times its own uncertainty a step must be to calibrate.
const leastStep = 3.0

// sensitivity narrows the generic one by the steps of weighed acts: K per percent, with the
// standard deviation of its logarithm, and how many acts say so.
func (w *weighing) sensitivity(s decline, per float64) (perPercent, err float64, n int) {
	mean, weight := math.Log(per), 1/(generic*generic)
	if math.IsNaN(per) {
		mean, weight = 0, 1e-6
	}
	for _, x := range s.steps {
		own := x.size / (100 * x.kg / w.system.Charge.KG)
		if !(own > 0) || math.Abs(x.size) < leastStep*x.sd {
			continue
		}
		v := x.sd*x.sd/(x.size*x.size) + weighed*weighed
		off := math.Log(own) - mean
		trust := (1 - slips) * math.Exp(logDensity(off, 1/weight+v))
		trust /= trust + slips*math.Exp(logDensity(off, 1/weight+slipped*slipped))
		if trust < 0.5 {
			continue
		}
		mean = (mean*weight + math.Log(own)*trust/v) / (weight + trust/v)
		weight += trust / v
		n++
	}
	if n == 0 {
		return per, generic, 0
	}
	return math.Exp(mean), 1 / math.Sqrt(weight), n
}
