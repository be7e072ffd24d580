package plant

import "math"

// A Coil is a heat exchanger between the refrigerant and a medium (air, water or
// brine). The refrigerant passes zones of gas, two phases and liquid; each zone
// takes its share of the surface and of the medium.
//
// A zone is a cross-flow exchanger with the medium unmixed and the refrigerant
// mixed: effectiveness 1-exp(-(1-exp(-NTU))·C/C_r) (Kays & London, Compact Heat
// Exchangers, 3rd ed. 1984, table 2-2). Solved for the share of the surface it
// is closed.
type Coil struct {
	Medium   float64 // heat capacity flow of the medium, kW/K
	TwoPhase float64 // conductance if all of the surface were boiling or condensing, kW/K
	Gas      float64 // the same for gas
	Liquid   float64 // the same for liquid
	Volume   float64 // inside, m³
	Flow     float64 // of the refrigerant at which conductances are as given, kg/s
}

// conductanceExponent is how the conductance follows the flow of the medium:
// the resistance lies mostly on the medium's side, whose coefficient goes with
// about the root of its speed (common practice, no source).
const conductanceExponent = 0.5

// The resistance on the refrigerant's side is a share of that of two phases (common
// practice for finned coils, no source); its coefficient goes with a power of the flow,
// that of turbulent flow in tubes (Dittus & Boelter 1930; condensing: Shah, Int. J. Heat
// Mass Transfer 22, 1979; boiling falls about as much, by flow and heat together).
const (
	insideShare    = 0.25
	insideExponent = 0.8
)

// at returns the coil with a share of its medium's flow, and a flow of refrigerant, kg/s.
func (c Coil) at(flow, refrigerant float64) Coil {
	k, slower := math.Pow(flow, conductanceExponent), math.Pow(refrigerant/c.Flow, -insideExponent)-1
	// What is not on the medium's side lies inside: more of it in the zones of one phase.
	zone := func(conductance float64) float64 {
		inside := 1 - (1-insideShare)*conductance/c.TwoPhase
		return conductance * k / (1 + inside*slower)
	}
	return Coil{c.Medium * flow, zone(c.TwoPhase), zone(c.Gas), zone(c.Liquid), c.Volume, c.Flow}
}

// pull is the heat per K between a zone's refrigerant and the medium entering,
// if the zone had the whole surface, kW/K.
func (c Coil) pull(conductance float64) float64 {
	return c.Medium * (1 - math.Exp(-conductance/c.Medium))
}

// sensible is the share of the surface over which a flow's temperature goes from
// one end to the other against a medium; heat is the flow's heat, kW. It is NaN
// where the far end lies beyond the medium.
func (c Coil) sensible(conductance, heat, from, to, medium float64) float64 {
	a, b := from-medium, to-medium
	if a == b {
		return 0
	}
	if !(a*b > 0) {
		return math.NaN()
	}
	return math.Abs(heat/(a-b)) * math.Abs(math.Log(a/b)) / c.pull(conductance)
}

// latent is the share of the surface over which two phases at a temperature
// exchange heat with a medium. It is NaN where the temperatures have met.
func (c Coil) latent(heat, at, medium float64) float64 {
	d := math.Abs(at - medium)
	if !(d > 1e-3) {
		return math.NaN()
	}
	return heat / (c.pull(c.TwoPhase) * d)
}
