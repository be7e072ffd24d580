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

// Subcooling per percent of charge. Li & Braun 2009 (2.1 of the charge sensor, from
// memory): K_ch = SC_r / ((1 - 0.75) * 0.73), so one percent is 0.055 times the
// subcooling of the machine as it should be. generic is how well that is believed for
// any one machine: their sensor is within 8 to 10 % of the charge, published
// sensitivities within a third of each other.
const (
	perKelvin = 0.01 / ((1 - 0.75) * 0.73)
	generic   = 0.35
	// perFixed: superheat behind a fixed opening rises by 1 K per percent (Breuker &
	// Braun 1998, from memory).
	perFixed = 1.0
)

// spent is the subcooling from which on further loss does not show in it, K.
const spent = 1.0

// normal90 is the factor on a standard uncertainty within which 90 % of normal errors lie.
const normal90 = 1.6448536269514722

// loss turns what was found into charge.
func (w *weighing) loss(d diagnosis, x *suspect, carrier string) loss {
	nan := math.NaN()
	if carrier != Subcooling && feeds(w.system) < 5 {
		return loss{lost: nan, rate: nan, note: "no liquid stands behind the condenser: how much is gone cannot be told from these channels"}
	}
	if carrier == Subcooling && d.tracks[Subcooling].latest() < spent {
		return loss{lost: nan, rate: nan, note: "subcooling is used up: what has gone since cannot be told from it"}
	}
	perPercent, err, n := w.sensitivity(d, x, carrier)
	out := loss{calibrated: n}
	size, rate := x.spread(d, carrier)
	out.lost, out.lostErr = math.Abs(size.size)/perPercent, math.Hypot(size.sd/math.Abs(size.size), err)
	out.rate, out.rateErr = math.Abs(rate.size)/perPercent, math.Hypot(rate.sd/math.Abs(rate.size), err)
	if rate.sd == 0 {
		out.rate = nan
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

// sensitivity is how far the carrier moves per percent of charge, with the standard
// deviation of its logarithm, and how many weighed additions say so.
func (w *weighing) sensitivity(d diagnosis, x *suspect, carrier string) (perPercent, err float64, n int) {
	perPercent = perFixed
	if carrier == Subcooling {
		perPercent = perKelvin * math.Max(noLiquid, d.tracks[Subcooling].healthy(x.best.onset))
	}
	mean, weight := math.Log(perPercent), 1/(generic*generic)
	if carrier == Subcooling && w.system.Charge.KG > 0 {
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

// weighing error of a cylinder, of what was added: some hundred grams on a kilogram
// (common practice, no source).
const weighed = 0.1

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
		p := math.Exp(c.log - x.odds)
		m := c.fault.moves[carrier]
		post := m.posterior(c.readings[carrier])
		if c.fault.form == sudden {
			s.add(p, post.size, post.sd)
			continue
		}
		span := d.now - c.onset
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
