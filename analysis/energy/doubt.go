package energy

import (
	"math"
	"slices"
)

// A Doubt is the standard uncertainty of each reading of a state, in its unit,
// as far as instruments go: the same on every day with the same instruments.
type Doubt State

// parts lists the readings of a state in a fixed order.
func (s *State) parts() []*float64 {
	return []*float64{
		&s.SuctionPressure, &s.DischargePressure, &s.LiquidPressure, &s.SuctionTemp, &s.DischargeTemp, &s.LiquidTemp, &s.EvaporatorExit, &s.CoilTemp,
		&s.Power, &s.RefrigerantFlow, &s.SinkIn, &s.SinkOut, &s.SinkFlow, &s.SourceIn, &s.SourceOut, &s.SourceFlow,
		&s.EvaporatorAirOn, &s.EvaporatorAirOff, &s.EvaporatorHumidity, &s.CondenserAirOn, &s.CondenserAirOff, &s.Outdoor, &s.Room,
	}
}

// Doubts works out the relative standard uncertainty of the COP by each route:
// every reading is moved by its standard uncertainty, one at a time, and the
// changes are added in quadrature (JCGM 100:2008, 5.1.2, with 5.1.3's numerical
// derivatives). Readings count as uncorrelated. The shell's loss and the suction
// line's gain, where they are assumed, and the air's flow, count as readings.
func (m *Machine) Doubts(s State, u Doubt) [Routes]float64 {
	base := m.byRoute(s)
	var sum [Routes]float64
	move := func(moved [Routes]float64) {
		for r, cop := range moved {
			if d := math.Log(cop / base[r]); finite(d) {
				sum[r] += d * d
			}
		}
	}
	uncertain := State(u)
	steps := uncertain.parts()
	for i, reading := range s.parts() {
		if before := *reading; finite(before) && finite(*steps[i]) {
			*reading += *steps[i]
			move(m.byRoute(s))
			*reading = before
		}
	}
	var out [Routes]float64
	for r := range out {
		out[r] = math.Sqrt(sum[r] + m.assumed(Route(r), s))
		if !finite(base[r]) {
			out[r] = math.NaN()
		}
	}
	return out
}

// airFlowLimit is the limit of error of a flow of air taken from a sheet, as a
// share. Common practice, no source.
const airFlowLimit = 0.15

// limit is that of the COP's error, as a share, by what the route assumes within limits
// and knows no better: an even distribution, the same on every day.
func (r Route) limit() float64 {
	switch r {
	case ByStates:
		return shellLossLimit / (1 - shellLoss)
	case ByAir:
		return airFlowLimit
	}
	return 0
}

// assumed is the relative variance of what a route takes for granted.
func (m *Machine) assumed(r Route, s State) float64 {
	square := func(limit float64) float64 { return limit * limit / 3 }
	switch r {
	case ByStates:
		v := square(r.limit())
		if m.Mode == Cooling && !finite(s.EvaporatorExit) {
			v += square(lineGainLimit * m.perDegree(s))
		}
		return v
	case ByRefrigerantFlow:
		if m.Mode == Cooling && !finite(s.EvaporatorExit) {
			return square(lineGainLimit * m.perDegree(s))
		}
	case ByAir:
		return square(r.limit())
	case RejectedHeat:
		return square(shellLossLimit * s.Power / m.fromRejected(s))
	}
	return 0
}

// perDegree is how much a degree of gas temperature changes the refrigerating
// effect, as a share.
func (m *Machine) perDegree(s State) float64 {
	here, err := m.perKilogram(s, shellLoss)
	s.EvaporatorExit = s.SuctionTemp
	warm, err2 := m.perKilogram(s, shellLoss)
	s.EvaporatorExit = s.SuctionTemp + 1
	warmer, err3 := m.perKilogram(s, shellLoss)
	if err != nil || err2 != nil || err3 != nil || !finite(warmer.use) {
		return 0
	}
	return (warmer.use - warm.use) / here.use
}

// byRoute is the COP by each route, NaN where there is none.
func (m *Machine) byRoute(s State) [Routes]float64 {
	var out [Routes]float64
	for r := range out {
		out[r] = math.NaN()
	}
	for _, p := range m.Perform(s) {
		out[p.Route] = p.COP
	}
	return out
}

// A Disagreement is two routes that give different heat for the same boundary.
type Disagreement struct {
	One, Other Route
	Ratio      float64 // of their COPs
	U          float64 // standard uncertainty of the ratio, as a share
}

// String names the routes.
func (d Disagreement) String() string { return d.One.String() + " and " + d.Other.String() }

// mostApart is how many standard uncertainties two routes may differ by: one pair in 370
// goes beyond by chance (normal distribution).
const mostApart = 3.0

// far tells whether the routes differ by more than their doubt allows.
func (d Disagreement) far() bool { return d.off() > mostApart }

// off is by how many standard uncertainties the routes differ.
func (d Disagreement) off() float64 { return math.Abs(math.Log(d.Ratio)) / d.U }

// Disagreements lists pairs of routes whose COPs differ by more than their doubt
// allows. Routes of different boundaries are not compared.
func Disagreements(results []Result, u [Routes]float64) []Disagreement {
	return slices.DeleteFunc(pairsOf(results, u), func(d Disagreement) bool { return !d.far() })
}

// pairsOf lists all pairs of routes that may be compared.
func pairsOf(results []Result, u [Routes]float64) (out []Disagreement) {
	for i, a := range results {
		for _, b := range results[i+1:] {
			if a.Problem == nil && b.Problem == nil && a.Boundary == b.Boundary && a.COP > 0 && b.COP > 0 {
				out = append(out, Disagreement{a.Route, b.Route, a.COP / b.COP, math.Hypot(u[a.Route], u[b.Route])})
			}
		}
	}
	return out
}
