package drift

import (
	"math"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A loss is an estimate of charge lost, percent of the system's charge. Its errors are
// relative ones, so it is kept as a logarithm.
type loss struct {
	lost, rate       float64 // %, %/a; NaN where it cannot be said
	lostErr, rateErr float64 // standard deviations of the logarithms
	calibrated       int
	note             string
}

// perKelvin is how far subcooling falls per percent of charge, of the subcooling that
// the machine has when it is well. The charge sensor of Li & Braun 2009 (from memory):
// K_ch = SC_r / ((1 - 0.75) * 0.73) K for all of the charge.
const perKelvin = 0.01 / ((1 - 0.75) * 0.73)

// generic is how well that is believed of any one machine, standard deviation of the
// logarithm: their sensor is within some 10 % of the charge at a loss of 20 %, and
// published sensitivities differ by a third to a half.
const generic = 0.42

// spent is the subcooling from which on further loss does not show in it, K.
const spent = 1.0

// normal90 is the factor on a standard uncertainty within which 90 % of normal errors lie.
const normal90 = 1.6448536269514722

// Why no loss can be told.
const (
	noneBehind = "no liquid stands behind the condenser: how much is gone cannot be told from these channels"
	usedUp     = "subcooling is used up: what has gone since cannot be told from it"
)

// loss turns what was found of subcooling into charge.
func (w *weighing) loss(d diagnosis, x *suspect) loss {
	nan := math.NaN()
	tr, ok := d.tracks[Subcooling]
	switch {
	case !ok || tr.healthy(x.best.onset) < noLiquid:
		return loss{lost: nan, rate: nan, note: noneBehind}
	case tr.latest() < spent:
		return loss{lost: nan, rate: nan, note: usedUp}
	}
	perPercent, err, n := w.sensitivity(d, x)
	size, rate := x.spread(d, Subcooling)
	if !(size.size < 0) {
		return loss{lost: nan, rate: nan}
	}
	out := loss{lost: -size.size / perPercent, lostErr: math.Hypot(size.sd/size.size, err), rate: nan, calibrated: n}
	if rate.size < 0 {
		out.rate, out.rateErr = -rate.size/perPercent, math.Hypot(rate.sd/rate.size, err)
	}
	return out
}

// fill writes the estimate down.
func (l loss) fill(c *table.Cause) {
	ends := func(v, err float64) (lo, hi float64) { return v * math.Exp(-normal90*err), v * math.Exp(normal90*err) }
	c.Lost, c.LossPct, c.CalibratedBy, c.Note = l.lost, l.rate, int64(l.calibrated), l.note
	c.LostLo, c.LostHi = ends(l.lost, l.lostErr)
	c.LossPctLo, c.LossPctHi = ends(l.rate, l.rateErr)
}

// sensitivity is how far subcooling falls per percent, with the standard deviation of
// its logarithm, and how many weighed additions say so.
func (w *weighing) sensitivity(d diagnosis, x *suspect) (perPercent, err float64, n int) {
	mean, weight := math.Log(perKelvin*d.tracks[Subcooling].healthy(x.best.onset)), 1/(generic*generic)
	if w.system.Charge.KG > 0 {
		for _, r := range w.additions(d, x) {
			own := 1 / (r.sd * r.sd)
			mean = (mean*weight + math.Log(r.size)*own) / (weight + own)
			weight += own
			n++
		}
	}
	return math.Exp(mean), 1 / math.Sqrt(weight), n
}

// leastStep is how many times its own uncertainty a step must be to calibrate.
const leastStep = 3.0

// weighed is how well the amount that stands in the register is believed, of it: scales,
// what hoses hold, and slips of those who write (common practice, no source).
const weighed = 0.25

// additions are the steps of weighed additions and recoveries since the fault began:
// K per percent, with the standard deviation of its logarithm.
func (w *weighing) additions(d diagnosis, x *suspect) (out []reading) {
	tr := d.tracks[Subcooling]
	b := tr.belief
	m := x.best.fault.moves[Subcooling]
	b.Columns = append(b.Columns[:len(b.Columns):len(b.Columns)], tr.column(x.best.onset, x.best.fault.form))
	b.Mean = append(b.Mean[:len(b.Mean):len(b.Mean)], m.mean)
	b.SD = append(b.SD[:len(b.SD):len(b.SD)], m.sd)
	fit, err := b.Fit()
	if err != nil {
		return nil
	}
	k := 0
	for _, e := range w.events {
		if !e.Kind.Resets() {
			continue
		}
		col := tr.added[k]
		k++
		if col < 0 || e.Kind != register.ChargeAdded && e.Kind != register.Recovered || !(math.Abs(e.KG) > 0) {
			continue
		}
		step, sd := fit.Coef[col], fit.SD(col)
		if per := step / (100 * e.KG / w.system.Charge.KG); per > 0 && math.Abs(step) > leastStep*sd {
			out = append(out, reading{per, math.Hypot(sd/step, weighed)})
		}
	}
	return out
}

// spread is the size of the carrier's move and its rate, over all onsets.
func (x *suspect) spread(d diagnosis, carrier string) (size, rate reading) {
	var s, r moments
	for _, c := range x.all {
		p := math.Exp(c.log - x.norm)
		m := c.fault.moves[carrier]
		post := m.posterior(c.reading(carrier))
		if c.fault.form == sudden {
			s.add(p, post.size, post.sd)
			continue
		}
		span := d.span(c, carrier)
		s.add(p, post.size*span, post.sd*span)
		r.add(p, post.size, post.sd)
	}
	return s.reading(), r.reading()
}

// posterior is a reading narrowed by what is believed of the move.
func (m move) posterior(r reading) reading {
	if r.sd == 0 || m.sd == 0 {
		return r
	}
	v := 1 / (1/(r.sd*r.sd) + 1/(m.sd*m.sd))
	return reading{v * (r.size/(r.sd*r.sd) + m.mean/(m.sd*m.sd)), math.Sqrt(v)}
}

// moments gathers a weighted mean and spread.
type moments struct{ weight, sum, square float64 }

func (m *moments) add(weight, value, sd float64) {
	m.weight += weight
	m.sum += weight * value
	m.square += weight * (value*value + sd*sd)
}

func (m moments) reading() reading {
	if m.weight == 0 {
		return reading{math.NaN(), 0}
	}
	mean := m.sum / m.weight
	return reading{mean, math.Sqrt(math.Max(0, m.square/m.weight-mean*mean))}
}
