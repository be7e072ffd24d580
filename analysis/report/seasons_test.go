package report

import "testing"

// Events without a saving stand apart from those with one, each once.
func TestUnstatedSavingsStandApart(t *testing.T) {
	v := seasonsView{Savings: []fleetSaving{
		{System: "A1", savingView: savingView{Stated: true}}, {System: "A2"}, {System: "A3", savingView: savingView{Stated: true}},
	}}
	if s, u := v.Stated(), v.Unstated(); len(s) != 2 || s[1].System != "A3" || len(u) != 1 || u[0].System != "A2" {
		t.Errorf("stated %v, not stated %v", s, u)
	}
}
