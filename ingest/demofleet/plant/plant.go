package plant

import "math"

// A Plant is one refrigerant circuit.
type Plant struct {
	Fluid      *Fluid
	Compressor Compressor
	Condenser  Coil
	Branches   []Branch // one to four evaporators with their valves
	Fan        Fan      // what moves the condenser's medium

	SuctionLine   Pipe    // from the evaporators to the compressor
	DischargeLine Pipe    // from the compressor to the condenser
	Oil           float64 // in the compressor, kg

	LiquidLine   float64 // volume up to the valve, m³
	LiquidLoss   float64 // conductance of the liquid line to its surroundings, kW/K
	SuctionGain  float64 // conductance of the suction line to its surroundings, kW/K
	SuctionSide  float64 // volume of suction line and compressor shell, m³
	Receiver     float64 // volume of a liquid receiver after the condenser, m³; 0 if there is none
	Flood        float64 // condensing temperature held up by flooding the condenser, °C; with a receiver only, 0 if it is not
	RatedCharge  float64 // mass at the design point, kg
	RatedCooling float64 // evaporators' heat at the design point, kW
}

// Reversed is the plant with its coils in each other's place, as a four-way valve
// puts them. Head pressure is not held up then. Only a plant of one branch has one.
func (p *Plant) Reversed() *Plant {
	q, b := *p, p.Branches[0]
	q.Condenser, b.Coil, q.Fan = b.Coil, p.Condenser, Fan{}
	q.Branches = []Branch{b}
	return &q
}

// A Fan holds head pressure up: it slows in proportion from one condensing
// temperature down to another, where it reaches its least flow. The zero Fan
// runs at full speed always.
type Fan struct {
	Slow, Full float64 // condensing temperatures of least and full flow, °C
	Least      float64 // least share of the flow
}

// flow is the share of its flow the fan gives at a condensing temperature.
func (f Fan) flow(condensing float64) float64 {
	if f.Full <= f.Slow {
		return 1
	}
	x := (condensing - f.Slow) / (f.Full - f.Slow)
	return max(f.Least, min(1, f.Least+(1-f.Least)*x))
}

// Conditions is what the plant is exposed to.
type Conditions struct {
	Source     float64 // medium entering the first evaporator, °C
	Sink       float64 // medium entering the condenser, °C
	Surround   float64 // air around the pipes, °C
	Speed      float64 // compressor, share of full speed
	Charge     float64 // refrigerant in the system, kg
	Faults     Faults
	SourceFlow float64 // share of the design flow through the evaporators
}

// Faults is what is wrong with the plant. The zero Faults is a sound plant. Of several
// evaporators and valves it is the first that has them.
type Faults struct {
	CondenserFouling  float64 // share of the condenser's medium flow lost, 0 to 0.8
	EvaporatorFouling float64 // share of the evaporator's medium flow lost, 0 to 0.8
	Restriction       float64 // share of the liquid line's flow area lost, 0 to 0.98
	Wear              float64 // share of the compressor's flow that leaks back, 0 to 0.6
	Gas               float64 // partial pressure of non-condensable gas in the condenser, kPa
	ValveStuck        float64 // share of the stroke at which the valve is stuck; 0 if it moves
}

// Reversed is what is wrong once the coils are in each other's place: dirt stays on its coil.
func (f Faults) Reversed() Faults {
	f.CondenserFouling, f.EvaporatorFouling = f.EvaporatorFouling, f.CondenserFouling
	return f
}

// A Point is how the plant runs at rest.
type Point struct {
	Evaporating, Condensing               float64 // dew temperatures in the coils, °C; condensing without foreign gas
	SuctionPressure, DischargePressure    float64 // at the compressor, kPa absolute
	SuctionDew, DischargeDew              float64 // dew temperatures at these, °C
	Suction                               float64 // gas entering the compressor, °C
	Discharge                             float64 // gas leaving the compressor, °C
	CondenserOut, Liquid                  float64 // leaving the condenser, and before the valve, °C
	Superheat                             float64 // at the first evaporator's outlet; below zero is wetness, K
	Subcooling                            float64 // true, at the condenser's outlet, K
	ExitQuality                           float64 // leaving the condenser, 1
	ValveQuality                          float64 // before the valve, 1
	Opening                               float64 // of the first valve, 1
	Level                                 float64 // of the receiver, 1
	Flow                                  float64 // refrigerant, kg/s
	Cooling, Heating, Input               float64 // kW; input is the compressor's electric power
	LineLoss, SuctionGain, CompressorLoss float64 // heat to and from the surroundings, kW
	SourceOut, SinkOut                    float64 // media leaving, the source the first evaporator, °C
	FanFlow                               float64 // share of the condenser's medium flow
	Flooded                               float64 // share of the condenser that head-pressure control keeps full of liquid
	Inventory                             Inventory
	Branches                              [mostBranches]Outlet

	hot, cold Gas     // saturated, in the condenser and in the evaporators
	high, low float64 // pressures there, without foreign gas, kPa
	bubble    float64 // bubble temperature in the condenser, °C
	unknowns  vector
	jacobian  matrix // about this point, nearly
}

// Reserve is the liquid in the receiver that can go before gas leaves it, kg.
func (p *Plant) Reserve(s Point) float64 {
	f := p.Fluid
	return p.Receiver * s.Level * (f.LiquidDensity(f.Bubble(s.Condensing)) - s.hot.Density)
}

// COP is cooling over the compressor's input.
func (p Point) COP() float64 { return p.Cooling / p.Input }

// wetnessPerK turns superheat below zero into liquid in the gas. It only scales
// the unknown.
const wetnessPerK = 0.02

// qualityPerK turns the condenser's unknown below zero into quality at its outlet.
const qualityPerK = 0.04

// levelSpan is how much of the condenser's unknown a receiver takes from empty
// to full, K.
const levelSpan = 10.0

// outlet turns the condenser's unknown into subcooling, exit quality and level of
// the receiver. Subcooling nears the most that the sink allows.
func (p *Plant) outlet(s, most float64) (subcooling, quality, filled float64) {
	switch {
	case s < 0:
		return 0, -s * qualityPerK, 0
	case p.Receiver == 0:
		return level(s, most), 0, 0
	case s < levelSpan:
		return 0, 0, s / levelSpan
	}
	return level(s-levelSpan, most), 0, 1
}

// The unknowns are the evaporating and the condensing temperature, what leaves the
// condenser, and the position of each valve. They close as many balances.
const (
	evaporatingAt = iota
	condensingAt
	exitAt
	firstValve
	mostUnknowns = firstValve + mostBranches
)

// state works out everything that follows from the unknowns, and how far the
// balances are from closing: condenser's area, flow through the valves, mass, and
// the area of each evaporator.
func (p *Plant) state(c Conditions, x vector) (Point, vector) {
	s := Point{Evaporating: x[evaporatingAt], unknowns: x}
	s.Condensing, s.Flooded = p.hold(x[condensingAt], x[exitAt])
	f := p.Fluid
	s.hot, s.cold = f.Gas(s.Condensing, 0), f.Gas(s.Evaporating, 0)
	s.high, s.low, s.bubble = f.Pressure(s.Condensing), f.Pressure(s.Evaporating), f.Bubble(s.Condensing)
	shares, valves := p.open(c, &s, x)
	s.Subcooling, s.ExitQuality, s.Level = p.outlet(x[exitAt], s.bubble-c.Sink)
	gas, superheat := p.mixed(&s, shares)
	condenser := p.condense(c, &s, p.gasSide(c, &s, gas, superheat))
	in := p.expand(c, &s, valves)
	p.fill(&s, condenser, in)
	var r vector
	for i, b := range p.Branches {
		o := &s.Branches[i]
		o.Flow = shares[i] * s.Flow
		z := p.evaporate(c, &s, i, in)
		s.Inventory.Evaporator += b.Coil.Volume * p.boiling(&s, o, z, in)
		s.Cooling += o.Cooling
		r[firstValve+i] = z.total() - 1
	}
	first := s.Branches[0]
	s.Superheat, s.Opening, s.SourceOut = first.Superheat, first.Opening, first.SourceOut
	r[0], r[1], r[2] = condenser.total()-1, in.flow/s.Flow-1, s.Inventory.Total()/c.Charge-1
	return s, r
}

// How a valve that floods the condenser holds the condensing temperature: below
// it the condenser fills over so many K of the unknown, and the temperature still
// falls by so much of it. Without liquid in the receiver it loses its hold over so
// many K of the condenser's unknown.
const (
	floodSpan = 20.0
	floodFall = 0.02
	floodEnd  = 10.0
)

// hold turns the condensing unknown into the condensing temperature and the share
// of the condenser that is flooded. What leaves the flooded part cold is warmed
// again by the hot gas that the valve lets past the condenser.
func (p *Plant) hold(x, s float64) (condensing, flooded float64) {
	if p.Receiver == 0 || p.Flood == 0 || x >= p.Flood {
		return x, 0
	}
	grip := max(0, min(1, 1+s/floodEnd))
	held := p.Flood - floodFall*(p.Flood-x)
	return x + grip*(held-x), grip * min((p.Flood-x)/floodSpan, 0.95)
}

// shares is how a coil's surface is shared between its zones.
type shares struct{ gas, twoPhase, liquid, flooded float64 }

func (s shares) total() float64 { return s.gas + s.twoPhase + s.liquid + s.flooded }

// gasSide follows the gas from the evaporators' outlet, with its superheat, through the
// suction line and the compressor. It returns the enthalpy at the compressor's outlet.
// The pressure lost in the lines is that of the flow without it.
func (p *Plant) gasSide(c Conditions, s *Point, out Gas, superheat float64) (discharged float64) {
	f, k := p.Fluid, p.Compressor
	low, high := s.low, s.high
	displaced := k.Displacement * c.Speed * k.volumetric((high+c.Faults.Gas)/low, c.Faults.Wear)
	s.SuctionPressure, s.SuctionDew = low, s.Evaporating
	if d := p.SuctionLine.drop(displaced*out.Density, out.Density); d > 0 {
		s.SuctionPressure = low - d
		s.SuctionDew = f.dewNear(s.SuctionPressure, s.Evaporating)
	}
	s.DischargePressure, s.DischargeDew = high, s.Condensing
	if d := c.Faults.Gas + p.DischargeLine.drop(displaced*out.Density, s.hot.Density); d > 0 {
		s.DischargePressure = high + d
		s.DischargeDew = f.dewNear(s.DischargePressure, s.Condensing)
	}
	ratio := s.DischargePressure / s.SuctionPressure
	displaced = k.Displacement * c.Speed * k.volumetric(ratio, c.Faults.Wear)
	gain := 1 - math.Exp(-p.SuctionGain/(displaced*out.Density*out.HeatCapacity))
	warm := out.HeatCapacity * (c.Surround - s.Evaporating - superheat) * gain
	saturated := s.cold
	if s.SuctionDew != s.Evaporating {
		saturated = f.Gas(s.SuctionDew, 0)
	}
	suction, superheat := f.warmed(out.Enthalpy+warm, s.SuctionDew, saturated)
	s.Suction = s.SuctionDew + superheat
	drawn := suction
	if suction.Enthalpy < saturated.Enthalpy { // liquid boils in the shell before it is drawn in
		drawn = saturated
	}
	s.Flow = displaced * drawn.Density
	s.SuctionGain = s.Flow * warm
	return p.compress(c, s, suction.Enthalpy, drawn, ratio)
}

// wetness is the share of liquid in the gas that a superheat below zero stands for.
func wetness(superheat float64) float64 { return min(max(-superheat*wetnessPerK, 0), 0.6) }

// compress works out the compressor's input and the gas that leaves it, from the enthalpy
// of what enters and the gas that is drawn in.
func (p *Plant) compress(c Conditions, s *Point, enters float64, drawn Gas, ratio float64) float64 {
	k, r := p.Compressor, p.Fluid.gas.row(s.DischargeDew)
	ideal := r.isentropic(drawn.Entropy) - drawn.Enthalpy
	s.Input = k.input(s.Flow*max(ideal, 0.1), c.Speed, ratio, c.Faults.Wear)
	s.CompressorLoss = k.HeatLoss * s.Input
	discharged := enters + (s.Input-s.CompressorLoss)/s.Flow
	s.Discharge = s.DischargeDew + r.superheat(discharged)
	return discharged
}

// condense shares the condenser's surface between gas, two phases and liquid.
func (p *Plant) condense(c Conditions, s *Point, discharged float64) shares {
	f := p.Fluid
	s.FanFlow = p.Fan.flow(s.Condensing)
	coil := p.Condenser.at(s.FanFlow*(1-c.Faults.CondenserFouling), s.Flow)
	bubble := s.bubble
	gas, liquid := s.hot, f.LiquidEnthalpy(bubble)
	s.CondenserOut = bubble - s.Subcooling
	left := f.LiquidEnthalpy(s.CondenserOut) + s.ExitQuality*(gas.Enthalpy-liquid)
	s.Heating = s.Flow * (discharged - left)
	s.SinkOut = c.Sink + s.Heating/coil.Medium
	z := shares{flooded: s.Flooded}
	z.gas = coil.sensible(coil.Gas, s.Flow*max(discharged-gas.Enthalpy, 0), max(s.Discharge, s.Condensing), s.Condensing, c.Sink)
	condensed := s.Flow * (1 - s.ExitQuality) * (gas.Enthalpy - liquid)
	z.twoPhase = coil.latent(condensed, (s.Condensing+bubble)/2, c.Sink)
	z.liquid = coil.sensible(coil.Liquid, s.Flow*(liquid-f.LiquidEnthalpy(s.CondenserOut)), bubble, s.CondenserOut, c.Sink)
	if bubble < c.Sink || s.Condensing < c.Sink {
		z.twoPhase = math.NaN()
	}
	return z
}

// feed is what reaches the expansion device and passes it.
type feed struct {
	enthalpy, quality, density float64
	flow                       float64
}

// expand follows the liquid line and the valves.
func (p *Plant) expand(c Conditions, s *Point, v Valve) feed {
	f := p.Fluid
	bubble := s.bubble
	liquid, gas := f.LiquidEnthalpy(bubble), s.hot
	s.LineLoss = p.LiquidLoss * (s.CondenserOut - c.Surround)
	in := feed{enthalpy: f.LiquidEnthalpy(s.CondenserOut) + s.ExitQuality*(gas.Enthalpy-liquid) - s.LineLoss/s.Flow}
	s.Liquid = bubble
	if in.enthalpy < liquid {
		s.Liquid = f.liquidTemp(in.enthalpy, s.CondenserOut)
	} else {
		in.quality = (in.enthalpy - liquid) / (gas.Enthalpy - liquid)
	}
	s.ValveQuality = in.quality
	in.density = 1 / (in.quality/gas.Density + (1-in.quality)/f.LiquidDensity(s.Liquid))
	before := s.high + c.Faults.Gas
	after := s.low
	if v.Kind == Fixed {
		after = max(after, chokeShare*f.BubblePressure(s.Liquid))
	}
	in.flow = v.flow(v.now, in.density, before, after, c.Faults.Restriction)
	return in
}

// fill works out where the refrigerant is, but for that in the evaporators.
func (p *Plant) fill(s *Point, condenser shares, in feed) {
	f := p.Fluid
	hot := s.hot
	bubble := s.bubble
	liquid, cool := f.LiquidDensity(bubble), f.LiquidDensity(s.Liquid)
	superheated := f.Gas(s.Condensing, max(s.Discharge-s.Condensing, 0)/2).Density
	s.Inventory.Condenser = p.Condenser.Volume * (condenser.gas*superheated +
		condenser.twoPhase*twoPhaseDensity(s.ExitQuality, 1, hot.Density, liquid) + (condenser.liquid+condenser.flooded)*cool)
	s.Inventory.Receiver = p.Receiver * (s.Level*liquid + (1-s.Level)*hot.Density)
	line := cool
	if in.quality > 0 {
		line = twoPhaseDensity(in.quality, in.quality, hot.Density, liquid)
	}
	s.Inventory.LiquidLine = p.LiquidLine * line
	s.Inventory.SuctionSide = p.SuctionSide * f.Gas(s.SuctionDew, max(s.Suction-s.SuctionDew, 0)).Density
	s.Inventory.Oil = p.dissolved(s)
}

// boiling is the mean density in an evaporator, kg/m³.
func (p *Plant) boiling(s *Point, o *Outlet, z shares, in feed) float64 {
	f := p.Fluid
	cold, wet := s.cold, f.LiquidEnthalpy(s.Evaporating)
	inlet := max((in.enthalpy-wet)/(cold.Enthalpy-wet), 0.005)
	out := 1 - wetness(o.Superheat)
	return z.twoPhase*twoPhaseDensity(inlet, out, cold.Density, f.LiquidDensity(s.Evaporating)) +
		z.gas*f.Gas(s.Evaporating, max(o.Superheat, 0)/2).Density
}
