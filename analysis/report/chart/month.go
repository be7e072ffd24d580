package chart

import (
	"math"
	"time"

	"rimelog/analysis/robust"
	"rimelog/analysis/say"
)

// ByMonth makes one of the readings of a calendar month, in UTC, that lie before a time, on one
// side of every event with a new baseline, and are alike but for their figures: the mean of
// each figure, in the middle of them. A logger that stays has one a day for years, more than a
// screen has columns. The standard uncertainty stays that of a reading: what instruments are
// off by does not average out.
func (c Course) ByMonth(before time.Time) (out []Reading) {
	for rest := c.Readings; len(rest) > 0; {
		n := 1
		for n < len(rest) && rest[n].At.Before(before) && c.joins(rest[n-1], rest[n]) {
			n++
		}
		out = append(out, mean(rest[:n], c.Say))
		rest = rest[n:]
	}
	return out
}

// joins tells whether a reading is of one month with that before it, and like it but for its
// figures.
func (c Course) joins(r, next Reading) bool {
	return monthOf(r.At) == monthOf(next.At) && r.Use == next.Use && r.Left == next.Left && r.Part == next.Part && r.Note == next.Note &&
		math.IsNaN(r.Like) == math.IsNaN(next.Like) && !c.reset(r.At, next.At)
}

// monthOf counts the months up to a time, in UTC.
func monthOf(t time.Time) int {
	y, m, _ := t.UTC().Date()
	return 12*y + int(m)
}

// mean is one reading for several.
func mean(rs []Reading, l say.Locale) Reading {
	if len(rs) == 1 {
		return rs[0]
	}
	of := func(figure func(Reading) float64) float64 {
		var x []float64
		for _, r := range rs {
			x = append(x, figure(r))
		}
		m, _, _, err := robust.Mean(x)
		if err != nil {
			return math.NaN()
		}
		return m
	}
	r := rs[len(rs)/2]
	r.Measured, r.Like = of(func(r Reading) float64 { return r.Measured }), of(func(r Reading) float64 { return r.Like })
	r.U, r.Outdoor = of(func(r Reading) float64 { return r.U }), of(func(r Reading) float64 { return r.Outdoor })
	r.Note = l.Text("mean of a month: %s", l.Count(len(rs), "reading"))
	return r
}
