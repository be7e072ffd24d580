package report

import (
	"math"
	"testing"

	"rimelog/pipeline/table"
)

// Pages write ± twice what a feature gives, which is the interval of the table where it has one
// (superheat_u95_k, subcooling_u95_k), else ± 2 u (JCGM 100:2008, 6.3.3).
func TestPagesStateTheIntervalOfTheTable(t *testing.T) {
	v := table.Visit{Superheat: 8, SuperheatU: 0.4, SuperheatHalf: 1, Subcooling: 5, SubcoolingU: 0.3, SubcoolingHalf: math.NaN()}
	for _, f := range features[:2] {
		want := map[string]float64{"superheat_k": 1, "subcooling_k": 0.6}[f.column]
		if _, u := f.value(&v); 2*u != want {
			t.Errorf("%s: ± %v K, want ± %v K", f.column, 2*u, want)
		}
	}
}
