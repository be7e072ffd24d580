package trust

import (
	"fmt"
	"math"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// A Site is what Screen needs to know of the place.
type Site struct {
	Air    float64                                                       // kPa, of the air there; NaN where the altitude is not known
	Line   func(q cycle.Quantity, settle func(*register.Channel)) string // the register's line for a channel at these samples; may be nil
	Limit  func(q cycle.Quantity) float64                                // limit of error of the instrument behind a quantity; may be nil
	Serial func(q cycle.Quantity) string                                 // of the instrument behind a quantity; may be nil
}

// air is the pressure of the air, at sea level where the height is not known.
func (s Site) air() float64 {
	if math.IsNaN(s.Air) || s.Air == 0 {
		return seaLevel
	}
	return s.Air
}

// Hoses that hang in the air: how near to its pressure one of them is, and the other,
// whose sensor may have lost its zero; and how much a pressure changes when they are
// connected. At twice the air's pressure both must be near it: a machine at rest may
// stand there too (isobutane in a cool room at 186 kPa).
const (
	nearAir    = 12.0 // kPa
	lostAtMost = 75.0 // kPa
	connected  = 0.3  // of the pressure
	fewestOpen = 3
)

// open takes the minutes out in which the hoses hang in the air, at the beginning and
// the end, marks them so that no window counts them, and reads from them what the pressures are counted from.
func (s segment) open(site Site) (found []Doubt) {
	low, high := s.values(cycle.SuctionPressure), s.values(cycle.DischargePressure)
	if low == nil || high == nil {
		return nil
	}
	for _, r := range []struct{ pressure, most float64 }{{site.air(), lostAtMost}, {0, lostAtMost}, {2 * site.air(), nearAir}} {
		reference := r.pressure
		first, last := openRun(low, high, reference, [2]float64{site.near(cycle.SuctionPressure), site.near(cycle.DischargePressure)}, r.most)
		if first+last == 0 || r.most == nearAir && !sharp(low, first, last) && !sharp(high, first, last) {
			continue
		}
		n := len(low)
		l, errL := robust.Median(append(append([]float64{}, low[:first]...), low[n-last:]...))
		h, errH := robust.Median(append(append([]float64{}, high[:first]...), high[n-last:]...))
		for i := range n {
			if i <= first && first > 0 || i >= n-last-1 && last > 0 {
				low[i], high[i] = math.NaN(), math.NaN()
				s.inAir(i)
			}
		}
		if errL == nil && errH == nil && first+last >= fewestOpen {
			found = append(found, s.reference(site, l, h, reference, first+last)...)
		}
		return found
	}
	return nil
}

// near is how near the air's pressure a sensor that hangs in it shows: some kPa, or within
// what its limits of error allow.
func (s Site) near(q cycle.Quantity) float64 {
	if s.Limit == nil {
		return nearAir
	}
	return math.Max(nearAir, s.Limit(q))
}

// leastAtOnce is the share of a pressure's change that comes with one sample when a hose is
// connected: a compressor that starts takes a minute.
const leastAtOnce = 0.6

// sharp tells whether a pressure leaves its first values, and reaches its last ones, at once.
func sharp(v []float64, first, last int) bool {
	at := func(before, next, later int) bool {
		if later < 0 || later >= len(v) {
			return true
		}
		all := math.Abs(v[later] - v[before])
		return all > nearAir && math.Abs(v[next]-v[before]) >= leastAtOnce*all
	}
	n := len(v)
	return (first == 0 || at(first-1, first, first+3)) && (last == 0 || at(n-last, n-last-1, n-last-4))
}

// inAir marks a sample at which the hoses hung in the air.
func (s segment) inAir(i int) {
	if s.c.InAir == nil {
		s.c.InAir = make([]bool, s.c.Rows())
	}
	s.c.InAir[s.from+i] = true
}

// openRun counts the samples at both ends in which both pressures are those of hoses
// in the air; none where the pressures do not jump next to them.
func openRun(low, high []float64, reference float64, near [2]float64, most float64) (first, last int) {
	isOpen := func(i int) bool {
		l, h := math.Abs(low[i]-reference), math.Abs(high[i]-reference)
		return (l < near[0] || h < near[1]) && math.Max(l, h) < most
	}
	jumps := func(at, to int) bool {
		return to >= 0 && to < len(low) && (math.Abs(low[to]-low[at]) > connected*math.Abs(low[to]) || math.Abs(high[to]-high[at]) > connected*math.Abs(high[to]))
	}
	n := len(low)
	for first < n && isOpen(first) {
		first++
	}
	if first == n || first > 0 && !jumps(first-1, min(first+2, n-1)) {
		first = 0
	}
	for last < n-first && isOpen(n-1-last) {
		last++
	}
	if last > 0 && !jumps(n-last, max(n-last-3, 0)) {
		last = 0
	}
	return first, last
}

// reference says what pressures in the air tell: what they are counted from, and
// whether a sensor has lost its zero.
func (s segment) reference(site Site, low, high, reference float64, n int) []Doubt {
	both := []cycle.Quantity{cycle.SuctionPressure, cycle.DischargePressure}
	evidence := fmt.Sprintf("hoses in the air show %.1f and %.1f kPa in %d samples; the air there has %.1f kPa", low, high, n, site.air())
	span := func(d Doubt) []Doubt {
		d.From, d.To, d.Evidence, d.Hides = s.c.Time[s.from], s.c.Time[s.to-1], evidence, true
		return []Doubt{d}
	}
	switch missing := seaLevel - site.air(); {
	case reference == 0:
		return span(Doubt{Rule: "D2", Channels: about(both...), Remedy: "these are gauge pressures taken for absolute ones: " + site.lines(both, register.Gauge)})
	case reference > 1.5*site.air():
		return span(Doubt{Rule: "D2", Channels: about(both...), Remedy: "these are absolute pressures taken for gauge ones: " + site.lines(both, register.Absolute)})
	case missing > mostApart && math.Abs(low-site.air()+missing) < mostApart && math.Abs(high-site.air()+missing) < mostApart &&
		site.surprise(low-site.air(), high-site.air()) > site.surprise(low-site.air()+missing, high-site.air()+missing)+clearer:
		return span(Doubt{Rule: "D3", Channels: about(both...),
			Remedy: "the logger takes the air of sea level off: set its altitude, or log absolute pressures; both pressures are too low by " + fmt.Sprintf("%.1f kPa", missing)})
	}
	for k, p := range []float64{low, high} {
		if off := p - site.air(); math.Abs(off) > site.mostZero(both[k]) {
			i := offsetOf(site.serial(both[k]), off)
			return span(Doubt{Rule: "D30", Channels: about(both[k]), Remedy: "zero the sensor; for what it logged write its offset into register/instruments.csv: " + register.InstrumentLine(i)})
		}
	}
	return nil
}

// lostZero is from how far off the air's pressure a sensor has lost its zero where its limit of
// error is not known: more than that of a simple one. The weather moves the air's pressure by
// some weatherAir. Both sensors must agree with a wrong height within mostApart.
const (
	lostZero   = 18.0 // kPa
	weatherAir = 3.0  // kPa
	mostApart  = 4.5  // kPa
	clearer    = 9.0  // sum of squares of standard deviations, by which the height explains both better
)

// surprise is how far off the zero of both sensors would be, as a sum of squares of their
// standard deviations.
func (s Site) surprise(low, high float64) (sum float64) {
	for q, off := range map[cycle.Quantity]float64{cycle.SuctionPressure: low, cycle.DischargePressure: high} {
		u := 1.0 // kPa, where nobody asks
		if s.Limit != nil {
			u = math.Max(u, s.Limit(q)/2)
		}
		sum += off * off / (u * u)
	}
	return sum
}

// mostZero is how far a sensor's zero may be off before it counts as lost: beyond its limit of
// error and what the weather does, where the height of the site is known.
func (s Site) mostZero(q cycle.Quantity) float64 {
	switch {
	case s.Limit == nil:
		return lostZero
	case math.IsNaN(s.Air) || s.Air == 0:
		return math.Max(lostZero, 2*s.Limit(q))
	}
	return s.Limit(q) + weatherAir
}

func (s Site) lines(quantities []cycle.Quantity, r register.Reference) string {
	if s.Line == nil {
		return "write their reference into register/channels.csv"
	}
	text := "write into register/channels.csv: "
	for i, q := range quantities {
		if i > 0 {
			text += " and "
		}
		text += s.Line(q, func(c *register.Channel) { c.Reference = r })
	}
	return text
}

func (s Site) serial(q cycle.Quantity) string {
	if s.Serial == nil {
		return ""
	}
	return s.Serial(q)
}
