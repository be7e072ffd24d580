package robust

import "math"

// Autocorrelation returns how an evenly sampled series resembles itself k steps
// later, for k from 0 (which is 1) to maxLag: the usual estimate with divisor n.
// It needs a series without gaps, longer than maxLag, that is not constant.
func Autocorrelation(x []float64, maxLag int) ([]float64, error) {
	c, err := wholeRows("autocorrelation", max(2, maxLag+1), x)
	if err != nil {
		return nil, err
	}
	if len(c[0]) != len(x) {
		return nil, &TooFewError{What: "autocorrelation without gaps", Need: len(x), Have: len(c[0])}
	}
	mean, _, _, _ := Mean(x)
	out := make([]float64, maxLag+1)
	for k := range out {
		for i := k; i < len(x); i++ {
			out[k] += (x[i] - mean) * (x[i-k] - mean)
		}
	}
	if out[0] == 0 {
		return nil, ErrSingular
	}
	for k := len(out) - 1; k >= 0; k-- {
		out[k] /= out[0]
	}
	return out, nil
}

// Period returns the length, in samples, of the rhythm of an evenly sampled
// series, and how strong it is (the autocorrelation there, up to 1). It is the
// first peak of the autocorrelation after it has gone below zero, placed between
// samples by a parabola; 0 where there is none of at least least strength.
// Rhythms longer than longest samples, or half of the series, are not looked for.
func Period(x []float64, longest int, least float64) (period, strength float64) {
	acf, err := Autocorrelation(x, min(longest+1, len(x)/2))
	if err != nil {
		return 0, 0
	}
	k := 1
	for k < len(acf) && acf[k] > 0 {
		k++
	}
	best := 0
	for ; k < len(acf)-1; k++ {
		peak := acf[k] >= acf[k-1] && acf[k] >= acf[k+1]
		if peak && acf[k] >= least && (best == 0 || acf[k] > acf[best]*1.1) {
			best = k
		}
	}
	if best == 0 {
		return 0, 0
	}
	return float64(best) + vertex(acf[best-1], acf[best], acf[best+1]), acf[best]
}

// vertex is where the parabola through three neighbours peaks, from the middle one.
func vertex(a, b, c float64) float64 {
	curve := a - 2*b + c
	if curve >= 0 {
		return 0
	}
	return (a - c) / (2 * curve)
}

// EffectiveSize is how many independent values an evenly sampled series is
// worth, for the uncertainty of its mean: n(1-ρ)/(1+ρ) with ρ its lag-1
// autocorrelation, between 1 and n. Source: Priestley, Spectral Analysis and
// Time Series (1981), sec. 5.3 for a first-order process.
func EffectiveSize(x []float64) float64 {
	n := float64(len(x))
	acf, err := Autocorrelation(x, 1)
	if err != nil {
		return max(n, 1)
	}
	return math.Min(n, math.Max(1, n*(1-acf[1])/(1+acf[1])))
}
