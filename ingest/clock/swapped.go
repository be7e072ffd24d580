package clock

// A spreadsheet that opens dates of another country takes those for its own that can be,
// with day and month swapped, and leaves the others as they are. The whole then seems to
// prove the order of those left: only the steps between the others tell.

// A swap weighs the steps between dates whose day and month could both be either, one
// after the other, under each of the two orders.
type swap struct {
	last   [2]int64 // days of the last date; 0 where it could be read in one way only
	fits   [2]int
	misses [2]int
}

// observe looks at a new date, as [OrderEvidence.Observe] does.
func (w *swap) observe(s Stamp, gap, step int64) {
	var days [2]int64
	for o := range days {
		d, ok := s.Days(Order(o))
		if !ok || s.named() >= 0 {
			w.last = [2]int64{}
			return
		}
		days[o] = d
	}
	if days[0] != days[1] && w.last != [2]int64{} && step != 0 {
		for o, d := range days {
			change := (d-w.last[o])*Day + gap
			if max(change, -change) <= 3*max(step, -step) {
				w.fits[o]++
			} else {
				w.misses[o]++
			}
		}
	}
	w.last = days
}

// enoughSwaps is how many steps must fit the other order, and none the one that is taken.
const enoughSwaps = 2

// Suspects tells whether the dates that could be either were written in the other order
// than the one that others prove.
func (w *swap) Suspects(o Order) bool {
	return o != YearFirst && w.fits[1-o] >= enoughSwaps && w.fits[o] == 0
}
