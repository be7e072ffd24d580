package plant

import (
	"errors"
	"fmt"
	"math"
)

// A Design is the operating point a plant is made for. Plant sizes everything so
// that this point is exactly met.
type Design struct {
	Fluid                   *Fluid
	Cooling                 float64   // kW
	Evaporating, Condensing float64   // °C; for a blend the mean of dew and bubble
	Source, Sink, Surround  float64   // °C
	Superheat, Subcooling   float64   // K
	SourceNTU, SinkNTU      float64   // conductance over heat capacity flow of the medium, two phases
	SuctionRise             float64   // warming of the suction gas in its line, K
	LiquidDrop              float64   // cooling of the liquid in its line, K
	Warmer                  []float64 // of further evaporators: how much warmer their media are than the source, K; all give the same cooling
	SuctionLoss             float64   // pressure lost in the suction line, K of saturation temperature
	DischargeLoss           float64   // the same in the discharge line
	Oil                     float64   // in the compressor, kg for each kW of cooling

	Expansion Expansion
	Opening   float64 // of the valve
	Gradient  float64 // of a thermostatic valve, K

	Isentropic, Falloff, Clearance, HeatLoss float64 // of the compressor

	CondenserLitre, EvaporatorLitre float64 // inside volumes per kW of cooling
	LiquidLineLitre, SuctionLitre   float64 // inside volumes
	ReceiverLitre, ReceiverLevel    float64 // 0 if there is none
	Fan                             Fan
	Flood                           float64 // condensing temperature held up by flooding, °C; 0 if it is not
}

// Check returns everything that makes the design impossible, by field.
func (d Design) Check() error {
	if d.Fluid == nil {
		return errors.New("fluid missing")
	}
	var errs []error
	want := func(ok bool, field string, value float64, wanted string) {
		if !ok {
			errs = append(errs, fmt.Errorf("%s %g: want %s", field, value, wanted))
		}
	}
	cold, hot := d.Fluid.Glide(d.Evaporating)/2, d.Fluid.Glide(d.Condensing)/2
	want(d.Cooling > 0, "cooling", d.Cooling, "more than 0 kW")
	want(d.Evaporating+cold+d.Superheat < d.Source, "evaporating", d.Evaporating, "dew temperature and superheat below the source")
	want(d.Condensing-hot-d.Subcooling > d.Sink, "condensing", d.Condensing, "bubble temperature less subcooling above the sink")
	want(d.Surround > d.Evaporating+cold+d.Superheat, "surround", d.Surround, "air around the pipes warmer than the suction gas")
	want(d.Superheat >= 0, "superheat", d.Superheat, "0 K or more")
	want(d.Subcooling >= 0, "subcooling", d.Subcooling, "0 K or more")
	want(d.ReceiverLitre == 0 || d.Subcooling == 0, "subcooling", d.Subcooling, "0 K with a receiver, which takes saturated liquid")
	want(d.Flood == 0 || d.ReceiverLitre > 0, "flood", d.Flood, "0 without a receiver, whose liquid fills the condenser")
	want(d.Opening > 0 && d.Opening <= 1, "opening", d.Opening, "above 0, at most 1")
	want(d.SuctionLoss >= 0 && d.SuctionLoss <= 5, "suction loss", d.SuctionLoss, "0 to 5 K")
	want(d.DischargeLoss >= 0 && d.DischargeLoss <= 5, "discharge loss", d.DischargeLoss, "0 to 5 K")
	want(d.Oil >= 0 && d.Oil <= 2, "oil", d.Oil, "0 to 2 kg/kW")
	want(len(d.Warmer) < mostBranches, "warmer", float64(len(d.Warmer)), "at most 3 further evaporators")
	for _, by := range d.Warmer {
		want(d.Evaporating+cold+d.Superheat < d.Source+by, "warmer", by, "dew temperature and superheat below the medium of every evaporator")
	}
	want(d.CondenserLitre > 0 && d.EvaporatorLitre > 0, "volume", d.CondenserLitre, "coil volumes above 0")
	return errors.Join(errs...)
}

// lineShare is the share of the high side's pressure drop in the liquid line and
// its drier when the valve is fully open (common practice, no source).
const lineShare = 0.15

// Conductances of gas and liquid zones over that of two phases: the resistance
// inside the tube is several times higher (common practice, no source).
const (
	gasShare    = 0.35
	liquidShare = 0.55
)

// Plant sizes the plant and returns it with its design point and conditions.
func (d Design) Plant() (*Plant, Point, Conditions, error) {
	if err := d.Check(); err != nil {
		return nil, Point{}, Conditions{}, err
	}
	d.Evaporating, d.Condensing = d.Fluid.dewOfMean(d.Evaporating), d.Fluid.dewOfMean(d.Condensing)
	p := d.frame()
	c := Conditions{Source: d.Source, Sink: d.Sink, Surround: d.Surround, Speed: 1, Charge: 1, SourceFlow: 1}
	x := vector{evaporatingAt: d.Evaporating, condensingAt: d.Condensing, exitAt: d.exit()}
	for i, b := range p.Branches {
		x[firstValve+i] = b.Valve.unknown(d.Opening, d.Superheat, d.Source+b.Warmer-d.Evaporating)
	}
	s := d.size(p, c, x)
	c.Charge = s.Inventory.Total()
	p.RatedCharge, p.RatedCooling = c.Charge, s.Cooling
	s, ok := p.newton(c, Point{unknowns: x})
	if !ok {
		return nil, s, c, fmt.Errorf("design point: %w", ErrNoPoint)
	}
	return p, s, c, nil
}

// exit is the condenser's unknown at the design point.
func (d Design) exit() float64 {
	if d.ReceiverLitre > 0 {
		return d.ReceiverLevel * levelSpan
	}
	return unlevel(d.Subcooling, d.Fluid.Bubble(d.Condensing)-d.Sink)
}

// frame is the plant with everything that need not be sized; coils, valve and
// compressor have size one.
func (d Design) frame() *Plant {
	const litre = 1e-3
	n := float64(1 + len(d.Warmer))
	var branches []Branch
	for _, by := range append([]float64{0}, d.Warmer...) {
		branches = append(branches, Branch{coil(d.SourceNTU, d.EvaporatorLitre*d.Cooling/n*litre), Valve{
			Kind: d.Expansion, Area: 1, Closed: d.Superheat - d.Gradient*d.Opening, Gradient: d.Gradient,
			LineShare: lineShare,
		}, by})
	}
	return &Plant{
		Fluid:       d.Fluid,
		Compressor:  Compressor{1, d.Clearance, d.Isentropic, d.Falloff, d.HeatLoss, 0},
		Condenser:   coil(d.SinkNTU, d.CondenserLitre*d.Cooling*litre),
		Branches:    branches,
		Oil:         d.Oil * d.Cooling,
		Fan:         d.Fan,
		Flood:       d.Flood,
		LiquidLine:  d.LiquidLineLitre * litre,
		SuctionSide: d.SuctionLitre * litre,
		Receiver:    d.ReceiverLitre * litre,
	}
}

// coil is one with a medium of 1 kW/K.
func coil(ntu, volume float64) Coil {
	return Coil{1, ntu, gasShare * ntu, liquidShare * ntu, volume, 1}
}

// size gives compressor, lines, coils and valve the size the point needs.
func (d Design) size(p *Plant, c Conditions, x vector) Point {
	f := p.Fluid
	bubble := f.Bubble(d.Condensing)
	out := bubble - d.Subcooling
	gas := f.Gas(d.Evaporating, d.Superheat)
	flow := d.Cooling / (gas.Enthalpy - f.LiquidEnthalpy(out-d.LiquidDrop))
	p.LiquidLoss = flow * (f.LiquidEnthalpy(out) - f.LiquidEnthalpy(out-d.LiquidDrop)) / (out - d.Surround)
	p.SuctionGain = -flow * gas.HeatCapacity * math.Log(1-d.SuctionRise/(d.Surround-d.Evaporating-d.Superheat))
	p.SuctionLine = Pipe{f.Pressure(d.Evaporating) - f.Pressure(d.Evaporating-d.SuctionLoss), flow, gas.Density}
	p.DischargeLine = Pipe{f.Pressure(d.Condensing+d.DischargeLoss) - f.Pressure(d.Condensing), flow, f.Gas(d.Condensing, 0).Density}
	p.Compressor.Displacement = flow / gas.Density
	p.Condenser.Flow = flow
	for i := range p.Branches {
		p.Branches[i].Coil.Flow = flow / float64(len(p.Branches))
	}
	var s Point
	// Flow, suction warming and losses depend on each other: some rounds settle them.
	for range 20 {
		s, _ = p.state(c, x)
		more := flow / s.Flow // flow now, and its square as pressure lost in the lines
		p.Compressor.Displacement *= more
		p.Compressor.Idle = idleShare / (1 - idleShare) * (s.Input - p.Compressor.Idle)
		p.SuctionLine.Drop *= ratioOr1(d.SuctionLoss, s.Evaporating-s.SuctionDew) / (more * more)
		p.DischargeLine.Drop *= ratioOr1(d.DischargeLoss, s.DischargeDew-s.Condensing) / (more * more)
	}
	_, open := p.state(c, x)
	p.Condenser = p.Condenser.times(open[0] + 1)
	for i := range p.Branches {
		b := &p.Branches[i]
		b.Coil, b.Valve.Area = b.Coil.times(open[firstValve+i]+1), b.Valve.Area/(open[1]+1)
	}
	s, _ = p.state(c, x)
	return s
}

// ratioOr1 is a over b, or 1 where b is 0.
func ratioOr1(a, b float64) float64 {
	if b == 0 {
		return 1
	}
	return a / b
}

// times is the coil with another size and the same volume.
func (c Coil) times(size float64) Coil {
	return Coil{c.Medium * size, c.TwoPhase * size, c.Gas * size, c.Liquid * size, c.Volume, c.Flow}
}
