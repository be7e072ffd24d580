package chart

import (
	"math"
	"time"

	"rimelog/analysis/robust"
	"rimelog/analysis/say"
)

// week is what times are cut to. Go counts from the first day of year 1, a Monday.
const week = 7 * 24 * time.Hour

// ByWeek makes one of the readings of a week, from Monday on in UTC, that lie before a time
// and are alike but for their figures: the mean of each figure, in the middle of them. A
// logger that stays has one a day for years, more than a screen has columns. The standard
// uncertainty stays that of a reading: what instruments are off by does not average out.
func ByWeek(readings []Reading, before time.Time, l say.Locale) (out []Reading) {
	for len(readings) > 0 {
		n := 1
		for n < len(readings) && readings[n].At.Before(before) && readings[0].joins(readings[n]) {
			n++
		}
		out = append(out, mean(readings[:n], l))
		readings = readings[n:]
	}
	return out
}

// joins tells whether two readings are of one week and alike but for their figures.
func (r Reading) joins(other Reading) bool {
	return r.At.Truncate(week).Equal(other.At.Truncate(week)) && r.Use == other.Use && r.Left == other.Left && r.Part == other.Part && r.Note == other.Note &&
		math.IsNaN(r.Like) == math.IsNaN(other.Like)
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
	r.Note = l.Text("mean of a week: %s", l.Count(len(rs), "reading"))
	return r
}
