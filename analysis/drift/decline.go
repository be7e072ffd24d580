package drift

import (
	"math"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// A decline is what the gauges of an index say of a loss of charge, K of the index.
type decline struct {
	rate   reading // a year
	gone   reading // since it began, less what was put back
	hidden float64 // how sure it is that subcooling is used up
	steps  []step  // at weighed acts
}

// A step is how far an index moved at an act with its kilograms; negative: recovered.
type step struct {
	kg float64
	reading
}

// look asks the gauges of an index. Where charge was added or recovered since the loss
// began, what is gone is how far they stand below where they stood before it, whatever
// was booked.
func (w *weighing) look(d diagnosis, x *suspect, of index) decline {
	s, best := d.courses(x, of)
	acts := d.charges(of.main(), w.events)
	if len(acts) == 0 {
		return s
	}
	views := d.views(best, of)
	for _, a := range acts {
		if !a.hidden {
			s.steps = append(s.steps, step{a.kg, along(views, []charge{a}, false)})
		}
	}
	if since := after(acts, best.onset); len(since) > 0 {
		s.gone = along(views, since, true).on(best.unseen(d.now), s.rate)
	}
	return s
}

// A way is how a loss may have gone on: a candidate, and when subcooling was used up.
type way struct {
	candidate
	track // of the index's main gauge
	log   float64
}

// courses weighs all ways in which a suspect may have gone on. It gives the likeliest too.
func (d diagnosis) courses(x *suspect, of index) (decline, way) {
	g, k := of.main(), place(of.main())
	tr := d.tracks[g]
	floors := tr.floors(tr.healthy(x.best.onset))
	ways, best := make([]way, 0, len(x.all)*len(floors)), 0
	for _, c := range x.all {
		m := c.fault.moves[g]
		as := m.weigh(c.readings[k])
		for _, f := range floors {
			v := way{c, f, c.log}
			if c.fault.form == slow {
				own := *c.begins
				own.readings[k] = f.read(c.onset, slow, c.fault.behind).sighted()
				v.begins = &own
				v.log += m.weigh(own.readings[k]) - as - math.Log(float64(len(floors)))
			}
			if ways = append(ways, v); v.log > ways[best].log {
				best = len(ways) - 1
			}
		}
	}
	return sum(ways, ways[best].log, d.now, of), ways[best]
}

// sum is what all ways say together, each as far as it is likely.
func sum(ways []way, most, now float64, of index) decline {
	var s decline
	var rate, gone moments
	total := 0.0
	for _, v := range ways {
		p := math.Exp(v.log - most)
		move := v.moved(of)
		total += p
		if v.fault.form == sudden {
			gone.add(p, move)
			continue
		}
		unseen := v.unseen(now)
		rate.add(p, move)
		gone.add(p, move.times(v.shown(v.onset, now)).on(unseen, move))
		if unseen > 0 {
			s.hidden += p
		}
	}
	s.rate, s.gone = rate.reading(), gone.reading()
	s.hidden /= total
	return s
}

// on is a size after it has gone on at a rate for some years, unseen.
func (r reading) on(years float64, rate reading) reading {
	if !(years > 0) {
		return r
	}
	return reading{r.size + rate.size*years, math.Hypot(r.sd+rate.sd*years, steady*rate.size*years)}
}

// moved is how far an index has moved, at once or a year.
func (v way) moved(of index) (sum reading) {
	for k, g := range order {
		if share, ok := of[g]; ok {
			m := v.fault.moves[g]
			r := m.posterior(v.readings[k].reading)
			sum.size += share * r.size
			sum.sd = math.Hypot(sum.sd, share*r.sd)
		}
	}
	return sum
}

// posterior is a reading narrowed by what is believed of the move: that the gauge stays, or
// moves as far as it usually does, or much farther, each as far as the reading speaks for it.
func (m *move) posterior(r reading) reading {
	if r.sd == 0 || m.sd == 0 {
		return r
	}
	usual, far := m.normal.explains(r, m.sign, m.logs.sign), math.Inf(-1)
	if m.sign != 0 && m.mean != 0 {
		usual, far = logUsual+usual, logFar+m.far().explains(r, m.sign, m.logs.far)
	}
	stays := m.logs.stays + r.sighted().stays + logDensity(r.size, r.sd*r.sd) - m.logs.goes
	most := math.Max(stays, math.Max(usual, far))
	var mix moments
	mix.add(math.Exp(stays-most), reading{})
	mix.add(math.Exp(usual-most), m.normal.narrows(r))
	mix.add(math.Exp(far-most), m.far().narrows(r))
	return mix.reading()
}

// narrows is a reading with what is believed besides.
func (n normal) narrows(r reading) reading {
	v := 1 / (1/(r.sd*r.sd) + 1/(n.sd*n.sd))
	return reading{v * (r.size/(r.sd*r.sd) + n.mean/(n.sd*n.sd)), math.Sqrt(v)}
}

// moments gathers a weighted mean and spread.
type moments struct{ weight, sum, square float64 }

func (m *moments) add(weight float64, r reading) {
	m.weight += weight
	m.sum += weight * r.size
	m.square += weight * (r.size*r.size + r.sd*r.sd)
}

func (m moments) reading() reading {
	if m.weight == 0 {
		return reading{math.NaN(), 0}
	}
	mean := m.sum / m.weight
	return reading{mean, math.Sqrt(math.Max(0, m.square/m.weight-mean*mean))}
}

// A charge is refrigerant that was added or recovered, by one act or several between two
// visits.
type charge struct {
	act    int     // the event's place among those that reset
	at     float64 // years
	kg     float64 // NaN: not known
	hidden bool    // the gauge had reached its floor before it, so that its step shows a part only
}

// charges lists what was added and recovered, as far as a gauge was seen before and after.
func (d diagnosis) charges(gauge string, events []register.Event) (out []charge) {
	tr := d.tracks[gauge]
	act, last := -1, -1
	for _, e := range events {
		if !e.Kind.Resets() {
			continue
		}
		act++
		col := tr.added[act]
		switch {
		case col < 0 || e.Kind != register.ChargeAdded && e.Kind != register.Recovered:
		case col == last:
			out[len(out)-1].kg += e.KG
		default:
			at := d.years(e.Time)
			out = append(out, charge{act, at, e.KG, tr.before(at) < 1.5*spent})
			last = col
		}
	}
	return out
}

// after picks the charges after an onset.
func after(all []charge, onset float64) (out []charge) {
	for _, a := range all {
		if a.at > onset {
			out = append(out, a)
		}
	}
	return out
}

// A view is a gauge with a loss taken as there.
type view struct {
	share float64
	added []int // the column of each event that reset
	move  int   // the column of the loss
	span  float64
	fit   *robust.Estimate
}

// views fits the gauges of an index with a loss in them.
func (d diagnosis) views(best way, of index) (out []view) {
	for _, g := range order {
		share, m, tr := of[g], best.fault.moves[g], d.tracks[g]
		if share == 0 {
			continue
		}
		believed := m.nearer(best.reading(g))
		if g == of.main() {
			tr = best.track
		}
		fit, err := tr.fit.With(tr.column(best.onset, best.fault.form, best.fault.behind), believed.mean, believed.sd)
		if err != nil {
			continue
		}
		v := view{share, tr.added, len(fit.Coef) - 1, 1, fit}
		if best.fault.form == slow {
			v.span = tr.shown(best.onset, d.now)
		}
		out = append(out, v)
	}
	return out
}

// along sums the steps of charges over the views, and with them the loss's own move.
func along(views []view, charges []charge, move bool) (sum reading) {
	for _, v := range views {
		row := make([]float64, len(v.fit.Coef))
		for _, a := range charges {
			if col := v.added[a.act]; col >= 0 {
				row[col] = 1
			}
		}
		if move {
			row[v.move] = v.span
		}
		size, sd := v.fit.Along(row)
		sum.size += v.share * size
		sum.sd = math.Hypot(sum.sd, v.share*sd)
	}
	return sum
}
