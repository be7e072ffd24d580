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
		u, lacks := c.CompressorWithin(&row, &in, &spread)
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

// Patches answer as the equations they are fitted to: efficiency and COPs differ by less
// than 0.01 K of the discharge gas or of the liquid changes them.
func TestPerformanceByPatchesIsThatOfTheEquations(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 11))
	for _, name := range []string{"R134a", "R290", "R32", "R407C", "R410A", "R448A", "R513A", "R717"} {
		s := register.NewSystem("A")
		s.RefrigerantName = name
		fast, err := NewCircuit(s)
		if err != nil {
			t.Fatal(err)
		}
		exact, err := NewExactCircuit(s)
		if err != nil {
			t.Fatal(err)
		}
		for range 20 {
			row := meanState(t, exact, rng)
			want, got, hotter := row, row, row
			hotter[DischargeTemp] += 0.01
			hotter[LiquidTemp] += 0.01
			exact.Compressor(&want)
			exact.Compressor(&hotter)
			fast.Compressor(&got)
			for _, q := range []Quantity{IsentropicEfficiency, CoolingCOP, HeatingCOP} {
				if !(math.Abs(got[q]-want[q]) < math.Abs(hotter[q]-want[q])) {
					t.Errorf("%s: %v %.6g by patches, %.6g by the equations, %.6g with 0.01 K more, at %v", name, q, got[q], want[q], hotter[q], row[:LiquidTemp+1])
				}
			}
		}
	}
}

// meanState draws the readings of a machine that runs.
func meanState(t *testing.T, c *Circuit, rng *rand.Rand) Row {
	t.Helper()
	row := NewRow()
	row[SuctionPressure], row[DischargePressure] = pressureAt(t, c, -25+30*rng.Float64()), pressureAt(t, c, 30+20*rng.Float64())
	row[SuctionTemp] = c.Dew(row[SuctionPressure]) + 3 + 12*rng.Float64()
	row[DischargeTemp] = c.Dew(row[DischargePressure]) + 20 + 40*rng.Float64()
	row[LiquidTemp] = c.Bubble(row[DischargePressure]) - 1 - 8*rng.Float64()
	c.Complete(&row)
	return row
}
