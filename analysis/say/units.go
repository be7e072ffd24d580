package say

import (
	"math"

	"rimelog/thermo/units"
)

// Units are what readers measure in. The zero value is SI, with pressures as gauges
// show them where the air has the pressure of the standard atmosphere at sea level.
type Units struct {
	InchPound bool    // °F, psi, Btu/h, lb and ft
	Absolute  bool    // pressures above vacuum, not above the air
	Air       float64 // pressure of the air around the gauges, kPa; 0 for the standard one at sea level
}

// A Quantity is something that is written in units of the reader's choice.
type Quantity uint8

// The quantities, each in the unit that the tables keep it in.
const (
	Temperature Quantity = iota // °C
	Difference                  // K
	Pressure                    // kPa, absolute
	Heat                        // kW of heat
	Electric                    // kW of electricity, in all units
	Mass                        // kg
	Enthalpy                    // kJ/kg
	Altitude                    // m
	Share                       // %
	Pure                        // a number without a unit
)

// WithAltitude is the locale at a site, whose altitude in metres says what gauges show
// there; NaN, or one outside of the standard atmosphere's range, leaves it at sea level.
func (l Locale) WithAltitude(m float64) Locale {
	l.units.Air = 0
	if air, err := units.AirPressure(m); err == nil {
		l.units.Air, _ = air.Float64()
	}
	return l
}

// Absolute is the locale with its pressures above vacuum.
func (l Locale) Absolute() Locale {
	l.units.Absolute = true
	return l
}

// Units are the units of the locale.
func (l Locale) Units() Units { return l.units }

// In is a value of the tables in the reader's unit. A pressure gets the pressure of the
// air taken off, unless pressures are absolute; a difference never gets an offset.
func (l Locale) In(q Quantity, v float64) float64 {
	if q == Pressure && !l.units.Absolute {
		v -= l.units.air()
	}
	w := l.units.way(q)
	return v*w.mul + w.add
}

// Uncertain writes a value of the tables in the reader's unit, with its expanded
// uncertainty: twice the standard uncertainty u.
func (l Locale) Uncertain(q Quantity, v, u float64, digits int) string {
	return l.PlusMinus(l.In(q, v), u*l.PerUnit(q), digits, l.Unit(q))
}

// PerUnit is how much of the reader's unit one of the tables' is: for what is counted
// from no zero, such as slopes.
func (l Locale) PerUnit(q Quantity) float64 {
	return l.units.way(q).mul
}

// Unit is the reader's unit of a quantity; of a pressure it says what it is counted from.
func (l Locale) Unit(q Quantity) string {
	if q == Pressure {
		return l.pressureUnit()
	}
	if l.units.InchPound {
		return [...]string{Temperature: "°F", Difference: "°F", Heat: "Btu/h", Electric: "kW", Mass: "lb", Enthalpy: "Btu/lb", Altitude: "ft", Share: "%", Pure: ""}[q]
	}
	return [...]string{Temperature: "°C", Difference: "K", Heat: "kW", Electric: "kW", Mass: "kg", Enthalpy: "kJ/kg", Altitude: "m", Share: "%", Pure: ""}[q]
}

func (l Locale) pressureUnit() string {
	switch {
	case l.units.InchPound && l.units.Absolute:
		return "psia"
	case l.units.InchPound:
		return "psig"
	case l.units.Absolute:
		return l.Text("bar absolute")
	}
	return l.Text("bar gauge")
}

// Figure writes a value of the tables in the reader's unit.
func (l Locale) Figure(q Quantity, v float64, digits int) string {
	return l.With(l.Number(l.In(q, v), digits), l.Unit(q))
}

// Change writes a change in the reader's unit, with its sign; one of a temperature is a
// Difference.
func (l Locale) Change(q Quantity, v float64, digits int) string {
	return l.With(l.Signed(l.In(q, v), digits), l.Unit(q))
}

// Shift writes a change of a difference with its sign and its expanded uncertainty, twice
// the standard uncertainty u.
func (l Locale) Shift(k, u float64) string {
	return l.Signed(l.In(Difference, k), 1) + nbsp + "±" + nbsp + l.Figure(Difference, 2*u, 1)
}

// ChangeBetween writes the interval of a change, in the reader's unit; without the unit
// where that stands beside it.
func (l Locale) ChangeBetween(q Quantity, lo, hi float64, digits int, unit string) string {
	return l.Interval(l.In(q, lo), l.In(q, hi), digits, unit)
}

func (u Units) air() float64 {
	if u.Air != 0 {
		return u.Air
	}
	return seaLevel
}

// The inch-pound units of what package units does not measure. Source: NIST SP 811
// (2008), appendix B.8: the foot is 0.3048 m, the Btu (IT) a pound 2.326 kJ/kg; both exact.
const (
	metresPerFoot     = 0.3048
	kJPerKgOfBtuPerLb = 2.326
)

// A way leads from the unit of the tables to a reader's: value·mul + add.
type way struct{ mul, add float64 }

// bar and inchPound are the ways to units that are not those of the tables.
var (
	bar       = wayTo(units.Parse("bar"))
	inchPound = [...]way{
		Temperature: wayTo(units.Parse("°F")), Difference: wayTo(units.ParseDifference("°F")), Pressure: wayTo(units.Parse("psi")),
		Heat: wayTo(units.Parse("Btu/h")), Electric: {mul: 1}, Mass: wayTo(units.Parse("lb")),
		Enthalpy: {mul: 1 / kJPerKgOfBtuPerLb}, Altitude: {mul: 1 / metresPerFoot}, Share: {mul: 1}, Pure: {mul: 1},
	}
	seaLevel, _ = units.SeaLevel().Float64()
)

// wayTo is the way to a unit; a label that package units does not know leaves nothing
// to be written.
func wayTo(u units.Unit, err error) way {
	if err != nil {
		return way{math.NaN(), math.NaN()}
	}
	mul, add := u.Linear()
	return way{mul, add}
}

// way is the way to the reader's unit of a quantity.
func (u Units) way(q Quantity) way {
	switch {
	case u.InchPound:
		return inchPound[q]
	case q == Pressure:
		return bar
	}
	return way{mul: 1}
}
