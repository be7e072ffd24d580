package chart

import "math"

// sum returns lowest, mean and highest of the values that are numbers, and how many there are.
func sum(values []float64) (lo, mean, hi float64, n int) {
	var e extent
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		e.show(v)
		mean += v
		n++
	}
	if n == 0 {
		return math.NaN(), math.NaN(), math.NaN(), 0
	}
	return e.lo, mean / float64(n), e.hi, n
}
