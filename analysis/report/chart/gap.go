package chart

import (
	"math"
	"slices"
)

// segments cuts points that follow each other at roughly even steps where one is
// not a number, or where the step is more than gapFactor times the usual (median)
// step. It returns the half-open index ranges of the points that belong together.
// The times must not fall.
func segments(times []int64, ok func(i int) bool) [][2]int {
	limit := gapLimit(times)
	var out [][2]int
	start := -1
	for i := range times {
		if start >= 0 && (!ok(i) || float64(times[i]-times[i-1]) > limit) {
			out = append(out, [2]int{start, i})
			start = -1
		}
		if start < 0 && ok(i) {
			start = i
		}
	}
	if start >= 0 {
		out = append(out, [2]int{start, len(times)})
	}
	return out
}

// gapFactor says how much longer than usual a step may be before it is shown as
// a gap. Common practice, no source.
const gapFactor = 3

func gapLimit(times []int64) float64 {
	steps := make([]int64, 0, len(times))
	for i := 1; i < len(times); i++ {
		if d := times[i] - times[i-1]; d > 0 {
			steps = append(steps, d)
		}
	}
	if len(steps) < 3 {
		return math.Inf(1)
	}
	slices.Sort(steps)
	return gapFactor * float64(steps[len(steps)/2])
}
