package trust

import (
	"slices"
	"testing"

	"rimelog/analysis/cycle"
)

// A logger shows a superheat of 8 K of its own: rightly in K or °F (14.4), or converted as
// if it were a temperature: 46.4 °F, -9.8 °C, 40.
func TestADifferenceConvertedAsATemperature(t *testing.T) {
	circuit := &cycle.Circuit{}
	for _, tc := range []struct {
		value float64
		wrong bool
	}{{8, false}, {14.4, false}, {46.4, true}, {-9.8, true}, {40, true}, {25, false}} {
		l := &look{Visit: Visit{Circuit: circuit, Columns: &cycle.Columns{Values: [cycle.Quantities][]float64{cycle.Superheat: nil}}}}
		own := Logged{Header: "Superheat °F", Of: cycle.Superheat}
		for i := range 20 {
			at := int64(i) * 1e7
			l.Columns.Time, l.rows = append(l.Columns.Time, at), append(l.rows, i)
			l.Columns.Values[cycle.Superheat] = append(l.Columns.Values[cycle.Superheat], 8)
			own.Time, own.Value = append(own.Time, at), append(own.Value, tc.value)
		}
		l.Logged = []Logged{own}
		l.converted()
		if got := slices.ContainsFunc(l.doubts, func(d Doubt) bool { return d.Rule == "D6" }); got != tc.wrong {
			t.Errorf("superheat of 8 K logged as %g: D6 said %v, want %v", tc.value, got, tc.wrong)
		}
	}
}

func TestHeadersOfDifferences(t *testing.T) {
	for header, want := range map[string]cycle.Quantity{
		"Superheat °F": cycle.Superheat, "SH [K]": cycle.Superheat, "Überhitzung": cycle.Superheat,
		"Sub-cooling (K)": cycle.Subcooling, "Unterkühlung K": cycle.Subcooling, "Suction temperature": 0, "Shell": 0,
	} {
		got, ok := DifferenceOf(header)
		if ok != (want != 0) || got != want {
			t.Errorf("%q: %v, %v; want %v", header, got, ok, want)
		}
	}
}
