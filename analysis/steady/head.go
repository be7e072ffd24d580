package steady

import "math"

// headLimit is how far the first value after a start may lie off the mean of the others of a
// window, K: half a kelvin off where it will rest, of which the others still hold a fifth.
// What settles does so by decaying, so that its slope over minutes is small while its
// first value is not there yet.
const headLimit = 0.4

// settling are the first limits: those of what settles after a start.
const settling = 4

// pastHead is the first window of a stretch up to a time, without what has not settled of its
// start; nil where too little is left. A window of whole hunting periods is left whole.
func (b *bins) pastHead(w *Window, to int64) *Window {
	for w != nil && b.period == 0 && b.hasHead(b.part(w.Start, to)) {
		w, _ = b.window(w.Start+b.step, to)
	}
	return w
}

// hasHead tells whether the first value of some rows lies off the others by more than their
// scatter explains, as it was known and as it is.
func (b *bins) hasHead(r rows) bool {
	for k, l := range b.limits[:settling] {
		x, _ := b.series(l.quantity, r)
		if len(x) < fewestKnown || len(x) <= fewest && !b.before.knows(k) {
			continue
		}
		others := lineOf(x[1:])
		noise, free := b.before.pooled(k, others, 1)
		if others.n > 2 {
			noise = max(noise, others.scatter())
		}
		if b.exceeds(x[0]-others.mean, headLimit, noise*math.Sqrt(1+1/others.n), free) {
			return true
		}
	}
	return false
}
