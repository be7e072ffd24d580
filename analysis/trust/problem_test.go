package trust

import (
	"strings"
	"testing"
)

// A channel that was not found may be in the file all the same, taken for something else:
// rimelog explain tells.
func TestAMissingChannelPointsToExplain(t *testing.T) {
	d := Doubt{Rule: "D23", Channels: []string{"liquid_temp_c"}, Evidence: "liquid_temp was not logged: no subcooling", Remedy: "log it at the next visit"}
	p := d.problem("CR-01", Facts{Paths: []string{"CR-01/May visit.csv"}})
	if want := `log it at the next visit; if it is in the file, rimelog explain "uploads/CR-01/May visit.csv" says what its columns are taken for`; p.Remedy != want {
		t.Errorf("got %s", p.Remedy)
	}
	d.Rule = "D10"
	if p := d.problem("CR-01", Facts{Paths: []string{"CR-01/May visit.csv"}}); strings.Contains(p.Remedy, "explain") {
		t.Errorf("rule D10 says %s", p.Remedy)
	}
}
