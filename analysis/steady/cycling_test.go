package steady

import (
	"math"
	"strings"
	"testing"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A discharge line still warms when pressures and subcooling rest long since: it is
// left out, and the window stays. Measured on a laboratory heat pump: 2.4 K between
// minute 15 and 20 after a start.
func TestADischargeLineThatWarmsCostsOnlyItself(t *testing.T) {
	c := tell(t, "every 15s\non 30m")
	for _, q := range []cycle.Quantity{cycle.DischargeTemp, cycle.DischargeSuperheat} {
		c.Values[q] = make([]float64, c.Rows())
		for i := range c.Values[q] {
			c.Values[q][i] = 80 - 30*math.Exp(-float64(i)*15/600)
		}
	}
	_, windows := Cut(c, nil, Options{})
	if len(windows) < 4 {
		t.Fatalf("%d windows, want them all", len(windows))
	}
	if first := windows[0]; !math.IsNaN(first.Mean[cycle.DischargeTemp]) || !math.IsNaN(first.Mean[cycle.DischargeSuperheat]) || math.IsNaN(first.Mean[cycle.Superheat]) {
		t.Errorf("first window: discharge %.1f °C, %.1f K, superheat %.1f K; want superheat alone",
			first.Mean[cycle.DischargeTemp], first.Mean[cycle.DischargeSuperheat], first.Mean[cycle.Superheat])
	}
	if last := windows[len(windows)-1]; math.IsNaN(last.Mean[cycle.DischargeTemp]) {
		t.Error("last window: no discharge temperature, want it once the line is warm")
	}
}

// A machine that switches on and off all day gives short windows only; many of them
// speak for the day, a few do not.
func TestACyclingDaySpeaks(t *testing.T) {
	circuit, err := cycle.NewCircuit(register.NewSystem("test"))
	if err != nil {
		t.Fatal(err)
	}
	for cycles, want := range map[int]string{20: table.UseTrend, 1: table.UseSpot} {
		stays, windows := Cut(tell(t, "every 30s\n"+strings.Repeat("off 12m\non 8m\n", cycles)), nil, Options{})
		var rows []table.Window
		for _, w := range windows {
			if w.Provisional {
				t.Fatalf("a provisional window though its start is known: %+v", w)
			}
			row, _ := w.Row(circuit, cycle.Instruments{})
			rows = append(rows, row)
		}
		got := Visits(stays, rows, Site{}, Options{})
		if len(got) != 1 || got[0].Use != want || want == table.UseSpot && got[0].Reason == "" {
			t.Errorf("%d cycles: got %+v, want one visit for %s", cycles, got, want)
		}
	}
}
