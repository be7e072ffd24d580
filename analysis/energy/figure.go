package energy

import (
	"math"
	"slices"

	"rimelog/analysis/robust"
)

// median is that of the values that are there, NaN where there are none.
func median(x []float64) float64 {
	m, err := robust.Median(x)
	if err != nil {
		return math.NaN()
	}
	return m
}

// mean is that of the values that are there, NaN where there are none.
func mean(x []float64) float64 {
	return robust.Average(x)
}

func sum(x []float64) (total float64) {
	for _, v := range x {
		total += v
	}
	return total
}

// clustered is a weighted mean, and its standard error when values of one cluster
// (a day) stand or fall together: residuals are summed within a cluster before they
// are squared, as for a ratio of cluster totals (Cochran, Sampling Techniques, 3rd
// edition, section 9A.1, from memory).
func clustered(value, weight []float64, cluster []int) (m, se float64, clusters int) {
	var sum, total float64
	for i, v := range value {
		sum, total = sum+v*weight[i], total+weight[i]
	}
	if !(total > 0) {
		return math.NaN(), math.NaN(), 0
	}
	m = sum / total
	residual := map[int]float64{}
	var order []int
	for i, v := range value {
		if _, seen := residual[cluster[i]]; !seen {
			order = append(order, cluster[i])
		}
		residual[cluster[i]] += weight[i] * (v - m)
	}
	slices.Sort(order) // one order of summing: same bytes
	var square float64
	for _, c := range order {
		square += residual[c] * residual[c]
	}
	n := float64(len(order))
	if n < 2 {
		return m, math.NaN(), len(order)
	}
	return m, math.Sqrt(square*n/(n-1)) / total, len(order)
}

// within is by how much, either way, the sum of two errors goes at most with a
// confidence: one that lies evenly between plus and minus a limit, and a normal one. The
// distribution of the sum is worked out, not taken for normal (JCGM 101:2008, 5.3): one
// that is nearly all within limits keeps to them.
func within(confidence, limit, sd float64) float64 {
	if limit == 0 || !finite(limit+sd) {
		return robust.Student(confidence, manyDays) * sd
	}
	sd = math.Max(sd, 1e-6*limit)
	covers := func(half float64) float64 {
		return sd/limit*(below((half+limit)/sd)-below((half-limit)/sd)) - 1
	}
	low, high := 0.0, limit+8*sd
	for range 50 {
		if middle := (low + high) / 2; covers(middle) < confidence {
			low = middle
		} else {
			high = middle
		}
	}
	return (low + high) / 2
}

// below is the integral of the normal distribution up to x.
func below(x float64) float64 {
	return x*math.Erfc(-x/math.Sqrt2)/2 + math.Exp(-x*x/2)/math.Sqrt(2*math.Pi)
}
