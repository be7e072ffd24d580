package drift

import "math"

// What comes at once shows at once: where a logger stays, the weeks about its onset tell it from
// what grew, which all weeks together do worse, since no machine follows the lines of what grows
// quite and each week off a line speaks for a step beside it. On 15 simulated fleets of 20 loggers,
// most findings of gas and of too much charge where there was none had dirt or a slow loss that
// bent. Of a record that begins with it nobody knows how the machine was before.
const (
	weeksAbout    = 56 * dayLong // on either side of an onset, years
	leastAbout    = 2            // values on either side
	weeksResemble = 2.0          // times as uncertain as if weeks were independent
	surelyGrew    = 3.0          // logarithm of how much likelier what is seen must be of what grew
)

// grew tells whether the weeks about an onset show that what a fault says came at once did not: by
// the gauge that says most for it of those that tell it.
func (d diagnosis) grew(f *fault, b *begins) bool {
	if !d.stays || f.form != sudden || f.kind == Unclear {
		return false
	}
	gauge, size, says := "", 0.0, 0.0
	for _, g := range order {
		m, r := f.moves[g], b.of(g, f.behind)
		if m.carries && r.sd > 0 && m.sign*r.size >= 0 && math.Abs(r.size)/r.sd > says {
			gauge, size, says = g, r.size, math.Abs(r.size)/r.sd
		}
	}
	tr, found := d.tracks[gauge]
	return found && tr.grew(b.onset, f.behind, size)
}

// grew tells whether what is seen about an onset is nearer to nothing than to a change of such a size.
func (tr *track) grew(onset float64, s visibility, size float64) bool {
	from, at, to := tr.about(onset)
	if at < leastAbout {
		return true
	}
	if at-from < leastAbout || to-at < leastAbout {
		return false
	}
	col := tr.spare[:len(tr.t)]
	tr.fill(col, onset, sudden, s)
	c := tr.fit.Nearby(tr.t, col, from, to)
	if c.SD == 0 {
		return false
	}
	seen := c.Coef / size // of it, as a share
	sd := weeksResemble * c.SD / size
	return (1-2*seen)/(2*sd*sd) > surelyGrew
}

// about is the values in the weeks about an onset: the first, the first after it, and the one after
// the last.
func (tr *track) about(onset float64) (from, at, to int) {
	for at < len(tr.t) && tr.t[at] <= onset {
		at++
	}
	for from = at; from > 0 && tr.t[from-1] > onset-weeksAbout; from-- {
	}
	for to = at; to < len(tr.t) && tr.t[to] <= onset+weeksAbout; to++ {
	}
	return from, at, to
}
