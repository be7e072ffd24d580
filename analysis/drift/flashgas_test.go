package drift

import (
	"math"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Binomial distribution: three or more of four at a tenth each, 4·0.1³·0.9 + 0.1⁴.
func TestChancesOfSoMany(t *testing.T) {
	if got := atLeast(3, []float64{0.1, 0.1, 0.1, 0.1}); math.Abs(got-0.0037) > 1e-12 {
		t.Errorf("chance %v, want 0.0037", got)
	}
	if got := atLeast(0, []float64{0.2, 0.7}); math.Abs(got-1) > 1e-12 {
		t.Errorf("chance of none or more %v, want 1", got)
	}
}

// Common practice, no source: a receiver keeps subcooling until it is empty, then gas comes
// with the liquid, first where the condenser holds most of it. A machine that always had gas
// in the cold is none that lost charge.
func TestGasInTheLiquidLineIsCountedByWeather(t *testing.T) {
	visits := func(n int, outdoor float64, gas func(i int) bool) (out []table.Condition) {
		for i := range n {
			c := table.Condition{Start: time.Date(2023, 1, 1, 10, 0, 0, 0, time.UTC).AddDate(0, 0, 21*i), Watched: 40, OutdoorTemp: outdoor + float64(i%2), SubcoolingU: 0.1, FlashSubcooling: math.NaN(), Stop: math.NaN(), Superheat: 7, SuperheatU: 0.3}
			if gas(i) {
				c.Flash, c.FlashSubcooling = 40, 0
			}
			out = append(out, c)
		}
		return out
	}
	hungry := visits(16, 21, func(int) bool { return false })
	for i := range hungry[12:] {
		hungry[12+i].Superheat = 15
	}
	below := visits(16, 21, func(i int) bool { return i >= 12 })
	for i := range below[12:] {
		below[12+i].FlashSubcooling = -4
	}
	s := system()
	s.Receiver, s.HeadPressureControl = register.HighSideReceiver, table.Yes
	asOf := time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, tc := range []struct {
		name       string
		conditions []table.Condition
		want       string // part of the evidence; empty: no finding
	}{
		{"empty in summer", visits(16, 21, func(i int) bool { return i >= 12 }), "visits in the warm; from 20 °C to 25 °C gas at 4 of the latest 4 visits and at 0 of 12 before, subcooling gone at 4"},
		{"empty in the cold first", visits(16, 1, func(i int) bool { return i >= 12 }), "visits in the cold"},
		{"superheat far above what the valve held", hungry, "gas at 4 of the latest 4 visits and at 0 of 12 before, subcooling gone at 0, the valve at its stop at 0, superheat far above what the valve holds at 4"},
		{"far below zero: the data are wrong", below, ""},
		{"never", visits(16, 21, func(int) bool { return false }), ""},
		{"always", visits(16, 1, func(int) bool { return true }), ""},
		{"now and then", visits(16, 21, func(i int) bool { return i%3 == 0 }), ""},
		{"weather never seen before", append(visits(12, 21, func(int) bool { return false }), visits(4, 36, func(int) bool { return true })...), ""},
	} {
		evidence := ""
		for _, f := range Present(s, nil, nil, tc.conditions, nil, asOf, Options{}) {
			if f.Kind == FlashGas {
				evidence = f.Evidence
			}
		}
		if (evidence == "") != (tc.want == "") || !strings.Contains(evidence, tc.want) {
			t.Errorf("%s: evidence %q, want %q in it", tc.name, evidence, tc.want)
		}
	}
	s.Receiver = register.NoReceiver
	for _, f := range Present(s, nil, nil, visits(16, 21, func(i int) bool { return i >= 12 }), nil, asOf, Options{}) {
		if f.Kind == FlashGas {
			t.Errorf("a machine without a receiver has %q", f.Kind)
		}
	}
}
