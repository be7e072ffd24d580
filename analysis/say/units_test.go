package say

import (
	"math"
	"strings"
	"testing"
)

func spaced(s string) string { return strings.ReplaceAll(s, nbsp, " ") }

// Inch-pound units. Source: NIST SP 811 (2008), appendix B.8 and B.9: psi 6.894 757 kPa,
// Btu (IT)/h 0.293 0711 W, lb 0.453 592 37 kg, ft 0.3048 m, Btu (IT)/lb 2.326 kJ/kg,
// °F = 1.8 °C + 32; a difference has no 32.
func TestInchPound(t *testing.T) {
	l := Locale{units: Units{InchPound: true, Absolute: true}}
	for _, c := range []struct {
		q         Quantity
		v, want   float64
		unit      string
		tolerance float64
	}{
		{Temperature, 0, 32, "°F", 0}, {Temperature, 100, 212, "°F", 1e-9}, {Temperature, -40, -40, "°F", 1e-9},
		{Difference, 0, 0, "°F", 0}, {Difference, 10, 18, "°F", 1e-9},
		{Pressure, 689.4757, 100, "psia", 1e-5}, {Heat, 2.930711, 10000, "Btu/h", 0.01}, {Electric, 3, 3, "kW", 0},
		{Mass, 0.45359237, 1, "lb", 1e-12}, {Altitude, 304.8, 1000, "ft", 1e-9}, {Enthalpy, 232.6, 100, "Btu/lb", 1e-9}, {Pure, 3.2, 3.2, "", 0},
	} {
		if got := l.In(c.q, c.v); math.Abs(got-c.want) > c.tolerance || l.Unit(c.q) != c.unit {
			t.Errorf("quantity %d: %v is %v %s, want %v %s", c.q, c.v, got, l.Unit(c.q), c.want, c.unit)
		}
	}
}

// What gauges show. Source: ISO 2533:1975, table 5: the air has 101.325 kPa at sea level,
// 89.876 kPa at 1000 m.
func TestGaugePressures(t *testing.T) {
	for _, c := range []struct {
		name   string
		locale Locale
		want   string
	}{
		{"sea level", Locale{}, "3.99 bar gauge"},
		{"1000 m", Locale{}.WithAltitude(1000), "4.10 bar gauge"},
		{"not known", Locale{}.WithAltitude(math.NaN()), "3.99 bar gauge"},
		{"beyond the standard atmosphere", Locale{}.WithAltitude(20000), "3.99 bar gauge"},
		{"absolute", Locale{}.WithAltitude(1000).Absolute(), "5.00 bar absolute"},
		{"psig", Locale{units: Units{InchPound: true}}, "57.82 psig"},
		{"psia", Locale{units: Units{InchPound: true, Absolute: true}}, "72.52 psia"},
	} {
		if got := spaced(c.locale.Figure(Pressure, 500, 2)); got != c.want {
			t.Errorf("500 kPa at %s: %s, want %s", c.name, got, c.want)
		}
	}
}

func TestChangesInInchPound(t *testing.T) {
	l := Locale{units: Units{InchPound: true}}
	for _, c := range []struct{ got, want string }{
		{l.Change(Difference, -2.5, 1), "\u22124.5 °F"},
		{l.ChangeBetween(Difference, -5, -1, 1, "°F"), "\u22129.0 to \u22121.8 °F"},
		{l.Uncertain(Difference, 5, 0.5, 1), "9.0 ± 1.8 °F"},
		{l.Uncertain(Temperature, 20, 0.5, 1), "68.0 ± 1.8 °F"},
		{l.Shift(1, 0.5), "+1.8 ± 1.8 °F"},
	} {
		if spaced(c.got) != c.want {
			t.Errorf("got %q, want %q", spaced(c.got), c.want)
		}
	}
}

// Figures within texts of the tables are converted as they stand, ranges in brackets too.
func TestProseInInchPound(t *testing.T) {
	l := Locale{units: Units{InchPound: true}}
	for text, want := range map[string]string{
		"subcooling fell by 2.0 K (-3.0 to -1.0) since 2024-07-02": "subcooling fell by 3.6 °F (\u22125.4 to \u22121.8) since 2024-07-02",
		"discharge gas 100 °C for 8 of 40 minutes":                 "discharge gas 212 °F for 8 of 40 minutes",
		"0.12 K per K of outdoor temperature":                      "0.12 °F per °F of outdoor temperature",
		"1.40 kg of 60.00 kg":                                      "3.09 lb of 132.28 lb",
		"R134a in system K2, 12 Kings":                             "R134a in system K2, 12 Kings",
	} {
		if got := l.Prose(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
