package equilibrium

import (
	"math"

	"rimelog/thermo/internal/mixture"
)

// Density finds the density at which ph, set to a composition and temperature,
// has pressure p, between lo and hi (mol/m3), where pressure must rise with
// density; start is a guess. It is Newton's method in ln(rho) kept inside a
// shrinking bracket.
func Density(ph *mixture.Phase, p, lo, hi, start float64) (float64, error) {
	a, b := math.Log(lo), math.Log(hi)
	x := math.Log(start)
	for range 100 {
		if !(x > a && x < b) {
			x = (a + b) / 2
		}
		got, slope := ph.Pressure(math.Exp(x))
		if got > p {
			b = x
		} else {
			a = x
		}
		step := (p - got) / slope
		if got > 0 && slope > 0 && got < p {
			step = math.Log(p/got) * got / slope // ln(p) is straighter for a gas
		}
		if !(slope > 0) {
			step = math.Inf(1)
		}
		x += step
		if math.Abs(step) < 1e-10 {
			got, slope = ph.Pressure(math.Exp(x))
			return math.Exp(x + (p-got)/slope), nil
		}
		if b-a < 1e-14 {
			return math.Exp(x), nil
		}
	}
	return 0, ErrNoDensity
}

// Upper returns a density above every liquid state of ph up to pressure p.
func Upper(ph *mixture.Phase, p, liquid float64) (float64, error) {
	hi := liquid
	for range 60 {
		if got, slope := ph.Pressure(hi); got > p && slope > 0 {
			return hi, nil
		}
		hi *= 1.02
	}
	return 0, ErrNoDensity
}

// StartDensity estimates the density of cold liquid of composition x.
func StartDensity(m *mixture.Model, x []float64) float64 { return startDensity(m, x) }
