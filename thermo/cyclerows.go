package thermo

import (
	"errors"
	"fmt"
	"math"

	"rimelog/thermo/internal/piecewise"
)

// CycleColumns are the logged channels of one circuit, a row per sample, in Pa,
// K and W. A channel that is not logged is nil; a missing value is NaN. SuctionP
// decides the number of rows.
type CycleColumns struct {
	SuctionP, SuctionT     []float64 // at the compressor's inlet
	DischargeP, DischargeT []float64 // at its outlet
	LiquidP                []float64 // before the expansion device; nil: DischargeP
	LiquidT                []float64
	Power                  []float64 // electrical power of the compressor
	ShellLoss              float64   // fraction of Power lost by the shell, 0 to below 1
	Displacement           float64   // swept volume flow, m3/s; 0 when unknown
	Source, Sink           *SecondaryColumns
	Map                    *CompressorMap
	// Heating says that heat is the useful side: Carnot fractions are then
	// those of the heating COP.
	Heating bool
	// Subcooler says that a mechanical subcooler takes part of the work: no
	// Carnot fraction is given.
	Subcooler bool
}

// SecondaryColumns is a logged stream of water, brine or air: kg/s and K.
type SecondaryColumns struct {
	MassFlow, In, Out []float64
	Cp                float64 // J/(kg K)
}

// CycleResults are the derived columns. A nil column is not worked out; the
// others must be as long as the input. Temperatures and differences are K.
// Evaporator outlet is taken to be the suction state. Each flow and capacity
// names its route.
type CycleResults struct {
	EvaporatingDew, EvaporatingBubble, EvaporatingMid []float64
	CondensingDew, CondensingBubble, CondensingMid    []float64
	Superheat, Subcooling, DischargeSuperheat         []float64
	PressureRatio                                     []float64
	IsentropicEfficiency, VolumetricEfficiency        []float64
	CoolingCOP, HeatingCOP                            []float64
	MassFlow                                          []float64 // kg/s, RouteEnergyBalance
	Cooling, Heating                                  []float64 // W, RouteEnergyBalance
	MapFlow, MapPower                                 []float64 // kg/s, W, RouteCompressorMap
	SourceHeat, SinkHeat                              []float64 // W, RouteSecondaryFluid: given up, taken up
	SourceFlow, SinkFlow                              []float64 // kg/s, RouteSecondaryFluid
	// Two Carnot fractions that must never be compared: internal between the
	// dew temperatures, external between the entering temperatures of the media.
	CarnotInternal, CarnotExternal []float64
}

// ErrMissing says that a row has no value in a channel that a result needs.
var ErrMissing = errors.New("value missing")

// Validate says what is wrong with the constants of the columns.
func (c *CycleColumns) Validate() error {
	var bad []error
	if !(c.ShellLoss >= 0 && c.ShellLoss < 1) {
		bad = append(bad, fmt.Errorf("shell loss fraction %g: want 0 or more and less than 1", c.ShellLoss))
	}
	if !(c.Displacement >= 0) {
		bad = append(bad, fmt.Errorf("displacement %g m3/s: want 0 (unknown) or more", c.Displacement))
	}
	if c.Map != nil {
		bad = append(bad, c.Map.Validate())
	}
	for _, s := range []*SecondaryColumns{c.Source, c.Sink} {
		if s != nil && !(s.Cp > 0) {
			bad = append(bad, fmt.Errorf("heat capacity of the secondary fluid %g J/(kg K): want more than 0", s.Cp))
		}
	}
	return errors.Join(bad...)
}

// Cycle works the derived columns out. It allocates nothing but the list of
// rows that lack some answer; there the column holds NaN. A row can be listed
// more than once, with a reason each time; row -1 is a fault of the constants,
// for which nothing is worked out.
func (f *Fast) Cycle(dst *CycleResults, in *CycleColumns) []RowError {
	if err := in.Validate(); err != nil {
		return []RowError{{-1, err}}
	}
	r := cycleRow{f: f, in: in, dst: dst}
	for i := range in.SuctionP {
		r.row(i)
	}
	return r.bad
}

// cycleRow is the working state of one row.
type cycleRow struct {
	f   *Fast
	in  *CycleColumns
	dst *CycleResults
	i   int
	bad []RowError

	p1, p2           float64
	h1, s1, rho1     float64
	h2, h2s, h3      float64
	dew1, dew2       float64
	bubble1, bubble2 float64
}

func (r *cycleRow) row(i int) {
	r.i = i
	r.p1, r.p2 = at(r.in.SuctionP, i), at(r.in.DischargeP, i)
	ratio := math.NaN()
	if r.p1 > 0 && r.p2 > 0 {
		ratio = r.p2 / r.p1
	}
	put(r.dst.PressureRatio, i, ratio)
	r.suction()
	r.discharge()
	r.liquid()
	r.results()
}

// at reads a column that may be nil.
func at(column []float64, i int) float64 {
	if column == nil {
		return math.NaN()
	}
	return column[i]
}

// put writes a column that may be nil.
func put(column []float64, i int, v float64) {
	if column != nil {
		column[i] = v
	}
}

func (r *cycleRow) fail(err error) { r.bad = append(r.bad, RowError{r.i, err}) }

// saturation reads both saturation temperatures at p.
func (r *cycleRow) saturation(p float64, x float64) (dew, bubble float64) {
	dew, bubble = math.NaN(), math.NaN()
	if r.f.t.dew.Contains(x) && r.f.t.bubble.Contains(x) {
		return r.f.t.dew.At(curveT, x), r.f.t.bubble.At(curveT, x)
	}
	if math.IsNaN(p) {
		return dew, bubble
	}
	d, err := r.f.DewT(Pascal(p))
	if err != nil {
		r.fail(err)
		return dew, bubble
	}
	b, err := r.f.BubbleT(Pascal(p))
	if err != nil {
		r.fail(err)
		return float64(d), bubble
	}
	return float64(d), float64(b)
}

// suction fills the evaporating side and the suction state.
func (r *cycleRow) suction() {
	i, t1, x := r.i, at(r.in.SuctionT, r.i), math.Log(r.p1)
	r.dew1, r.bubble1 = r.saturation(r.p1, x)
	put(r.dst.EvaporatingDew, i, r.dew1)
	put(r.dst.EvaporatingBubble, i, r.bubble1)
	put(r.dst.EvaporatingMid, i, (r.dew1+r.bubble1)/2)
	put(r.dst.Superheat, i, t1-r.dew1)
	r.h1, r.s1, r.rho1 = math.NaN(), math.NaN(), math.NaN()
	switch {
	case math.IsNaN(r.p1) || math.IsNaN(t1):
		r.fail(ErrMissing)
	case t1 <= r.dew1:
		r.fail(fmt.Errorf("suction gas at %.2f K is not superheated: its state is unknown", t1))
	default:
		r.gas(r.p1, t1, x, t1-r.dew1)
	}
}

// gas reads the suction state from the patch, or from the equations.
func (r *cycleRow) gas(p, t, x, y float64) {
	f := r.f
	if cell, ok := f.t.gas.Find(x, y); ok && t <= f.t.tMax {
		s := spot{f.t.gas, cell, x, y}
		r.h1, r.s1, r.rho1 = s.at(patchH)+f.dh, s.at(patchS)+f.ds, math.Exp(s.at(patchLnRho))
		return
	}
	s, err := f.r.At(Pascal(p), Kelvin(t))
	if err != nil {
		r.fail(err)
		return
	}
	r.h1, r.s1, r.rho1 = float64(s.Enthalpy), float64(s.Entropy), float64(s.Density)
}

// discharge fills the condensing side, the discharge enthalpy and that of an
// isentropic compression.
func (r *cycleRow) discharge() {
	i, t2, x := r.i, at(r.in.DischargeT, r.i), math.Log(r.p2)
	r.dew2, r.bubble2 = r.saturation(r.p2, x)
	put(r.dst.CondensingDew, i, r.dew2)
	put(r.dst.CondensingBubble, i, r.bubble2)
	put(r.dst.CondensingMid, i, (r.dew2+r.bubble2)/2)
	put(r.dst.DischargeSuperheat, i, t2-r.dew2)
	r.h2 = r.enthalpy(r.f.t.gas, r.p2, t2, x, t2-r.dew2)
	r.h2s = math.NaN()
	if math.IsNaN(r.s1) || math.IsNaN(r.p2) {
		return
	}
	if h, ok := r.f.isentropic(x, r.s1-r.f.ds); ok {
		r.h2s = h + r.f.dh
		return
	}
	h, err := r.f.r.IsentropicEnthalpy(Pascal(r.p2), JoulePerKgK(r.s1))
	if err != nil {
		r.fail(err)
		return
	}
	r.h2s = float64(h)
}

// liquid fills subcooling and the enthalpy before the expansion device.
func (r *cycleRow) liquid() {
	p, t3, bubble := r.p2, at(r.in.LiquidT, r.i), r.bubble2
	if r.in.LiquidP != nil {
		p = r.in.LiquidP[r.i]
		_, bubble = r.saturation(p, math.Log(p))
	}
	put(r.dst.Subcooling, r.i, bubble-t3)
	r.h3 = r.enthalpy(r.f.t.liquid, p, t3, math.Log(p), bubble-t3)
}

// enthalpy reads a single-phase enthalpy at distance y from the saturation line
// from a patch, or from the equations.
func (r *cycleRow) enthalpy(patch *piecewise.Patch, p, t, x, y float64) float64 {
	f := r.f
	if cell, ok := patch.Find(x, y); ok && t >= f.t.tMin && t <= f.t.tMax {
		return patch.At(patchH, cell, x, y) + f.dh
	}
	if s, ok := f.locate(p, t); ok && !(y <= 0) {
		return s.at(patchH) + f.dh
	}
	switch {
	case math.IsNaN(p) || math.IsNaN(t):
		r.fail(ErrMissing)
		return math.NaN()
	case y <= 0:
		r.fail(fmt.Errorf("%.2f K at %.6g Pa lies on the wrong side of saturation: its enthalpy is unknown", t, p))
		return math.NaN()
	}
	s, err := f.r.At(Pascal(p), Kelvin(t))
	if err != nil {
		r.fail(err)
		return math.NaN()
	}
	return float64(s.Enthalpy)
}

// results fills what follows from the enthalpies. NaN in, NaN out: the reason
// is listed already.
func (r *cycleRow) results() {
	i, d := r.i, r.dst
	rise := r.h2 - r.h1
	if rise <= 0 {
		r.fail(fmt.Errorf("enthalpy falls over the compressor by %.0f J/kg: check the discharge and suction sensors", -rise))
		rise = math.NaN()
	}
	work := rise / (1 - r.in.ShellLoss)
	cooling, heating := r.h1-r.h3, r.h2-r.h3
	put(d.IsentropicEfficiency, i, (r.h2s-r.h1)/rise)
	put(d.CoolingCOP, i, cooling/work)
	put(d.HeatingCOP, i, heating/work)
	flow := at(r.in.Power, i) / work
	put(d.MassFlow, i, flow)
	put(d.Cooling, i, flow*cooling)
	put(d.Heating, i, flow*heating)
	if r.in.Displacement > 0 {
		put(d.VolumetricEfficiency, i, flow/(r.rho1*r.in.Displacement))
	} else {
		put(d.VolumetricEfficiency, i, math.NaN())
	}
	r.compressorMap()
	r.secondary(cooling, heating)
	r.carnot(cooling/work, heating/work)
}
