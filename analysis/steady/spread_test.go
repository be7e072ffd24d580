package steady

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/analysis/robust"
)

// Over whole periods a swing averages out, however its steps fall into them, and what is
// left is the noise of the mean: its standard error is that of as many draws (JCGM
// 100:2008, 4.2.3), within what four to seven periods tell of it.
func TestSpreadOfASwingIsThatOfItsPeriods(t *testing.T) {
	const step, period, noise = 10e6, 85e6, 0.3
	r := rand.New(rand.NewPCG(3, 4))
	b := &bins{step: step, period: period}
	n := int(math.Round(5 * period / step))
	var means, said []float64
	for range 400 {
		phase, x := r.Float64(), make([]float64, n)
		for i := range x {
			x[i] = 2*math.Sin(2*math.Pi*(float64(i)*step/period+phase)) + noise*r.NormFloat64()
		}
		mean, sd, _, _ := robust.Mean(x)
		means, said = append(means, mean), append(said, b.spread(x, sd))
	}
	_, is, _, _ := robust.Mean(means)
	told, _ := robust.Median(said)
	if told < is*0.9 || told > is*2 {
		t.Errorf("said ±%.3f in the median, means scatter by %.3f", told, is)
	}
	if plain := 2 / math.Sqrt2 / math.Sqrt(float64(n)) * 2; told > plain {
		t.Errorf("said ±%.3f, as if the swing of ±2 were noise", told)
	}
}
