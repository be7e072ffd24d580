package thermo

import (
	"math"
	"testing"
)

// TestFieldReadings checks two readings from the field (common practice, no
// source). Tolerances come from the printed digits; atmosphere 1.01325 bar.
func TestFieldReadings(t *testing.T) {
	r := mustLookup(t, "R134a")
	got, err := r.Superheat((2.6+1.01325)*1e5, FromCelsius(15.9))
	if err != nil || math.Abs(float64(got)-9.6) > 0.5 {
		t.Errorf("superheat at 2.6 bar gauge, 15.9 C = %.2f K, %v; want 9.6 +- 0.5", got, err)
	}
	got, err = r.Subcooling((8.7+1.01325)*1e5, FromCelsius(36.7))
	if err != nil || math.Abs(float64(got)-1.6) > 0.3 {
		t.Errorf("subcooling at 8.7 bar gauge, 36.7 C = %.2f K, %v; want 1.6 +- 0.3", got, err)
	}
}

func mustLookup(t testing.TB, name string) *Refrigerant {
	t.Helper()
	r, err := Lookup(name)
	if err != nil {
		t.Fatal(err)
	}
	return r
}
