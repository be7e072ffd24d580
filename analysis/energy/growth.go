package energy

import "math"

// A growth is how what an event ended may have come: it may have been there all along, or
// have grown from some day on, in proportion or ever faster. A coil fouls over months, and
// on cold days, when head pressure is held up, nothing shows of it.
type growth struct {
	days  float64 // before the event on which it began; infinite: it was there all along
	power float64 // of the share of these days that had gone by
}

// growths are those that are tried, the first of what was there all along, for days that
// reach back so far: beginnings within them and before, even and ever faster (engineering
// choices, no source: what a coil costs grows faster than its loss of air, a lost charge
// costs nothing until the reserve is gone).
func growths(reach float64) []growth {
	out := []growth{{math.Inf(1), 1}}
	for _, share := range []float64{0.3, 0.45, 0.65, 1, 1.5, 3, 8} {
		out = append(out, growth{share * reach, 1}, growth{share * reach, 1.7}, growth{share * reach, 3})
	}
	return out
}

// effectSpread is how large the effect of an event is believed to be before the days are asked,
// as a standard deviation of its share of the electricity (engineering choice, no source):
// without it noisy days would let a fault that came in the last weeks have cost anything.
const effectSpread = 0.15

// growthBelief is how probable it is, before the days are asked, that a fault came while
// the machine was watched.
const growthBelief = 0.5

// at is how far it had come, as a share, some days before the event.
func (g growth) at(ago float64) float64 { return math.Pow(pos(1-ago/g.days), g.power) }

// A change is one of the machine that an event has no part in, from some day on: at once, or
// more and more.
type change struct {
	from  int
	grows bool
}

// changes are those that are tried, the first none at all, for days before and after an event:
// faults that grew from about a day on, that day being at the latest the event's; and what
// came at once, before or after it.
func changes(first, last, end int) []change {
	out := []change{{from: end}}
	between := func(a, b int, share float64) int { return a + int(share*float64(b-a)) }
	for _, share := range []float64{0, 0.2, 0.4, 0.6, 0.8, 1} {
		out = append(out, change{between(first, last, share), true})
	}
	for _, share := range []float64{0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9} {
		out = append(out, change{between(first, last, share), false})
	}
	for _, share := range []float64{0.35, 0.7} {
		out = append(out, change{between(last, end, share), false})
	}
	return out
}

// at is how far it had come on a day: of one that grows, the years it had grown for.
func (c change) at(day int) float64 {
	switch {
	case day <= c.from:
		return 0
	case c.grows:
		return float64(day-c.from) / 365
	}
	return 1
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
