package drift

import (
	"strings"
	"testing"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A presumption stands in the notes of the trends and of the cause; a finding says it once.
func TestAFindingSaysOnceWhatItRestsOn(t *testing.T) {
	const presumed = "visits are judged by R134a, which fits; look at the nameplate"
	d := decision{trends: map[string]table.Trend{
		Subcooling:  {Feature: Subcooling, Verdict: Falling, Note: "few visits; " + presumed},
		CondenserTD: {Feature: CondenserTD, Verdict: NotJudged, Note: "3 visits: too few to judge a trend, want 6; " + presumed},
	}}
	c := table.Cause{Feature: Subcooling, Note: "subcooling is used up; " + presumed}
	got := strings.Join(limitsOf(register.NewSystem("A1"), pattern{kind: ChargeLoss, needs: []string{CondenserTD}}, c, d), "; ")
	for _, part := range strings.Split("few visits; "+CondenserTD+"; too few to judge a trend, want 6; subcooling is used up; "+presumed, "; ") {
		if part == CondenserTD {
			part = Words(CondenserTD) + " could not be judged"
		}
		if n := strings.Count(got, part); n != 1 {
			t.Errorf("%q stands %d times in: %s", part, n, got)
		}
	}
	d.trends[Subcooling] = table.Trend{Feature: Subcooling, Verdict: Falling, Note: presumed}
	if got := limitsOf(register.NewSystem("A1"), pattern{kind: ChargeLoss}, c, d); strings.Contains(strings.Join(got, "; "), "; ;") || got[len(got)-1] != c.Note {
		t.Errorf("got %q", got)
	}
}
