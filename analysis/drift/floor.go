package drift

import (
	"math"
	"slices"

	"rimelog/analysis/robust"
)

// A stretch is a time during which a gauge lies on its floor, years; to is +Inf where it
// still does.
type stretch struct{ from, to float64 }

// shown is for how long a slow change has shown by some time: what is used up falls no more.
func (tr *track) shown(onset, t float64) float64 {
	years := t - onset
	for _, h := range tr.hidden {
		if h.from > onset {
			years -= math.Max(0, math.Min(t, h.to)-h.from)
		}
	}
	return years
}

// unseen is for how long the gauge has lain on its floor by now, years.
func (tr track) unseen(now float64) float64 {
	if n := len(tr.hidden); n > 0 && math.IsInf(tr.hidden[n-1].to, 1) {
		return now - tr.hidden[n-1].from
	}
	return 0
}

// When a loss may have used up subcooling without anybody knowing: it fell below a share of
// what it had been, and lay there for some visits. Instruments may be off by as much.
const (
	lowShare    = 0.55
	leastFlat   = 3
	floorsTried = 8
)

// floors are the track with subcooling not used up since its last act, and used up at some
// times since it became low.
func (tr track) floors(healthy float64) []track {
	y, n := tr.belief.Y, len(tr.belief.Y)
	if tr.latest() > lowShare*healthy {
		return []track{tr}
	}
	if k := len(tr.hidden); k > 0 && math.IsInf(tr.hidden[k-1].to, 1) {
		tr.hidden = tr.hidden[:k-1]
	}
	first := n
	for first > 0 && (y[first-1] < lowShare*healthy || first > 1 && y[first-2] < lowShare*healthy) {
		first--
	}
	for k := len(tr.hidden); k > 0 && first < n && tr.t[first] < tr.hidden[k-1].to; first++ {
	}
	out := []track{tr}
	stride := max(1, (n-leastFlat-first+floorsTried)/floorsTried)
	for k := first; k <= n-leastFlat; k += stride {
		with := tr
		with.hidden = append(slices.Clone(tr.hidden), stretch{tr.t[k], math.Inf(1)})
		out = append(out, with)
	}
	return out
}

// How many values show that a gauge has reached its floor: more while it may be a few bad
// visits than where somebody saw to it.
const (
	leastUsed = 4
	usedThen  = 2
)

// usedUp finds when a gauge lay on a floor that it had been well above, up to each act and
// now.
func (tr *track) usedUp(floor float64, acts []float64) {
	y := tr.belief.Y
	if above, _ := robust.Median(y[:min(len(y), leastUsed-1)]); above <= 2*floor {
		return
	}
	from := 0
	for _, end := range append(acts, math.Inf(1)) {
		to := from
		for to < len(y) && tr.t[to] < end {
			to++
		}
		k := to
		for k > from && (y[k-1] < floor || k-1 > from && y[k-2] < floor) { // one wild value is none
			k--
		}
		least := usedThen
		if math.IsInf(end, 1) {
			least = leastUsed
		}
		if to-k >= least && k > 0 {
			tr.hidden = append(tr.hidden, stretch{tr.t[k], end})
		}
		from = to
	}
}

// upTo marks the values that are not above a limit.
func upTo(limit float64, y []float64) []bool {
	out := make([]bool, len(y))
	for i, v := range y {
		out[i] = v <= limit
	}
	return out
}
