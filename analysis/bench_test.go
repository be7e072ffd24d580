package analysis

import (
	"math"
	"testing"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/steady"
	"rimelog/analysis/trust"
	"rimelog/pipeline/register"
)

// A log that hunts, with a start and a stop every forty minutes (running), or stands still
// (stopped): a day of a sample every second, or sixty days of one a minute.
func logged86400(running bool, every int) *cycle.Columns {
	const n = 86400
	c := &cycle.Columns{Time: make([]int64, n)}
	for _, q := range []cycle.Quantity{cycle.SuctionPressure, cycle.DischargePressure, cycle.SuctionTemp, cycle.DischargeTemp, cycle.LiquidTemp, cycle.OutdoorTemp, cycle.RoomTemp, cycle.Power} {
		c.Values[q] = make([]float64, n)
	}
	start := time.Date(2024, 5, 1, 0, 0, 0, 0, time.UTC).UnixMicro()
	for i := range n {
		x := float64(i * every)
		c.Time[i] = start + int64(i*every)*1e6
		c.Values[cycle.OutdoorTemp][i], c.Values[cycle.RoomTemp][i] = 25+0.01*float64(i%7), 2+0.01*float64(i%5)
		if on := running && i*every%2400 > 60; on {
			c.Values[cycle.SuctionPressure][i] = 200.6 * (1 + 0.01*math.Sin(x/13.5) + 1e-4*float64(i%11))
			c.Values[cycle.DischargePressure][i] = 1016.6 * (1 + 0.005*math.Sin(x/13.5-1) + 1e-4*float64(i%13))
			c.Values[cycle.SuctionTemp][i], c.Values[cycle.LiquidTemp][i] = -2+math.Sin(x/13.5+1)+0.01*float64(i%9), 35+0.01*float64(i%3)
			c.Values[cycle.DischargeTemp][i], c.Values[cycle.Power][i] = 75+0.01*float64(i%4), 2.5+0.001*float64(i%17)
			continue
		}
		c.Values[cycle.SuctionPressure][i], c.Values[cycle.DischargePressure][i] = 572+0.1*float64(i%3), 572+0.1*float64(i%4)
		c.Values[cycle.SuctionTemp][i], c.Values[cycle.LiquidTemp][i], c.Values[cycle.DischargeTemp][i] = 20+0.01*float64(i%3), 20+0.01*float64(i%4), 20
	}
	return c
}

// BenchmarkLook works out samples as the step windows does, from samples to windows with
// uncertainties and doubts, and reports rows per second on one core: 0.6 million of a
// running machine and 5 million of one that stands still are wanted.
func BenchmarkLook(b *testing.B) {
	for _, l := range []struct {
		name    string
		running bool
		every   int
	}{{"running", true, 1}, {"stopped", false, 1}, {"running every minute", true, 60}, {"stopped every minute", false, 60}} {
		b.Run(l.name, func(b *testing.B) {
			sys := register.NewSystem("CR-01")
			sys.RefrigerantName = "R134a"
			circuit, err := cycle.NewCircuit(sys)
			if err != nil {
				b.Fatal(err)
			}
			kept := logged86400(l.running, l.every)
			n := kept.Rows()
			look(circuit, kept) // refrigerants' curves are built once in a process
			b.ResetTimer()
			for b.Loop() {
				look(circuit, kept)
			}
			b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
		})
	}
}

// look does to samples what the step windows does, short of reading and writing.
func look(circuit *cycle.Circuit, kept *cycle.Columns) {
	c := *kept
	screened := trust.Screen(&c, trust.Site{})
	circuit.Derive(&c, 0, c.Rows())
	stays, windows := steady.Cut(&c, nil, steady.Options{})
	in := circuit.Generic()
	for _, w := range windows {
		w.Row(circuit, in)
	}
	steady.Phases(&c, circuit, stays, math.MinInt64, math.MaxInt64, steady.Options{})
	looked(circuit, &c, stays, nil, newRoster(in, nil), screened, nil)
}
