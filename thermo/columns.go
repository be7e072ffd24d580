package thermo

import (
	"math"

	"rimelog/thermo/internal/piecewise"
)

// RowError is one row of a column call that has no answer.
type RowError struct {
	Row int
	Err error
}

// Column calls take and fill whole columns in SI units, without allocating
// unless a row has no answer. Such a row, a missing value included, is listed in
// the result in order, and dst holds NaN there so that it cannot be mistaken for
// a value. dst must be as long as the inputs, and may be one of them.

// DewTemperatures fills dst with the dew temperatures (K) at the pressures p (Pa).
func (f *Fast) DewTemperatures(dst, p []float64) []RowError {
	return column(dst, p, f.t.dew, func(v float64) (float64, error) {
		t, err := f.r.DewT(Pascal(v))
		return float64(t), err
	})
}

// BubbleTemperatures fills dst with the bubble temperatures (K) at the pressures p (Pa).
func (f *Fast) BubbleTemperatures(dst, p []float64) []RowError {
	return column(dst, p, f.t.bubble, func(v float64) (float64, error) {
		t, err := f.r.BubbleT(Pascal(v))
		return float64(t), err
	})
}

// column evaluates the temperature channel of a curve over ln(p).
func column(dst, p []float64, c *piecewise.Curve, exact func(float64) (float64, error)) (bad []RowError) {
	dst = dst[:len(p)]
	for i, v := range p {
		if x := math.Log(v); c.Contains(x) {
			dst[i] = c.At(curveT, x)
			continue
		}
		bad = fallback(dst, i, bad, func() (float64, error) { return exact(v) })
	}
	return bad
}

// fallback takes row i from the equations.
func fallback(dst []float64, i int, bad []RowError, exact func() (float64, error)) []RowError {
	v, err := exact()
	if err != nil {
		dst[i] = math.NaN()
		return append(bad, RowError{i, err})
	}
	dst[i] = v
	return bad
}

// DewPressures fills dst with the dew pressures (Pa) at the temperatures t (K).
func (f *Fast) DewPressures(dst, t []float64) []RowError {
	return pressureColumn(dst, t, f.t.lnPD, func(v float64) (float64, error) {
		p, err := f.r.DewP(Kelvin(v))
		return float64(p), err
	})
}

// BubblePressures fills dst with the bubble pressures (Pa) at the temperatures t (K).
func (f *Fast) BubblePressures(dst, t []float64) []RowError {
	return pressureColumn(dst, t, f.t.lnPB, func(v float64) (float64, error) {
		p, err := f.r.BubbleP(Kelvin(v))
		return float64(p), err
	})
}

func pressureColumn(dst, t []float64, c *piecewise.Curve, exact func(float64) (float64, error)) (bad []RowError) {
	dst = dst[:len(t)]
	for i, v := range t {
		if c.Contains(v) {
			dst[i] = math.Exp(c.At(0, v))
			continue
		}
		bad = fallback(dst, i, bad, func() (float64, error) { return exact(v) })
	}
	return bad
}

// Superheats fills dst with t less the dew temperature at p (K).
func (f *Fast) Superheats(dst, p, t []float64) []RowError {
	return rows(dst, p, t, func(p, t float64) (float64, error) {
		k, err := f.Superheat(Pascal(p), Kelvin(t))
		return float64(k), err
	})
}

// Subcoolings fills dst with the bubble temperature at p less t (K).
func (f *Fast) Subcoolings(dst, p, t []float64) []RowError {
	return rows(dst, p, t, func(p, t float64) (float64, error) {
		k, err := f.Subcooling(Pascal(p), Kelvin(t))
		return float64(k), err
	})
}

// DewSlopes fills dst with dT/dp of the dew line at p (K/Pa): what turns the
// uncertainty of a pressure into one of the superheat.
func (f *Fast) DewSlopes(dst, p []float64) []RowError {
	return rows(dst, p, p, func(p, _ float64) (float64, error) { return f.DewSlope(Pascal(p)) })
}

// BubbleSlopes fills dst with dT/dp of the bubble line at p (K/Pa).
func (f *Fast) BubbleSlopes(dst, p []float64) []RowError {
	return rows(dst, p, p, func(p, _ float64) (float64, error) { return f.BubbleSlope(Pascal(p)) })
}

// rows fills dst row by row from two columns.
func rows(dst, a, b []float64, call func(a, b float64) (float64, error)) (bad []RowError) {
	dst, b = dst[:len(a)], b[:len(a)]
	for i, v := range a {
		x, err := call(v, b[i])
		if err != nil {
			x = math.NaN()
			bad = append(bad, RowError{i, err})
		}
		dst[i] = x
	}
	return bad
}

// Enthalpies fills dst with the enthalpies (J/kg) of the single-phase states at
// pressures p and temperatures t.
func (f *Fast) Enthalpies(dst, p, t []float64) []RowError {
	return f.property(dst, p, t, patchH, f.dh, func(s *State) float64 { return float64(s.Enthalpy) })
}

// Entropies fills dst with entropies, J/(kg K).
func (f *Fast) Entropies(dst, p, t []float64) []RowError {
	return f.property(dst, p, t, patchS, f.ds, func(s *State) float64 { return float64(s.Entropy) })
}

// Densities fills dst with densities, kg/m3.
func (f *Fast) Densities(dst, p, t []float64) []RowError {
	return f.property(dst, p, t, patchLnRho, 0, func(s *State) float64 { return float64(s.Density) })
}

// HeatCapacities fills dst with isobaric heat capacities, J/(kg K).
func (f *Fast) HeatCapacities(dst, p, t []float64) []RowError {
	return f.property(dst, p, t, patchCp, 0, func(s *State) float64 { return float64(s.Cp) })
}

// property fills dst from one channel of the patches plus a constant, and from
// the equations outside them.
func (f *Fast) property(dst, p, t []float64, channel int, add float64, exact func(*State) float64) (bad []RowError) {
	dst, t = dst[:len(p)], t[:len(p)]
	for i, v := range p {
		if s, ok := f.locate(v, t[i]); ok && s.patch.Has(channel) {
			dst[i] = s.at(channel) + add
			if channel == patchLnRho {
				dst[i] = math.Exp(dst[i])
			}
			continue
		}
		state, err := f.r.At(Pascal(v), Kelvin(t[i]))
		if err != nil {
			dst[i] = math.NaN()
			bad = append(bad, RowError{i, err})
			continue
		}
		dst[i] = exact(&state)
	}
	return bad
}
