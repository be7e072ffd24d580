package units

import (
	"fmt"
	"math/big"
)

// Quantity is what a unit measures.
type Quantity uint8

// The quantities, each with its canonical unit.
const (
	None        Quantity = iota // no quantity: the zero value
	Temperature                 // °C
	Difference                  // K
	Pressure                    // kPa
	Power                       // kW
	Energy                      // kWh
	VolumeFlow                  // m³/h
	MassFlow                    // kg/s
	Current                     // A
	Voltage                     // V
	Frequency                   // Hz
	Share                       // %
	Duration                    // s
	Mass                        // kg
)

// quantities names each quantity and its canonical unit.
var quantities = [...]struct{ name, canonical string }{
	None:        {"no quantity", ""},
	Temperature: {"temperature", "°C"},
	Difference:  {"temperature difference", "K"},
	Pressure:    {"pressure", "kPa"},
	Power:       {"power", "kW"},
	Energy:      {"energy", "kWh"},
	VolumeFlow:  {"volume flow", "m³/h"},
	MassFlow:    {"mass flow", "kg/s"},
	Current:     {"current", "A"},
	Voltage:     {"voltage", "V"},
	Frequency:   {"frequency", "Hz"},
	Share:       {"share", "%"},
	Duration:    {"duration", "s"},
	Mass:        {"mass", "kg"},
}

func (q Quantity) String() string { return quantities[q].name }

// Canonical is the label of the unit that values of the quantity are kept in.
func (q Quantity) Canonical() string { return quantities[q].canonical }

// Reference is what a pressure is counted from.
type Reference uint8

// The references of a pressure.
const (
	Unmarked Reference = iota // the label does not say
	Gauge                     // above the pressure of the surrounding air
	Absolute                  // above vacuum
)

var references = [...]string{Unmarked: "unknown", Gauge: "gauge", Absolute: "absolute"}

func (r Reference) String() string { return references[r] }

// A Unit is a unit of one quantity. The zero Unit is no unit.
type Unit struct {
	Label     string // as people write it: "bar(g)", "°C"
	Quantity  Quantity
	Reference Reference // of a pressure, as far as the label marks it

	factor ratio // canonical units in one of this
	zero   ratio // this unit's value at the canonical zero: 32 for °F
}

// A ratio is an exact fraction; the zero ratio is 0.
type ratio struct{ num, den int64 }

func (r ratio) rat() *big.Rat {
	if r.den == 0 {
		return new(big.Rat)
	}
	return big.NewRat(r.num, r.den)
}

func (u Unit) String() string { return u.Label }

// WithReference is the unit with a pressure's reference settled by something
// other than its label.
func (u Unit) WithReference(r Reference) Unit {
	if u.Quantity == Pressure {
		u.Reference = r
	}
	return u
}

// Factor is how many canonical units one of this unit is.
func (u Unit) Factor() *big.Rat { return u.factor.rat() }

// Exact converts a value to the canonical unit. A pressure keeps its reference.
func (u Unit) Exact(value *big.Rat) *big.Rat {
	v := new(big.Rat).Sub(value, u.zero.rat())
	return v.Mul(v, u.factor.rat())
}

// Linear is the way back, for figures that are printed: a canonical value is
// value·mul + add of this unit. Both are the exact fractions, rounded once.
func (u Unit) Linear() (mul, add float64) {
	mul, _ = new(big.Rat).Inv(u.factor.rat()).Float64()
	add, _ = u.zero.rat().Float64()
	return mul, add
}

// An UnknownError reports a label that is no known unit.
type UnknownError struct{ Label string }

func (e *UnknownError) Error() string {
	return fmt.Sprintf("unknown unit %q: write one of bar(g), bar(a), kPa, MPa, psig, psia, °C, °F, K, kW, W, kWh, m³/h, l/min, l/s, kg/s, A, V, Hz, rpm, %%", e.Label)
}
