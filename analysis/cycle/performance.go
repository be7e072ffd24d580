package cycle

import (
	"math"

	"rimelog/analysis/robust"
	"rimelog/thermo"
)

// A Performance is the standard uncertainty of what Compressor works out; NaN where that is
// not known.
type Performance struct {
	IsentropicEfficiency, CoolingCOP, HeatingCOP float64
}

// CompressorWithin is Compressor with standard uncertainties: readings by their instruments,
// and by how far their means are known (spread, of each quantity; NaN adds nothing).
func (c *Circuit) CompressorWithin(row *Row, in *Instruments, spread *Row) (Performance, []Lack) {
	states, known, lacks := c.compress(row)
	u := Performance{math.NaN(), math.NaN(), math.NaN()}
	if known {
		u = c.propagated(row, states, in, spread)
	}
	return u, lacks
}

// propagated carries the uncertainty of each reading through enthalpies, by the slopes of the
// states themselves (JCGM 100:2008, 5.1.3). Readings count as uncorrelated; the high
// pressure moves discharge gas and liquid at once.
func (c *Circuit) propagated(row *Row, s thermo.Cycle, in *Instruments, spread *Row) Performance {
	work := float64(s.Discharge.Enthalpy - s.Suction.Enthalpy)
	eta, cooling, heating := row[IsentropicEfficiency], row[CoolingCOP], row[HeatingCOP]
	isentropic := isentropicEnd(s, eta)
	var sum [3]float64
	add := func(u, suction, discharge, liquid, outlet, entropy, pressure float64) { // by how much each enthalpy moves
		for i, d := range [...]float64{
			(float64(isentropic.T)*entropy+pressure/float64(isentropic.Density)-suction)/work + eta*(suction-discharge)/work,
			(outlet - liquid - cooling*(discharge-suction)) / work,
			(discharge - liquid - heating*(discharge-suction)) / work,
		} {
			sum[i] += d * d * u * u
		}
	}
	air := c.around(row)
	kelvin := func(q Quantity) float64 { return in.onPipe(q, row[q], air).With(spread[q]).Standard() }
	pascals := func(q Quantity) float64 {
		return 1000 * math.Hypot(in.Doubt(q), robust.OrZero(spread[q]))
	}
	from := float64(s.Suction.Cp)
	if out := row[OutletTemp]; out > row[Evaporating] {
		add(kelvin(OutletTemp), 0, 0, 0, float64(s.Outlet.Cp), 0, 0)
		add(kelvin(SuctionTemp), from, 0, 0, 0, from/float64(s.Suction.T), 0)
	} else {
		add(kelvin(SuctionTemp), from, 0, 0, from, from/float64(s.Suction.T), 0)
	}
	low := s.Suction.EnthalpySlope()
	add(pascals(SuctionPressure), low, 0, 0, s.Outlet.EnthalpySlope(), (low-1/float64(s.Suction.Density))/float64(s.Suction.T), 0)
	add(kelvin(DischargeTemp), 0, float64(s.Discharge.Cp), 0, 0, 0, 0)
	liquid := slopeOf(s.Liquid)
	if !math.IsNaN(row[LiquidPressure]) {
		add(pascals(LiquidPressure), 0, 0, liquid, 0, 0, 0)
		liquid = 0
	}
	add(pascals(DischargePressure), 0, s.Discharge.EnthalpySlope(), liquid, 0, 0, 1)
	add(kelvin(LiquidTemp), 0, 0, float64(s.Liquid.Cp), 0, 0, 0)
	return Performance{sqrtWhere(sum[0], eta), sqrtWhere(sum[1], cooling), sqrtWhere(sum[2], heating)}
}

// slopeOf is the enthalpy slope of a state, 0 where there is none.
func slopeOf(s thermo.State) float64 {
	if s.Density == 0 {
		return 0
	}
	return s.EnthalpySlope()
}

// isentropicEnd is where compression without loss would end, near enough for slopes: cooler
// than the discharge gas by what the loss heats it, and denser by as much.
func isentropicEnd(s thermo.Cycle, eta float64) thermo.State {
	end := s.Discharge
	loss := (1 - eta) * float64(s.Discharge.Enthalpy-s.Suction.Enthalpy)
	end.T -= thermo.Kelvin(loss / float64(end.Cp))
	end.Density *= thermo.KgPerM3(1 + end.Expansivity()*loss/float64(end.Cp))
	return end
}

// sqrtWhere is a root, NaN where the value it belongs to is not known.
func sqrtWhere(variance, value float64) float64 {
	if math.IsNaN(value) {
		return value
	}
	return math.Sqrt(variance)
}
