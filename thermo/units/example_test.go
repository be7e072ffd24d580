package units_test

import (
	"errors"
	"fmt"
	"math/big"

	"rimelog/thermo/units"
)

// A label says what it says and no more: a bare "bar" does not tell gauge from absolute.
func ExampleParse() {
	for _, label := range []string{"bar(g)", "kg/cm2 abs", "bar", "Â°C", "furlong"} {
		u, err := units.Parse(label)
		var unknown *units.UnknownError
		if errors.As(err, &unknown) {
			fmt.Println("unknown:", unknown.Label)
			continue
		}
		fmt.Println(u, "is a", u.Quantity, "kept in", u.Quantity.Canonical(), "reference:", u.Reference)
	}
	// Output:
	// bar(g) is a pressure kept in kPa reference: gauge
	// kg/cm²(a) is a pressure kept in kPa reference: absolute
	// bar is a pressure kept in kPa reference: unknown
	// °C is a temperature kept in °C reference: unknown
	// unknown: furlong
}

// 7.25 bar gauge at a site 500 m above the sea, in thousandths of a kilopascal: digits go
// in and digits come out, no floating point in between.
func ExampleUnit_Conversion() {
	bar, err := units.Parse("bar(g)")
	if err != nil {
		fmt.Println(err)
		return
	}
	air, err := units.AirPressure(500)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, ok := bar.Conversion(2, 3, air, false)
	if !ok {
		fmt.Println("does not fit")
		return
	}
	steps, ok := c.Steps(725)
	fmt.Println(steps, ok)
	// Output: 820461 true
}

// A difference of 9 °F is 5 K, without an offset.
func ExampleParseDifference() {
	u, err := units.ParseDifference("°F")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(u.Exact(big.NewRat(9, 1)).FloatString(1), u.Quantity.Canonical())
	// Output: 5.0 K
}
