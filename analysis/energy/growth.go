package energy

import "math"

// A growth is how what an event ended may have come: it may have been there all along, or
// have grown from some day on, in proportion or ever faster. A coil fouls over months, and
// on cold days, when head pressure is held up, nothing shows of it.
type growth struct {
	days  float64 // before the event on which it began; infinite: it was there all along
	power float64 // of the share of these days that had gone by
}

// growths are those that are tried for days that reach back so far. The first is of what was
// there all along. The next came at once, as a valve sticks or a pipe breaks: soon such a
// machine is looked at. The rest began within the days or before, even and ever faster
// (engineering choices, no source: what a coil costs grows faster than its loss of air, a lost
// charge costs nothing until the reserve is gone).
func growths(reach float64) []growth {
	out := []growth{{math.Inf(1), 1}}
	for _, days := range suddenDays {
		out = append(out, growth{days, 0})
	}
	for _, share := range []float64{0.3, 0.45, 0.65, 1, 1.5, 3, 8} {
		out = append(out, growth{share * reach, 1}, growth{share * reach, 1.7}, growth{share * reach, 3})
	}
	return out
}

// suddenDays are how long before an event what came at once is tried to have come.
var suddenDays = [...]float64{2.5, 4.5, 8.5, 16.5, 32.5, 64.5, 128.5}

// How large the effect of an event is believed to be before the days are asked, and what its
// line over temperature bends by, as standard deviations of a share of the electricity
// (engineering choices, no source): without them noisy days would let a fault that came in the
// last weeks have cost anything.
const (
	effectSpread = 0.15
	bendSpread   = 0.03
)

// How probable it is, before the days are asked, that a fault came while the machine was
// watched, and that it came at once.
const (
	growthBelief = 0.5
	onceBelief   = 0.05
)

// at is how far it had come, as a share, some days before the event.
func (g growth) at(ago float64) float64 {
	if ago >= g.days {
		return 0
	}
	return math.Pow(1-ago/g.days, g.power)
}

// A change is one of the machine that an event has no part in, from some day on: at once,
// over some weeks, or more and more.
type change struct {
	from int
	over float64 // days until it is whole; infinite: it grows for good
}

// sudden tells whether it is one of those that came at once, or nearly.
func (c change) sudden() bool { return !math.IsInf(c.over, 1) }

// changes are those that are tried, the first none at all, for days before and after an event:
// faults that grew from about a day on, that day being at the latest the event's; what came
// at once, before or after it; and close to it also what came over weeks, as ice does, since
// that would be taken for the event's.
func changes(first, on, end int) []change {
	out := []change{{from: end}}
	between := func(a, b int, share float64) int { return a + int(share*float64(b-a)) }
	for _, share := range []float64{0, 0.2, 0.4, 0.6, 0.8, 1} {
		out = append(out, change{between(first, on, share), math.Inf(1)})
	}
	for _, share := range []float64{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9} {
		out = append(out, change{between(first, on, share), 0})
	}
	for _, share := range []float64{0.35, 0.7} {
		out = append(out, change{between(on, end, share), 0})
	}
	for _, days := range []int{-14, 14} {
		out = append(out, change{on + days, 0})
	}
	for _, days := range []int{-75, -50, -25, 0} {
		out = append(out, change{on + days, weeksOver})
	}
	return out
}

// weeksOver is how long a change takes that comes over weeks, days.
const weeksOver = 50

// at is how far it had come on a day: of one that grows for good, the years it had grown for.
func (c change) at(day int) float64 {
	switch gone := float64(day - c.from); {
	case gone <= 0:
		return 0
	case !c.sudden():
		return gone / 365
	default:
		return math.Min(1, gone/math.Max(1, c.over))
	}
}

// What is believed of changes before the days are asked (engineering choices, no source): that
// in one machine of twelve another fault grows besides the one that the event put right; that
// something came at once, which is rarer; and their size as a standard deviation of the
// electricity, of one that grows in a year.
const (
	slowBelief   = 0.08
	suddenBelief = 0.03
	changeSpread = 0.08
)
