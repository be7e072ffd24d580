package cycle

import (
	"math"
	"testing"
)

// BenchmarkDeriveUnlike derives all quantities of running samples whose pressures hardly
// repeat; the report's metric is rows per second.
func BenchmarkDeriveUnlike(b *testing.B) {
	c := circuit(b, "R407C")
	const n = 100_000
	s := &Columns{Time: make([]int64, n)}
	for _, q := range []Quantity{SuctionPressure, DischargePressure, SuctionTemp, LiquidTemp, DischargeTemp, OutdoorTemp, RoomTemp} {
		s.Values[q] = make([]float64, n)
	}
	for i := range n {
		x := float64(i)
		s.Time[i] = int64(i) * 10e6
		s.Values[SuctionPressure][i] = 300 + 5*math.Sin(x/1.35) + 0.001*x
		s.Values[DischargePressure][i] = 1500 + 15*math.Sin(x/1.35-2) + 0.002*x
		s.Values[SuctionTemp][i], s.Values[LiquidTemp][i], s.Values[DischargeTemp][i] = -2, 33, 75
		s.Values[OutdoorTemp][i], s.Values[RoomTemp][i] = 25, 2
	}
	for b.Loop() {
		c.Derive(s, 0, n)
	}
	b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
