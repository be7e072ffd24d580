package cycle

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/pipeline/register"
)

// The propagated uncertainty of efficiency and COPs is that of a Monte Carlo (JCGM 101:2008)
// of the exact states, drawn around a running machine's readings by the same instruments.
func TestPerformanceIsKnownAsWellAsAMonteCarloSays(t *testing.T) {
	for _, name := range []string{"R134a", "R290", "R449A"} {
		s := register.NewSystem("x")
		s.RefrigerantName, s.Altitude, s.Kind = name, 0, register.ColdRoom
		c, err := NewExactCircuit(s)
		if err != nil {
			t.Fatal(err)
		}
		in := c.Generic()
		for q := range in.Limit {
			in.Stated[q], in.Gain[q] = true, 0
		}
		in.Limit[SuctionPressure], in.Limit[DischargePressure], in.Limit[SuctionTemp], in.Limit[DischargeTemp], in.Limit[LiquidTemp] = 8, 24, 1, 1.2, 1
		row, spread := NewRow(), NewRow()
		row[SuctionPressure], row[DischargePressure] = pressureAt(t, c, -10), pressureAt(t, c, 42)
		row[SuctionTemp], row[DischargeTemp], row[LiquidTemp] = 0, 85, 33
		spread[DischargeTemp] = 0.4
		c.Complete(&row)
		u, lacks := c.CompressorWithin(&row, in, &spread)
		if len(lacks) > 0 {
			t.Fatalf("%s: %+v", name, lacks)
		}
		r := rand.New(rand.NewPCG(1, 9))
		var sum, squares [3]float64
		const draws = 3000
		for range draws {
			x := row
			for _, q := range []Quantity{SuctionPressure, DischargePressure, SuctionTemp, DischargeTemp, LiquidTemp} {
				x[q] += in.reading(q, 1).With(spread[q]).Standard() * r.NormFloat64()
			}
			c.Complete(&x)
			c.Compressor(&x)
			for i, v := range []float64{x[IsentropicEfficiency], x[CoolingCOP], x[HeatingCOP]} {
				sum[i] += v / draws
				squares[i] += v * v / draws
			}
		}
		for i, got := range []float64{u.IsentropicEfficiency, u.CoolingCOP, u.HeatingCOP} {
			want := math.Sqrt(squares[i] - sum[i]*sum[i])
			if !(math.Abs(got/want-1) < 0.06) { // 3000 draws know it to 1.3 %
				t.Errorf("%s, %d: %.4f, the Monte Carlo says %.4f", name, i, got, want)
			}
		}
	}
}

// pressureAt is the dew pressure at a temperature, kPa.
func pressureAt(t *testing.T, c *Circuit, celsius float64) float64 {
	t.Helper()
	lo, hi := 10.0, 4000.0
	for range 60 {
		if mid := (lo + hi) / 2; c.Dew(mid) < celsius {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
