package thermo

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"rimelog/thermo/internal/equilibrium"
	"rimelog/thermo/internal/mixture"
	"rimelog/thermo/internal/piecewise"
)

// Fast answers the same questions as Refrigerant from polynomials fitted to its
// equations: saturation curves over ln(p) and T, and one patch each for
// superheated gas and subcooled liquid over ln(p) and the distance from
// saturation, so that the phase boundary is an edge of the patch. Beyond the
// curves and patches it calls the equations; beyond those it returns their
// error.
//
// It is built at first use of a refrigerant (a few ten milliseconds), read-only
// and shared by goroutines. How near it is to the equations is tested and
// printed in ACCURACY.md.
type Fast struct {
	r      *Refrigerant
	t      *tables
	dh, ds float64 // from the IIR datum to r's, J/kg and J/(kg K)
}

// tables are the fitted curves and patches; enthalpy and entropy count from
// the IIR datum.
type tables struct {
	bubble, dew      *piecewise.Curve // over ln(p): the channels below
	lnPB, lnPD       *piecewise.Curve // over T: ln(p)
	gas, liquid      *piecewise.Patch // over ln(p) and K from saturation: the channels below
	tMin, tMax       float64          // K, range of the equations
	denseLo, denseHi float64          // ln(p) of the dense patch, empty where there is none
}

// Channels of the saturation curves.
const (
	curveT = iota
	curveLnRho
	curveH
	curveS
)

// Channels of the patches.
const (
	patchH = iota
	patchS
	patchLnRho
	patchCp
	patchCv
	patchSound
)

// Tolerances of the fits: of the last coefficients, which the error follows
// closely.
var (
	curveTolerance = []float64{2e-8, 1e-8, 2e-3, 1e-5}          // K, 1, J/kg, J/(kg K)
	patchTolerance = []float64{1.5, 6e-3, 1e-5, 0.5, 0.5, 1e-2} // J/kg, J/(kg K), 1, J/(kg K), J/(kg K), m/s
)

const (
	fastReduced   = 0.985 // of the critical temperature: where curves end
	fastCold      = 193.15
	fastSuperheat = 110  // K, width of the gas patch
	fastSubcool   = 45   // K, width of the liquid patch
	fastPatchP    = 10e3 // Pa, where patches begin
)

// Fast returns the fitted form of the refrigerant.
func (r *Refrigerant) Fast() (*Fast, error) {
	c := r.entry.core
	t, err := c.tables()
	if err != nil {
		return nil, fmt.Errorf("%s: fast path: %w", r.Name(), err)
	}
	iir, err := c.offsets.of[IIR]()
	if err != nil {
		return nil, err
	}
	own, err := c.offsets.of[r.datum]()
	if err != nil {
		return nil, err
	}
	m := r.MolarMass()
	return &Fast{r: r, t: t, dh: (own.h - iir.h) / m, ds: (own.s - iir.s) / m}, nil
}

// Refrigerant is what f was fitted to.
func (f *Fast) Refrigerant() *Refrigerant { return f.r }

// fitter evaluates the equations where the fits ask for them.
type fitter struct {
	m  *model
	l  *lines
	o  offset
	ph *mixture.Phase

	lastP, lastT, lastRho float64 // the state before, a start for the next density
}

func newTables(c *core) (*tables, error) {
	m, err := c.model()
	if err != nil {
		return nil, err
	}
	l, err := c.lines()
	if err != nil {
		return nil, err
	}
	o, err := c.offsets.of[IIR]()
	if err != nil {
		return nil, err
	}
	newFitter := func() *fitter { return &fitter{m: m, l: l, o: o, ph: mixture.NewPhase(m.mix)} }
	f := newFitter()
	t := &tables{tMin: l.tMin, tMax: m.tMax, denseLo: math.Inf(1)}
	if l.tc <= denseWarmest {
		t.denseLo, t.denseHi = math.Log(denseFrom*l.pc), math.Log(denseTo*l.pc)
	}
	if t.bubble, t.lnPB, err = f.curves(equilibrium.Bubble); err != nil {
		return nil, fmt.Errorf("bubble curve: %w", err)
	}
	if t.dew, t.lnPD, err = f.curves(equilibrium.Dew); err != nil {
		return nil, fmt.Errorf("dew curve: %w", err)
	}
	return t, t.fitPatches(f, newFitter())
}

// fitPatches fits both patches at the same time, each with its own fitter.
func (t *tables) fitPatches(a, b *fitter) error {
	var wg sync.WaitGroup
	var errG, errL error
	wg.Go(func() { t.gas, errG = a.patch(t.dew, fastSuperheat, a.gas) })
	wg.Go(func() { t.liquid, errL = b.patch(t.bubble, fastSubcool, b.liquid) })
	wg.Wait()
	if err := errors.Join(errG, errL); err != nil {
		return fmt.Errorf("patches: %w", err)
	}
	return nil
}

// curves fits one saturation line both ways.
func (f *fitter) curves(k side) (overP, overT *piecewise.Curve, err error) {
	line := f.l.side(k)
	low, high, _, _ := line.Range()
	low = max(low, min(fastCold, 0.55*f.l.tc))
	high = min(high, fastReduced*f.l.tc)
	a, errA := line.AtT(low)
	b, errB := line.AtT(high)
	if err := errors.Join(errA, errB); err != nil {
		return nil, nil, err
	}
	overP, err = piecewise.NewCurve(math.Log(a.P), math.Log(b.P), curveTolerance, func(x float64, out []float64) error {
		pt, err := line.AtP(math.Exp(x))
		if err != nil {
			return err
		}
		rho := pt.Vapour
		if k == equilibrium.Bubble {
			rho = pt.Liquid
		}
		f.ph.At(f.m.z, pt.T)
		f.ph.Density(rho)
		q := f.ph.Caloric()
		out[curveT], out[curveLnRho] = pt.T, math.Log(rho*f.m.m)
		out[curveH], out[curveS] = (q.H+f.o.h)/f.m.m, (q.S+f.o.s)/f.m.m
		return nil
	})
	if err != nil {
		return nil, nil, err
	}
	overT, err = piecewise.NewCurve(low, high, []float64{1e-9}, func(x float64, out []float64) error {
		pt, err := line.AtT(x)
		out[0] = math.Log(pt.P)
		return err
	})
	return overP, overT, err
}

// patch fits one single-phase region beside a saturation curve.
func (f *fitter) patch(edge *piecewise.Curve, width float64, density func(lnP, sat, t float64) (float64, error)) (*piecewise.Patch, error) {
	lo, hi := edge.Domain()
	lo = min(max(lo, math.Log(fastPatchP)), hi-1)
	sign := 1.0
	if edge.At(curveLnRho, lo) > edge.At(curveLnRho, hi) { // liquid expands towards the critical point
		sign = -1
	}
	return piecewise.NewPatch(lo, hi, 0, width, patchTolerance, func(x, y float64, out []float64) error {
		t := edge.At(curveT, x) + sign*y
		f.ph.At(f.m.z, t)
		rho, err := density(math.Exp(x), math.Exp(edge.At(curveLnRho, x))/f.m.m, t)
		if err != nil {
			return piecewise.ErrAbsent
		}
		f.lastP, f.lastT, f.lastRho = math.Exp(x), t, rho
		f.read(rho, out)
		return nil
	})
}

// read fills the channels of a patch at the molar density rho.
func (f *fitter) read(rho float64, out []float64) {
	f.ph.Density(rho)
	q := f.ph.Caloric()
	out[patchH], out[patchS], out[patchLnRho] = (q.H+f.o.h)/f.m.m, (q.S+f.o.s)/f.m.m, math.Log(rho*f.m.m)
	out[patchCp], out[patchCv], out[patchSound] = q.Cp/f.m.m, q.Cv/f.m.m, math.Sqrt(q.W2)
}

// gas finds the density of superheated gas: at one pressure it is below that of
// the dew point.
func (f *fitter) gas(p, sat, t float64) (float64, error) {
	start := p / (f.ph.R * t)
	if f.lastRho > 0 { // the compressibility of the state before
		start *= f.lastRho * f.ph.R * f.lastT / f.lastP
	}
	return equilibrium.Density(f.ph, p, 0.5*p/(f.ph.R*t), sat*(1+1e-6), start)
}

// liquid finds the density of subcooled liquid: it is above that of the bubble
// point at the same temperature.
func (f *fitter) liquid(p, _, t float64) (float64, error) {
	// Below the line's cold end, where no call gets to, the fit may go on.
	least, ok := f.l.bubble.NearT(max(t, f.l.tMin))
	if !ok {
		pt, err := f.l.bubble.AtT(max(t, f.l.tMin))
		if err != nil {
			return 0, err
		}
		least = pt.Liquid
	}
	hi := max(1.5*least, 1.2*equilibrium.StartDensity(f.m.mix, f.m.z))
	return equilibrium.Density(f.ph, p, least*(1-1e-4), hi, least*1.001)
}
