package report

import (
	"testing"

	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// Events without a saving stand apart from those with one, each once.
func TestUnstatedSavingsStandApart(t *testing.T) {
	v := seasonsView{Savings: []fleetSaving{
		{System: "A1", savingView: savingView{Stated: true}}, {System: "A2"}, {System: "A3", savingView: savingView{Stated: true}},
	}}
	if s, u := v.Stated(), v.Unstated(); len(s) != 2 || s[1].System != "A3" || len(u) != 1 || u[0].System != "A2" {
		t.Errorf("stated %v, not stated %v", s, u)
	}
}

// Systems that cannot be ranked stand below the reason they share, with their number.
func TestNotRankedByReason(t *testing.T) {
	var v seasonsView
	for _, r := range []table.Ranking{{System: "A1", Why: "nobody knows"}, {System: "A2", Why: "no bin"}, {System: "A3", Why: "nobody knows"}} {
		v.leaveOut(say.Locale{}, r)
	}
	if len(v.NotRanked) != 2 || len(v.NotRanked[0].Systems) != 2 || plain(v.NotRanked[0].Count) != "2 systems" || plain(v.NotRanked[1].Count) != "1 system" {
		t.Errorf("%+v", v.NotRanked)
	}
}
