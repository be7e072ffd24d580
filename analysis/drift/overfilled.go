package drift

import (
	"math"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// Whoever adds refrigerant fills a machine up to where it stood while it was well. What lies
// beyond that is too much, and an addition is what mostly makes it.

// How often an addition fills in too much, how far subcooling comes off where it stood by one
// that does not, K, and how far that is in doubt where the charge was being lost before, as a
// share of what had gone: the loss may be older than the record (common practice, no source).
const (
	overfills = 0.05
	fillsTo   = 1.0
	olderLoss = 0.7
)

// fillings is when refrigerant was added. A step that seems to be an addition which nobody
// wrote down is none here: what made it is what is asked.
func fillings(events []register.Event) (out []time.Time) {
	for _, e := range events {
		if e.Kind == register.ChargeAdded {
			out = append(out, e.Time)
		}
	}
	return out
}

// toppedUp is when refrigerant was added, years since start.
func (d diagnosis) toppedUp(fills []time.Time) (out []float64) {
	for _, t := range fills {
		out = append(out, d.years(t))
	}
	return out
}

// additions are the gaps between points in which refrigerant was added.
func (d diagnosis) additions(points []point) (out []gap) {
	for _, t := range d.fills {
		for k := 1; k < len(points); k++ {
			from, to := d.years(points[k-1].at), d.years(points[k].at)
			if from < t && t <= to && (len(out) == 0 || out[len(out)-1].from < from) {
				out = append(out, gap{from: from, width: to - from})
			}
		}
	}
	return out
}

// beyond is how far a gauge stands after an addition above where it stood while it was well.
func (tr *track) beyond(onset float64) reading {
	n := 0
	for n < len(tr.t) && tr.t[n] <= onset {
		n++
	}
	if n < 2 || n == len(tr.t) || tr.sure[n] < 1 {
		return reading{}
	}
	at, early := tr.plain(n+1), n
	if k := tr.untouched(); k >= 2 {
		early = min(n, k)
	}
	whole, _ := robust.Median(at[:early])
	first, _ := robust.Median(at[:min(early, leastTrack-1)])
	last, _ := robust.Median(at[max(0, n-2):n])
	well := math.Max(whole, first)
	fell := math.Max(0, well-last)
	return reading{at[n] - well, math.Hypot(math.Hypot(fillsTo, tr.fit.Scatter), olderLoss*fell)}
}

// untouched is how many values lie before the first addition.
func (tr *track) untouched() (n int) {
	for n < len(tr.t) && tr.t[n] < tr.filled {
		n++
	}
	return n
}

// plain is the first values without what season, load and instruments make of them.
func (tr *track) plain(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = tr.belief.Y[i]
		for j := 1; j < tr.since; j++ {
			out[i] -= tr.fit.Coef[j] * tr.belief.Columns[j][i]
		}
	}
	return out
}
