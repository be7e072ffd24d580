package units

import (
	"errors"
	"math"
	"math/big"
	"math/rand/v2"
	"testing"
)

func TestParseKnowsLabelsAsLoggersPrintThem(t *testing.T) {
	tests := []struct {
		label     string
		want      string
		quantity  Quantity
		reference Reference
	}{
		{"bar", "bar", Pressure, Unmarked},
		{"[bar]", "bar", Pressure, Unmarked},
		{"bar(g)", "bar(g)", Pressure, Gauge},
		{"barg", "bar(g)", Pressure, Gauge},
		{"bar g", "bar(g)", Pressure, Gauge},
		{"bar rel.", "bar(g)", Pressure, Gauge},
		{"bar (ü)", "bar(g)", Pressure, Gauge},
		{"bara", "bar(a)", Pressure, Absolute},
		{"bar abs", "bar(a)", Pressure, Absolute},
		{"kPa", "kPa", Pressure, Unmarked},
		{"kPa(a)", "kPa(a)", Pressure, Absolute},
		{"MPaG", "MPa(g)", Pressure, Gauge},
		{"Pa", "Pa", Pressure, Unmarked},
		{"psi", "psi", Pressure, Unmarked},
		{"PSIG", "psig", Pressure, Gauge},
		{"psia", "psia", Pressure, Absolute},
		{"kg/cm²", "kg/cm²", Pressure, Unmarked},
		{"kg/cm2G", "kg/cm²(g)", Pressure, Gauge},
		{"inHg", "inHg", Pressure, Unmarked},
		{"mbar", "mbar", Pressure, Unmarked},
		{"hPa", "hPa", Pressure, Unmarked},
		{"°C", "°C", Temperature, 0},
		{"(ºC)", "°C", Temperature, 0},
		{"C", "°C", Temperature, 0},
		{"degC", "°C", Temperature, 0},
		{"Deg C", "°C", Temperature, 0},
		{"deg. C", "°C", Temperature, 0},
		{"Â°C", "°C", Temperature, 0},
		{"\uFFFDC", "°C", Temperature, 0},
		{"øC", "°C", Temperature, 0},
		{"℃", "°C", Temperature, 0},
		{"°F", "°F", Temperature, 0},
		{"F", "°F", Temperature, 0},
		{"K", "K", Temperature, 0},
		{"W", "W", Power, 0},
		{"KW", "kW", Power, 0},
		{"kWh", "kWh", Energy, 0},
		{"Wh", "Wh", Energy, 0},
		{"MWh", "MWh", Energy, 0},
		{"m³/h", "m³/h", VolumeFlow, 0},
		{"m^3/h", "m³/h", VolumeFlow, 0},
		{"l/min", "l/min", VolumeFlow, 0},
		{"L/s", "l/s", VolumeFlow, 0},
		{"cfm", "cfm", VolumeFlow, 0},
		{"GPM", "gpm", VolumeFlow, 0},
		{"kg/s", "kg/s", MassFlow, 0},
		{"kg/h", "kg/h", MassFlow, 0},
		{"A", "A", Current, 0},
		{"amp", "A", Current, 0},
		{"V", "V", Voltage, 0},
		{"Hz", "Hz", Frequency, 0},
		{"rpm", "rpm", Frequency, 0},
		{"1/min", "rpm", Frequency, 0},
		{"%", "%", Share, 0},
		{"% rH", "%", Share, 0},
		{"s", "s", Duration, 0},
	}
	for _, tt := range tests {
		u, err := Parse(tt.label)
		if err != nil || u.Label != tt.want || u.Quantity != tt.quantity || u.Reference != tt.reference {
			t.Errorf("Parse(%q) = %q %v %v, %v; want %q %v %v", tt.label, u.Label, u.Quantity, u.Reference, err, tt.want, tt.quantity, tt.reference)
		}
	}
}

func TestPrintedLabelsReadBack(t *testing.T) {
	for _, d := range definitions {
		if d.unit.Label == "MW" || d.unit.Label == "g" || d.unit.Label == "mH₂O" {
			continue // "MW" folds to milliwatt's spelling, "g" to gauge's: never read, only printed
		}
		u, err := Parse(d.unit.Label)
		if err != nil || u != d.unit {
			t.Errorf("Parse(%q) = %+v, %v", d.unit.Label, u, err)
		}
	}
}

func TestParseRefusesWhatItDoesNotKnow(t *testing.T) {
	for _, label := range []string{"", "furlong", "inHg vac", "bar/min", "°", "T1"} {
		_, err := Parse(label)
		var unknown *UnknownError
		if !errors.As(err, &unknown) {
			t.Errorf("Parse(%q): error %v, want *UnknownError", label, err)
		}
	}
}

// Factors as printed in NIST SP 811 (2008), appendix B.8, in SI base or derived
// units; they are rounded there to seven digits or exact (bold face).
func TestFactorsAgainstNISTSP811(t *testing.T) {
	tests := []struct {
		label string
		want  float64 // canonical units in one
		rel   float64
	}{
		{"psi", 6.894757, 1e-7},
		{"bar", 100, 0},
		{"mbar", 0.1, 0},
		{"kg/cm2", 98.0665, 0},
		{"inHg", 3.386389, 2e-7},
		{"mmHg", 0.1333224, 2e-7},
		{"torr", 0.1333224, 4e-7},
		{"atm", 101.325, 0},
		{"cfm", 4.719474e-4 * 3600, 2e-7},
		{"gpm", 6.309020e-5 * 3600, 2e-7},
		{"lb/h", 1.259979e-4, 2e-7},
		{"Btu/h", 2.930711e-4, 2e-7},
		{"kWh", 1, 0},
	}
	for _, tt := range tests {
		u, err := Parse(tt.label)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := u.Factor().Float64()
		if math.Abs(got/tt.want-1) > tt.rel+1e-15 {
			t.Errorf("%s: factor %.10g, want %.10g (NIST SP 811)", tt.label, got, tt.want)
		}
	}
}

func TestFixedPointsOfTheTemperatureScales(t *testing.T) {
	tests := []struct {
		label, value string
		want         int64 // thousandths of a degree Celsius
	}{
		{"°F", "32", 0}, {"°F", "212", 100000}, {"°F", "-40", -40000},
		{"K", "273.15", 0}, {"K", "273.16", 10}, // NIST SP 811, sec. B.9
		{"°C", "23.45", 23450},
	}
	for _, tt := range tests {
		u, _ := Parse(tt.label)
		v, _ := new(big.Rat).SetString(tt.value)
		if got, ok := Round(u.Exact(v), 3); !ok || got != tt.want {
			t.Errorf("%s %s = %d m°C, want %d", tt.value, tt.label, got, tt.want)
		}
	}
}

// There and back: what Exact makes canonical, Linear makes the unit's own again.
func TestLinearIsTheWayBack(t *testing.T) {
	for _, d := range append(definitions, differences...) {
		mul, add := d.unit.Linear()
		for _, v := range []float64{-40, 0, 1, 98.6, 1234.5} {
			canonical, _ := d.unit.Exact(new(big.Rat).SetFloat64(v)).Float64()
			if got := canonical*mul + add; math.Abs(got-v) > 1e-11*max(300, math.Abs(v)) {
				t.Errorf("%v %s: there and back it is %v", v, d.unit, got)
			}
		}
	}
}

func TestDifferencesGetNoOffset(t *testing.T) {
	f, err := ParseDifference("°F")
	if err != nil {
		t.Fatal(err)
	}
	if got, _ := Round(f.Exact(big.NewRat(18, 1)), 3); got != 10000 {
		t.Errorf("a difference of 18 °F = %d mK, want 10000", got)
	}
	c, err := ParseDifference("°C")
	if err != nil || c.Quantity != Difference || c.Label != "K" {
		t.Errorf("a difference in °C is %v %v, %v; want K", c.Label, c.Quantity, err)
	}
}

// Every conversion equals the exact rational one, rounded half to even.
func TestStepsEqualExactConversion(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	air, err := AirPressure(540)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range append(append([]definition{}, definitions...), differences...) {
		for range 4000 {
			decimals, digits := rng.IntN(8), []int{3, 6}[rng.IntN(2)]
			m := rng.Int64N(1 << (1 + rng.IntN(40)))
			if rng.IntN(2) == 0 {
				m = -m
			}
			var plus *big.Rat
			if d.unit.Quantity == Pressure && rng.IntN(2) == 0 {
				plus = air
			}
			negate := rng.IntN(5) == 0
			checkSteps(t, d.unit, m, decimals, digits, plus, negate)
		}
	}
}

func checkSteps(t *testing.T, u Unit, m int64, decimals, digits int, plus *big.Rat, negate bool) {
	t.Helper()
	c, ok := u.Conversion(decimals, digits, plus, negate)
	if !ok {
		t.Fatalf("%s: no conversion for %d decimals", u.Label, decimals)
	}
	got, ok := c.Steps(m)
	v := new(big.Rat).SetFrac(big.NewInt(m), pow10(decimals))
	if negate {
		v.Neg(v)
	}
	want := u.Exact(v)
	if plus != nil {
		want.Add(want, plus)
	}
	steps, fits := Round(want, digits)
	if !fits || steps > 1<<61 || steps < -1<<61 {
		return
	}
	if !ok || got != steps {
		t.Fatalf("%s: %de-%d in 1e-%d = %d, %v; want %d", u.Label, m, decimals, digits, got, ok, steps)
	}
}

func TestTiesGoToEven(t *testing.T) {
	pa, _ := Parse("Pa") // thousandths of a kPa are pascals
	c, ok := pa.Conversion(1, 3, nil, false)
	if !ok {
		t.Fatal("no conversion")
	}
	for m, want := range map[int64]int64{5: 0, 15: 2, 25: 2, -5: 0, -15: -2, -25: -2, 26: 3} {
		if got, ok := c.Steps(m); !ok || got != want {
			t.Errorf("%d tenths of a pascal = %d, want %d", m, got, want)
		}
	}
}

func TestStepsReportOverflow(t *testing.T) {
	mpa, _ := Parse("MPa")
	c, _ := mpa.Conversion(0, 6, nil, false)
	if got, ok := c.Steps(math.MaxInt64); ok {
		t.Errorf("overflow gave %d", got)
	}
}

// ISO 2533:1975, table 5: pressure at geopotential altitudes, in hPa (figures from memory).
func TestAirPressureAgainstStandardAtmosphere(t *testing.T) {
	tests := []struct{ altitude, hPa float64 }{
		{0, 1013.25}, {500, 954.608}, {1000, 898.746}, {2000, 794.952}, {3000, 701.085}, {5000, 540.199},
	}
	for _, tt := range tests {
		p, err := AirPressure(tt.altitude)
		if err != nil {
			t.Fatal(err)
		}
		got, _ := p.Float64()
		if math.Abs(got*10-tt.hPa) > 0.02 {
			t.Errorf("%v m: %.3f hPa, want %.3f", tt.altitude, got*10, tt.hPa)
		}
	}
	if _, err := AirPressure(math.NaN()); err == nil {
		t.Error("altitude NaN gave no error")
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"bar(g)", "Â°C", "kg/cm² abs", "% rH", "ü", "\xff\xfe"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, label string) {
		u, err := Parse(label)
		if (err == nil) != (u.Quantity != None) {
			t.Errorf("Parse(%q) = %+v, %v", label, u, err)
		}
	})
}

func BenchmarkSteps(b *testing.B) {
	psi, _ := Parse("psig")
	c, _ := psi.Conversion(2, 3, SeaLevel(), false)
	for i := 0; b.Loop(); i++ {
		c.Steps(int64(i & 0xffff))
	}
}

// TestLabelsFoldAlikeByBothWays folds random labels in ASCII as they are, and with a
// character in front that is none: only that stays on.
func TestLabelsFoldAlikeByBothWays(t *testing.T) {
	const letters = "^^^23CkPAbar/m \t()[]{}<>.\"'\v\f\r\n\x1f-_,%"
	rng := rand.New(rand.NewPCG(4, 1))
	for range 20_000 {
		label := make([]byte, rng.IntN(12))
		for i := range label {
			label[i] = letters[rng.IntN(len(letters))]
		}
		quick, ok := foldASCII(string(label))
		if slow := fold("é" + string(label)); !ok || "é"+quick != slow {
			t.Fatalf("%q folds to %q, with care to %q", label, quick, slow)
		}
	}
}
