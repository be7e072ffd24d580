package naming

import (
	"testing"

	"rimelog/thermo/units"
)

// Symbols by the SI Brochure, 9th edition (2019), tables 2, 4, 7 and 8: a symbol's letters are
// small or capital as they are printed there.
func TestSymbolsOfTheSIAreUnits(t *testing.T) {
	for symbol, want := range map[string]units.Quantity{
		"°C": units.Temperature, "K": units.Temperature,
		"Pa": units.Pressure, "kPa": units.Pressure, "MPa": units.Pressure, "bar": units.Pressure,
		"W": units.Power, "kW": units.Power,
		"kWh": units.Energy, "MJ": units.Energy,
		"A": units.Current, "V": units.Voltage, "Hz": units.Frequency,
		"kg/s": units.MassFlow, "m³/h": units.VolumeFlow, "l/min": units.VolumeFlow,
		"%": units.Share,
	} {
		if !IsUnit(symbol) {
			t.Errorf("%s is no unit", symbol)
		}
		if got := UnitNamed(symbol).Quantity; got != want {
			t.Errorf("%s is of quantity %v, want %v", symbol, got, want)
		}
	}
	for _, word := range []string{"", "suction", "4.5", "Tuesday", "12:00"} {
		if IsUnit(word) {
			t.Errorf("%q is taken for a unit", word)
		}
	}
}

// One channel in the words of eight languages, and in the trade's short forms.
func TestAHeaderMeansOneChannel(t *testing.T) {
	for _, c := range []struct{ header, want string }{
		{"Suction pressure [bar(g)]", "suction_pressure_kpa"},
		{"Saugdruck (bar)", "suction_pressure_kpa"},
		{"Pression d'aspiration [bar]", "suction_pressure_kpa"},
		{"Presión de aspiración [bar]", "suction_pressure_kpa"},
		{"Pressione di aspirazione [bar]", "suction_pressure_kpa"},
		{"Zuigdruk [bar]", "suction_pressure_kpa"},
		{"Pressão de sucção [bar]", "suction_pressure_kpa"},
		{"Sugtryck [bar]", "suction_pressure_kpa"},
		{"p0 [bar]", "suction_pressure_kpa"},
		{"suction_pressure_kpa", "suction_pressure_kpa"},
		{"Sauggastemperatur, °C", "suction_temp_c"},
		{"Liquid line temp °F", "liquid_temp_c"},
		{"T_discharge/°C", "discharge_temp_c"},
		{"Temperature 3 [°C]", ""}, // of what, it does not say
		{"P [kW]", ""},             // power or pressure by its letter; a power of what
		{"Remark", ""},
	} {
		title := Read(c.header)
		if got, why := title.Channel(UnitNamed(title.Label).Quantity); got != c.want {
			t.Errorf("%q means %q (%s), want %q", c.header, got, why, c.want)
		}
	}
}

// A name goes apart into its words and its unit, and nothing of it is lost.
func TestATitleIsTakenApart(t *testing.T) {
	for _, c := range []struct {
		header, label string
		words         []string
		ref           units.Reference
	}{
		{"Suction pressure [bar(g)]", "[bar(g)]", []string{"suction", "pressure"}, units.Gauge},
		{"Suction pressure [bar(a)]", "[bar(a)]", []string{"suction", "pressure"}, units.Absolute},
		{"Suction pressure [bar]", "[bar]", []string{"suction", "pressure"}, units.Unmarked},
	} {
		got := Read(c.header)
		if got.Text != c.header || got.Label != c.label || len(got.Words) != len(c.words) || got.Words[0] != c.words[0] || got.Words[1] != c.words[1] {
			t.Errorf("%q: %+v", c.header, got)
		}
		ref := UnitNamed(got.Label).Reference
		if ref == units.Unmarked {
			ref = got.Reference()
		}
		if ref != c.ref {
			t.Errorf("%q counts from %v, want %v", c.header, ref, c.ref)
		}
	}
}
