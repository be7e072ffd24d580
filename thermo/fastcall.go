package thermo

import (
	"math"

	"rimelog/thermo/internal/piecewise"
)

// DewT is the dew temperature at pressure p; errors as Refrigerant.DewT.
func (f *Fast) DewT(p Pascal) (Kelvin, error) {
	if x := math.Log(float64(p)); f.t.dew.Contains(x) {
		return Kelvin(f.t.dew.At(curveT, x)), nil
	}
	return f.r.DewT(p)
}

// BubbleT is the bubble temperature at pressure p.
func (f *Fast) BubbleT(p Pascal) (Kelvin, error) {
	if x := math.Log(float64(p)); f.t.bubble.Contains(x) {
		return Kelvin(f.t.bubble.At(curveT, x)), nil
	}
	return f.r.BubbleT(p)
}

// DewP is the dew pressure at temperature t.
func (f *Fast) DewP(t Kelvin) (Pascal, error) {
	if f.t.lnPD.Contains(float64(t)) {
		return Pascal(math.Exp(f.t.lnPD.At(0, float64(t)))), nil
	}
	return f.r.DewP(t)
}

// BubbleP is the bubble pressure at temperature t.
func (f *Fast) BubbleP(t Kelvin) (Pascal, error) {
	if f.t.lnPB.Contains(float64(t)) {
		return Pascal(math.Exp(f.t.lnPB.At(0, float64(t)))), nil
	}
	return f.r.BubbleP(t)
}

// DewSlope is dT/dp along the dew line, K/Pa.
func (f *Fast) DewSlope(p Pascal) (float64, error) {
	if x := math.Log(float64(p)); f.t.dew.Contains(x) {
		return f.t.dew.Slope(curveT, x) / float64(p), nil
	}
	return f.r.DewSlope(p)
}

// BubbleSlope is dT/dp along the bubble line, K/Pa.
func (f *Fast) BubbleSlope(p Pascal) (float64, error) {
	if x := math.Log(float64(p)); f.t.bubble.Contains(x) {
		return f.t.bubble.Slope(curveT, x) / float64(p), nil
	}
	return f.r.BubbleSlope(p)
}

// Saturated is a point of a saturation line: what the curves hold.
type Saturated struct {
	T        Kelvin
	P        Pascal
	Density  KgPerM3
	Enthalpy JoulePerKg
	Entropy  JoulePerKgK
}

// DewAt is the saturated vapour at pressure p.
func (f *Fast) DewAt(p Pascal) (Saturated, error) {
	if x := math.Log(float64(p)); f.t.dew.Contains(x) {
		return f.onCurve(f.t.dew, x, p), nil
	}
	return saturatedOf(f.r.DewAt(p))
}

// BubbleAt is the saturated liquid at pressure p.
func (f *Fast) BubbleAt(p Pascal) (Saturated, error) {
	if x := math.Log(float64(p)); f.t.bubble.Contains(x) {
		return f.onCurve(f.t.bubble, x, p), nil
	}
	return saturatedOf(f.r.BubbleAt(p))
}

func (f *Fast) onCurve(c *piecewise.Curve, x float64, p Pascal) Saturated {
	return Saturated{
		T: Kelvin(c.At(curveT, x)), P: p,
		Density:  KgPerM3(math.Exp(c.At(curveLnRho, x))),
		Enthalpy: JoulePerKg(c.At(curveH, x) + f.dh),
		Entropy:  JoulePerKgK(c.At(curveS, x) + f.ds),
	}
}

func saturatedOf(s State, err error) (Saturated, error) {
	return Saturated{s.T, s.P, s.Density, s.Enthalpy, s.Entropy}, err
}

// spot is a place in one of the patches.
type spot struct {
	patch *piecewise.Patch
	cell  int
	x, y  float64
}

// locate finds the patch and cell of a single-phase state.
func (f *Fast) locate(p, t float64) (spot, bool) {
	if !(t >= f.t.tMin && t <= f.t.tMax) {
		return spot{}, false
	}
	x := math.Log(p)
	if f.t.dew.Contains(x) {
		if y := t - f.t.dew.At(curveT, x); y > 0 {
			cell, ok := f.t.gas.Find(x, y)
			return spot{f.t.gas, cell, x, y}, ok
		}
	}
	if f.t.bubble.Contains(x) {
		if y := f.t.bubble.At(curveT, x) - t; y > 0 {
			cell, ok := f.t.liquid.Find(x, y)
			return spot{f.t.liquid, cell, x, y}, ok
		}
	}
	if patch := f.densePatch(x); patch != nil {
		cell, ok := patch.Find(x, t)
		return spot{patch, cell, x, t}, ok
	}
	return spot{}, false
}

func (s *spot) at(channel int) float64 { return s.patch.At(channel, s.cell, s.x, s.y) }

// At is the single-phase state at p and t; errors as Refrigerant.At.
func (f *Fast) At(p Pascal, t Kelvin) (State, error) {
	s, ok := f.locate(float64(p), float64(t))
	if !ok || !s.patch.Has(patchSound) {
		return f.r.At(p, t)
	}
	return State{
		T: t, P: p,
		Density:  KgPerM3(math.Exp(s.at(patchLnRho))),
		Enthalpy: JoulePerKg(s.at(patchH) + f.dh),
		Entropy:  JoulePerKgK(s.at(patchS) + f.ds),
		Cp:       JoulePerKgK(s.at(patchCp)),
		Cv:       JoulePerKgK(s.at(patchCv)),
		Sound:    MetrePerSecond(s.at(patchSound)),
	}, nil
}

// Superheat is t less the dew temperature at p, K; negative below the line.
func (f *Fast) Superheat(p Pascal, t Kelvin) (Kelvin, error) {
	if !(float64(t) >= f.t.tMin && float64(t) <= f.t.tMax) {
		return 0, f.r.checkT(t)
	}
	dew, err := f.DewT(p)
	return t - dew, err
}

// Subcooling is the bubble temperature at p less t, K; negative above the line.
func (f *Fast) Subcooling(p Pascal, t Kelvin) (Kelvin, error) {
	if !(float64(t) >= f.t.tMin && float64(t) <= f.t.tMax) {
		return 0, f.r.checkT(t)
	}
	bubble, err := f.BubbleT(p)
	return bubble - t, err
}

// IsentropicEnthalpy is the enthalpy at pressure p of gas with entropy s: the
// discharge of a compression without losses.
func (f *Fast) IsentropicEnthalpy(p Pascal, s JoulePerKgK) (JoulePerKg, error) {
	if h, ok := f.isentropic(math.Log(float64(p)), float64(s)-f.ds); ok {
		return JoulePerKg(h + f.dh), nil
	}
	state, err := f.r.AtPS(p, s)
	return state.Enthalpy, err
}

// isentropic follows the gas patch at constant ln(p) to the entropy s (IIR
// datum) by Newton's method on the collapsed polynomial of each cell.
func (f *Fast) isentropic(x, s float64) (h float64, ok bool) {
	if patch := f.densePatch(x); patch != nil {
		return denseIsentropic(patch, x, s, f.t.tMax)
	}
	if !f.t.dew.Contains(x) {
		return 0, false
	}
	t0 := f.t.dew.At(curveT, x)
	y := (s - f.t.dew.At(curveS, x)) * t0 / 1000 // cp is near 1000 J/(kg K)
	if !(y > 0) {
		return 0, false
	}
	y = min(y, fastSuperheat)
	for range 6 {
		cell, ok := f.t.gas.Find(x, y)
		if !ok {
			return 0, false
		}
		row := f.t.gas.Row(patchS, cell, x)
		if y, ok = follow(&row, y, s); ok {
			if t0+y > f.t.tMax {
				return 0, false
			}
			return f.t.gas.At(patchH, cell, x, y), true
		}
		if !(y >= 0 && y <= fastSuperheat) {
			return 0, false
		}
	}
	return 0, false
}

// follow is Newton's method on one row; ok is false when it leaves the cell.
func follow(row *piecewise.Row, y, want float64) (float64, bool) {
	for range 8 {
		value, slope := row.At(y)
		step := (want - value) / slope
		y += step
		if !row.Holds(y) {
			return y, false
		}
		if math.Abs(step) < 1e-5 {
			return y, true
		}
	}
	return y, false
}
