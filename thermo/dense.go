package thermo

import (
	"math"

	"rimelog/thermo/internal/equilibrium"
	"rimelog/thermo/internal/mixture"
	"rimelog/thermo/internal/piecewise"
)

// The dense patch covers the high side of transcritical plants: pressures above
// the critical one, over ln(p) and T, with the first three channels of the other
// patches. It is built only for refrigerants that can work there, and only when
// a call needs it. Heat capacity and speed of sound have needles there and are
// left to the equations.
const (
	denseWarmest = 333.15 // K: critical temperature up to which a plant is transcritical
	denseFrom    = 1.003  // of the critical pressure
	denseTo      = 2.1
	denseBelow   = 45.0 // K below and above the critical temperature
	denseAbove   = 125.0
)

// denseTolerance is of enthalpy, entropy and ln(density): the requirement is 20
// J/kg and 1e-4.
var denseTolerance = []float64{2, 8e-3, 2e-5}

// newDense fits the dense patch; nil when the refrigerant needs none.
func newDense(c *core) (*piecewise.Patch, error) {
	m, err := c.model()
	if err != nil {
		return nil, err
	}
	l, err := c.lines()
	if err != nil {
		return nil, err
	}
	o, err := c.offsets.of[IIR]()
	if err != nil || l.tc > denseWarmest {
		return nil, err
	}
	f := &fitter{m: m, l: l, o: o, ph: mixture.NewPhase(m.mix)}
	low, high := max(l.tMin, l.tc-denseBelow), min(m.tMax, l.tc+denseAbove)
	hi := 1.2 * equilibrium.StartDensity(m.mix, m.z)
	return piecewise.NewPatch(math.Log(denseFrom*l.pc), math.Log(denseTo*l.pc), low, high, denseTolerance,
		func(x, t float64, out []float64) error {
			f.ph.At(m.z, t)
			p := math.Exp(x)
			ideal := p / (f.ph.R * t)
			lo, start := ideal*0.5, min(ideal, hi/2)
			if pt, err := l.bubble.AtT(t); err == nil { // below: liquid, and false roots among lower densities
				lo, start = pt.Liquid, 1.05*pt.Liquid
			}
			rho, err := equilibrium.Density(f.ph, p, lo, hi, start)
			if err != nil {
				return piecewise.ErrAbsent
			}
			f.ph.Density(rho)
			q := f.ph.Caloric()
			out[patchH], out[patchS], out[patchLnRho] = (q.H+f.o.h)/f.m.m, (q.S+f.o.s)/f.m.m, math.Log(rho*f.m.m)
			return nil
		})
}

// densePatch is the dense patch when p is in its range of pressures.
func (f *Fast) densePatch(x float64) *piecewise.Patch {
	if !(x >= f.t.denseLo && x <= f.t.denseHi) {
		return nil
	}
	patch, err := f.r.entry.core.dense()
	if err != nil {
		return nil // the equations answer, with their own error
	}
	return patch
}

// denseIsentropic follows the dense patch at constant ln(p) to the entropy s.
func denseIsentropic(patch *piecewise.Patch, x, s, tMax float64) (h float64, ok bool) {
	low, high := patch.Span()
	t := low + 0.6*(high-low)
	for range 12 {
		cell, ok := patch.Find(x, t)
		if !ok {
			return 0, false
		}
		row := patch.Row(patchS, cell, x)
		if t, ok = follow(&row, t, s); ok {
			return patch.At(patchH, cell, x, t), t <= tMax
		}
		t = min(max(t, low), high)
	}
	return 0, false
}
