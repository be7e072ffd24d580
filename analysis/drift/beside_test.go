package drift

import (
	"testing"

	"rimelog/pipeline/table"
)

// What tells these faults apart: Rossi & Braun (1997) for lost charge, a restricted line and dirt;
// that gas comes at once and dirt slowly is common practice, no source.
func TestWhatIsASignOfAnotherIsNotNamed(t *testing.T) {
	cause := func(kind string, odds, sure, p float64) table.Cause {
		return table.Cause{Kind: kind, Odds: odds, Sure: sure, Probability: p}
	}
	restless := cause(CondenserFouling, 20, 5, 0.6)
	restless.Feature, restless.Noise = CondenserTD, 1.5*usualScatter(CondenserTD)
	calm := restless
	calm.Noise = usualScatter(CondenserTD)
	for _, tc := range []struct {
		name  string
		c     table.Cause
		other table.Cause
		want  bool
	}{
		{"lost charge beside more odds of too much", cause(ChargeLoss, 5, 2, 0.9), cause(Overcharge, 9, 7, 0.9), true},
		{"lost charge beside less odds of too much", cause(ChargeLoss, 9, 2, 0.9), cause(Overcharge, 5, 4, 0.9), false},
		{"a wide evaporator behind a blocked line", cause(EvaporatorFouling, 9, 2, 0.7), cause(Restriction, 40, 20, 0.9), true},
		{"a hot discharge behind a blocked line", cause(Wear, 9, 2, 0.7), cause(Restriction, 40, 20, 0.9), true},
		{"an evaporator at one visit beside a loss", cause(EvaporatorFouling, 9, -3, 0.9), cause(ChargeLoss, 20, 10, 0.9), true},
		{"an evaporator at all visits beside a loss", cause(EvaporatorFouling, 9, 3, 0.9), cause(ChargeLoss, 20, 10, 0.9), false},
		{"a slope with much scatter that gas explains", restless, cause(Gas, 18, 4, 0.3), true},
		{"a slope with much scatter that gas does not explain", restless, cause(Gas, 10, 4, 0.1), false},
		{"a slope with usual scatter", calm, cause(Gas, 18, 4, 0.3), false},
	} {
		w := walk{open: map[string]*course{}}
		if got := w.belied(tc.c, decision{causes: []table.Cause{tc.c, tc.other}}); got != tc.want {
			t.Errorf("%s: belied %v, want %v", tc.name, got, tc.want)
		}
	}
	w := walk{open: map[string]*course{Restriction: {}}}
	if !w.belied(cause(EvaporatorFouling, 9, 2, 0.9), decision{}) {
		t.Error("dirt on an evaporator named while a finding of a blocked line is open")
	}
}
