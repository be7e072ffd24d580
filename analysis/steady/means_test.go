package steady

import (
	"math"
	"testing"

	"rimelog/pipeline/table"
)

// Instruments err alike in all windows of a visit, what scatters within windows does not:
// 0.3 K of the instruments and 0.4 K of scatter are 0.5 K in one window (JCGM 100:2008,
// 5.1.2), and √(0.3² + 0.4²/4) in four (4.2.3). That they lie a kelvin apart is the machine.
func TestScatterAveragesOutAndInstrumentsDoNot(t *testing.T) {
	window := func(superheat float64) table.Window {
		return table.Window{Superheat: superheat, SuperheatU: 0.5, SuperheatHalf: 1, SuperheatSpreadU: 0.4, Subcooling: math.NaN(), SubcoolingU: math.NaN()}
	}
	for _, tc := range []struct {
		windows []table.Window
		want    float64
	}{
		{[]table.Window{window(8)}, 0.5},
		{[]table.Window{window(7), window(8), window(7.5), window(6)}, math.Sqrt(0.09 + 0.04)},
	} {
		v := means(tc.windows)
		if math.Abs(v.SuperheatU-tc.want) > 1e-12 || math.Abs(v.SuperheatHalf-2*tc.want) > 1e-12 {
			t.Errorf("%d windows: %.4f and %.4f K, want %.4f and twice that", len(tc.windows), v.SuperheatU, v.SuperheatHalf, tc.want)
		}
		if !math.IsNaN(v.SubcoolingU) {
			t.Errorf("%d windows without subcooling: uncertainty %v, want none", len(tc.windows), v.SubcoolingU)
		}
	}
}
