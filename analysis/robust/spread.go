package robust

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// normalMAD makes the median absolute deviation of a normal sample its standard
// deviation: 1/Φ⁻¹(3/4).
const normalMAD = 1.4826022185056018

// fewValues is how many a median is found of without asking for memory: most are of a few.
const fewValues = 64

// Median returns the middle value; of an even number, the mean of the middle two.
func Median(x []float64) (float64, error) {
	var room [fewValues]float64
	known, err := values("median", 1, x, room[:0])
	if err != nil {
		return math.NaN(), err
	}
	return medianOf(known), nil
}

// middle is the median of a sorted, non-empty slice.
func middle(sorted []float64) float64 {
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	return sorted[n/2-1] + (sorted[n/2]-sorted[n/2-1])/2
}

// Quantile returns the value below which the share p (0..1) of the sample lies,
// interpolated between neighbours as stat.LinInterp of gonum does it, which asks for
// sorted values.
func Quantile(x []float64, p float64) (float64, error) {
	v, err := values("quantile", 1, x, nil)
	if err != nil {
		return math.NaN(), err
	}
	return quantileOf(v, min(max(p, 0), 1)), nil
}

// Mean returns the mean and the sample standard deviation (divisor n-1; NaN for
// a single value) with the number of values used.
func Mean(x []float64) (mean, sd float64, n int, err error) {
	c, err := wholeRows("mean", 1, x)
	if err != nil {
		return math.NaN(), math.NaN(), 0, err
	}
	mean, sd = stat.MeanStdDev(c[0], nil)
	if len(c[0]) == 1 {
		sd = math.NaN()
	}
	return mean, sd, len(c[0]), nil
}

// Average is the mean that Mean returns, without the spread; NaN where there is none.
func Average(x []float64) float64 {
	for _, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			mean, _, _, _ := Mean(x)
			return mean
		}
	}
	return stat.Mean(x, nil) // 0/0 where there are no values
}

// MAD returns the median and the median absolute deviation from it, scaled so
// that it estimates the standard deviation of a normal sample.
func MAD(x []float64) (median, spread float64, err error) {
	v, err := values("MAD", 2, x, nil)
	if err != nil {
		return math.NaN(), math.NaN(), err
	}
	sort.Float64s(v)
	median = middle(v)
	for i, x := range v {
		v[i] = math.Abs(x - median)
	}
	sort.Float64s(v)
	return median, normalMAD * middle(v), nil
}

// Qn estimates the standard deviation of a normal sample from the lower quarter
// of all pairwise distances. It stands half of the values being wild and is
// better than MAD in small samples.
//
// Source: Rousseeuw & Croux, J. Am. Stat. Assoc. 88 (1993) 1273: the estimator,
// its factor 2.2219 and the small-sample factors d_n.
func Qn(x []float64) (float64, error) {
	v, err := values("Qn", 2, x, nil)
	if err != nil {
		return math.NaN(), err
	}
	n := len(v)
	var room [fewPairs]float64
	dist := slices.Grow(room[:0], n*(n-1)/2)
	for i := range v {
		for j := range i {
			dist = append(dist, math.Abs(v[i]-v[j]))
		}
	}
	h := n/2 + 1
	return 2.2219 * qnFactor(n) * nth(dist, h*(h-1)/2-1), nil
}

// qnFactor corrects Qn for small samples.
func qnFactor(n int) float64 {
	small := [...]float64{2: .399, 3: .994, 4: .512, 5: .844, 6: .611, 7: .857, 8: .669, 9: .872}
	switch {
	case n < len(small):
		return small[n]
	case n%2 == 1:
		return float64(n) / (float64(n) + 1.4)
	}
	return float64(n) / (float64(n) + 3.8)
}

// Student is the factor on a standard error, estimated with df degrees of
// freedom (at least 1), within which a normal value lies with the given
// confidence: 1.96 at 0.95 and many, 4.30 at 0.95 and 2.
func Student(confidence float64, df int) float64 {
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(1, float64(df))}
	return t.Quantile((1 + confidence) / 2)
}
