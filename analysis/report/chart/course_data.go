package chart

import (
	"math"
	"strings"
	"time"
)

// cross marks what is not judged.
const cross = "path://M-5,-4L-4,-5L0,-1L4,-5L5,-4L1,0L5,4L4,5L0,1L-4,5L-5,4L-1,0Z"

// leastReach is what an axis over visits spans at least: less would name hours of
// the day where days count.
const leastReach = 30 * 24 * time.Hour

// reach spans the times with a margin of a fiftieth on either side, and leastReach
// at least.
func reach(times []time.Time, zone *time.Location) (lo, hi int64) {
	for i, t := range times {
		w := Wall(t, zone)
		if i == 0 {
			lo, hi = w, w
		}
		lo, hi = min(lo, w), max(hi, w)
	}
	margin := max((hi-lo)/50, (leastReach.Milliseconds()-(hi-lo))/2)
	return lo - margin, hi + margin
}

func (c Course) extent() (e extent) {
	for _, r := range c.Readings {
		v := c.shown(r)
		e.show(v)
		if c.use(r) != Unused {
			e.show(v-2*r.U, v+2*r.U)
		}
	}
	if c.Line != nil {
		for _, b := range c.Line.bends() {
			e.show(b.is)
		}
	}
	return e
}

// stretches are the runs of judged readings without a gap or a new baseline between.
func (c Course) stretches() [][]Reading {
	judged := c.of(Judged)
	times := make([]int64, len(judged))
	for i, r := range judged {
		times[i] = r.At.UnixMilli()
	}
	var out [][]Reading
	for _, s := range segments(times, func(i int) bool { return !math.IsNaN(c.shown(judged[i])) }) {
		out = append(out, c.cut(judged[s[0]:s[1]])...)
	}
	return out
}

// cut parts readings where a new baseline starts.
func (c Course) cut(rs []Reading) (out [][]Reading) {
	start := 0
	for i := 1; i < len(rs); i++ {
		if rs[i].Left || c.reset(rs[i-1].At, rs[i].At) {
			out = append(out, rs[start:i])
			start = i
		}
	}
	return append(out, rs[start:])
}

func (c Course) reset(after, until time.Time) bool {
	for _, e := range c.Events {
		if e.Reset && e.At.After(after) && !e.At.After(until) {
			return true
		}
	}
	return false
}

func (c Course) count(u Use) (n int) {
	for i := range c.Readings {
		if c.use(c.Readings[i]) == u {
			n++
		}
	}
	return n
}

func (c Course) of(u Use) []Reading {
	out := make([]Reading, 0, c.count(u))
	for _, r := range c.Readings {
		if c.use(r) == u {
			out = append(out, r)
		}
	}
	return out
}

// bands are the uncertainties of judged readings, one polygon for each stretch.
func (c Course) bands(stretches [][]Reading) (out []point) {
	for _, s := range stretches {
		var flat []any
		for _, r := range s {
			if v := c.shown(r); !math.IsNaN(r.U) {
				flat = append(flat, Wall(r.At, c.Zone), num(v-2*r.U), num(v+2*r.U))
			}
		}
		if len(flat) > 3 {
			out = append(out, point{Value: flat})
		}
	}
	return out
}

// whiskers are the uncertainties of readings that stand alone.
func (c Course) whiskers(stretches [][]Reading) (out []point) {
	alone := c.of(Spot)
	for _, s := range stretches {
		if len(s) == 1 {
			alone = append(alone, s[0])
		}
	}
	for _, r := range alone {
		if v := c.shown(r); !math.IsNaN(v) && !math.IsNaN(r.U) {
			out = append(out, point{Value: []any{Wall(r.At, c.Zone), num(v - 2*r.U), num(v + 2*r.U)}})
		}
	}
	return out
}

// fan is the interval of the trend: of its slope, turned about the middle of its
// visits, or of the change since it broke from its baseline.
func (c Course) fan() []point {
	l := c.Line
	if l == nil || math.IsNaN(l.Lo) || math.IsNaN(l.Hi) {
		return nil
	}
	var flat []any
	for _, b := range l.bends() {
		flat = append(flat, Wall(b.t, c.Zone), num(b.lo), num(b.hi))
	}
	return []point{{Value: flat}}
}

func (c Course) trend() (out []point) {
	if c.Line == nil {
		return nil
	}
	for _, b := range c.Line.bends() {
		out = append(out, point{Value: pair(Wall(b.t, c.Zone), b.is)})
	}
	return out
}

// solid are the judged readings, with an empty point between stretches.
func (c Course) solid(stretches [][]Reading) (out []point) {
	for i, s := range stretches {
		if i > 0 {
			out = append(out, point{Value: pair(Wall(s[0].At, c.Zone), math.NaN())})
		}
		for _, r := range s {
			d := point{Name: c.text(r), Value: pair(Wall(r.At, c.Zone), c.shown(r))}
			if r.Left {
				d.Symbol = "rect"
			}
			out = append(out, d)
		}
	}
	return out
}

func (c Course) single(u Use) (out []point) {
	for _, r := range c.of(u) {
		if v := c.shown(r); !math.IsNaN(v) {
			out = append(out, point{Name: c.text(r), Value: pair(Wall(r.At, c.Zone), v)})
		}
	}
	return out
}

// text is what is read out and shown at a point.
func (c Course) text(r Reading) string {
	parts := []string{c.Say.Minute(r.At, c.Zone), c.Say.PlusMinus(c.shown(r), r.U, 1, c.Unit)}
	if c.seasonOut() && !math.IsNaN(r.Like) {
		parts[1] = c.Say.Text("%s at %s (measured %s)", parts[1], c.Medium.At(c.LikeAt, 0), c.Say.With(c.Say.Number(r.Measured, 1), c.Unit))
	}
	for _, more := range []string{r.Part, r.Note} {
		if more != "" {
			parts = append(parts, more)
		}
	}
	return strings.Join(parts, ", ")
}
