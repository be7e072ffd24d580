package thermo_test

import (
	"errors"
	"fmt"

	"rimelog/thermo"
)

// Superheat is counted from the dew temperature, subcooling from the bubble
// temperature; both take absolute pressures.
func ExampleRefrigerant_Superheat() {
	r, err := thermo.Lookup("r-448a")
	if err != nil {
		fmt.Println(err)
		return
	}
	superheat, _ := r.Superheat(3.2e5, thermo.FromCelsius(-5))
	subcooling, _ := r.Subcooling(16e5, thermo.FromCelsius(30))
	fmt.Printf("%s grade %s: superheat %.1f K, subcooling %.1f K\n", r, r.Grade(), float64(superheat), float64(subcooling))
	// Output: R448A grade C: superheat 8.0 K, subcooling 3.4 K
}

// A name that could mean two substances is refused, and so is a condensing
// temperature above the critical point.
func ExampleLookup() {
	_, err := thermo.Lookup("R1234ze")
	fmt.Println(err)
	co2, _ := thermo.Lookup("R744")
	_, err = co2.DewT(9e6)
	var super *thermo.SupercriticalError
	fmt.Println(errors.As(err, &super), err)
	// Output:
	// "R1234ze" is ambiguous; write one of R1234ze(E), R1234ze(Z)
	// true R744: no saturation at pressure 9000000 Pa: critical point 304.13 K, 7377 kPa
}

// Columns are answered without allocation; a row that has no answer is listed.
func ExampleFast_DewTemperatures() {
	r, _ := thermo.Lookup("R134a")
	f, err := r.Fast()
	if err != nil {
		fmt.Println(err)
		return
	}
	pressures := []float64{2e5, -1, 8e5}
	temperatures := make([]float64, len(pressures))
	bad := f.DewTemperatures(temperatures, pressures)
	fmt.Printf("%.2f K, %.2f K\n", temperatures[0], temperatures[2])
	for _, b := range bad {
		fmt.Println("row", b.Row, b.Err)
	}
	// Output:
	// 263.07 K, 304.48 K
	// row 1 R134a: pressure -1 Pa is outside 389.5638 to 4058948 Pa (saturation line)
}
