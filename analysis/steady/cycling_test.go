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

// The last sample before a stop belongs to a valve that hunts, where it lies between those
// before it, though it is far from the last of them; one that shows the stop does not.
func TestTheLastSampleOfAHuntingMachineRuns(t *testing.T) {
	at := func(evaporating ...float64) []state {
		c := &cycle.Columns{}
		for i, te := range evaporating {
			c.Time = append(c.Time, int64(i)*60e6)
			c.Values[cycle.Evaporating] = append(c.Values[cycle.Evaporating], te)
			c.Values[cycle.Condensing] = append(c.Values[cycle.Condensing], 40)
			c.Values[cycle.Power] = append(c.Values[cycle.Power], 3)
		}
		c.Values[cycle.Power][len(evaporating)-1] = 0
		stays, _ := Cut(c, nil, Options{})
		return stays[0].states
	}
	const stop = 5 // warms as soon as it stands
	if got := at(-10, -8, -10, -8, -10, -8, stop); got[5] != running {
		t.Errorf("a sample that hunts as before: state %d, want running", got[5])
	}
	if got := at(-10, -8, -10, -8, -10, -6, stop); got[5] != off {
		t.Errorf("a sample 2 K above all before it: state %d, want off", got[5])
	}
}
