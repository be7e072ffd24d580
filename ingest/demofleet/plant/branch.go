package plant

import "math"

// A Branch is an evaporator with its expansion device. A plant has one; a pack has
// several side by side, between the same liquid line and the same suction line.
type Branch struct {
	Coil   Coil
	Valve  Valve
	Warmer float64 // how much warmer its medium is than the plant's source, K
}

// mostBranches a plant may have.
const mostBranches = 4

// An Outlet is how one branch runs.
type Outlet struct {
	Superheat float64 // of the gas that leaves it; below zero is wetness, K
	Opening   float64 // of its valve, 1
	Temp      float64 // of the gas that leaves it, °C
	Flow      float64 // refrigerant, kg/s
	Cooling   float64 // kW
	SourceOut float64 // medium leaving it, °C

	enthalpy float64
}

// leastOpening keeps shares of the flow defined while a solver shuts a valve.
const leastOpening = 1e-6

// open sets the valves as the unknowns say and shares the flow between them: all see
// the same pressures and the same liquid, so it goes by their open areas. It returns
// the shares and the valves taken as one. A stuck valve is the first one's.
func (p *Plant) open(c Conditions, s *Point, x vector) (shares [mostBranches]float64, all Valve) {
	all = p.Branches[0].Valve
	all.Area = 0
	var area float64
	for i, b := range p.Branches {
		v := b.Valve
		if i == 0 && c.Faults.ValveStuck > 0 {
			v.Stuck = c.Faults.ValveStuck
		}
		o := &s.Branches[i]
		o.Opening, o.Superheat = v.position(x[firstValve+i], c.Source+b.Warmer-s.Evaporating)
		o.Temp = s.Evaporating + max(o.Superheat, 0)
		shares[i] = v.Area * max(o.Opening, leastOpening)
		area += shares[i]
		all.Area += v.Area
		all.now += v.Area * o.Opening
	}
	all.now /= all.Area
	for i := range p.Branches {
		shares[i] /= area
	}
	return shares, all
}

// mixed is the gas that leaves all branches together, and its superheat.
func (p *Plant) mixed(s *Point, shares [mostBranches]float64) (Gas, float64) {
	f := p.Fluid
	var gas Gas
	var sum float64
	for i := range p.Branches {
		o := &s.Branches[i]
		gas = f.wet(f.Gas(s.Evaporating, max(o.Superheat, 0)), s.Evaporating, wetness(o.Superheat))
		o.enthalpy = gas.Enthalpy
		sum += shares[i] * o.enthalpy
	}
	if len(p.Branches) == 1 {
		return gas, max(s.Branches[0].Superheat, 0)
	}
	return f.warmed(sum, s.Evaporating, s.cold)
}

// evaporate shares the surface of a branch's evaporator between two phases and gas.
// Fouling is the first one's.
func (p *Plant) evaporate(c Conditions, s *Point, i int, in feed) shares {
	f, b, o := p.Fluid, p.Branches[i], &s.Branches[i]
	flow := c.SourceFlow
	if i == 0 {
		flow *= 1 - c.Faults.EvaporatorFouling
	}
	coil, medium := b.Coil.at(flow, o.Flow), c.Source+b.Warmer
	dew := s.cold
	o.Cooling = o.Flow * (o.enthalpy - in.enthalpy)
	o.SourceOut = medium - o.Cooling/coil.Medium
	var z shares
	z.twoPhase = coil.latent(o.Flow*(min(o.enthalpy, dew.Enthalpy)-in.enthalpy), f.EvaporatingMean(s.Evaporating, in.enthalpy), medium)
	z.gas = coil.sensible(coil.Gas, o.Flow*max(o.enthalpy-dew.Enthalpy, 0), s.Evaporating, o.Temp, medium)
	if s.Evaporating > medium {
		z.twoPhase = math.NaN()
	}
	return z
}
