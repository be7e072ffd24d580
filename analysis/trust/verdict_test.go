package trust

import (
	"fmt"
	"math"
	"testing"
	"time"

	"rimelog/pipeline/table"
)

// hour makes a visit of an hour, 50 minutes of it judged, and its facts.
func hour(day int, use, doubt, engineer string, rules ...string) (Use, Facts) {
	at := time.Date(2024, 3, 1+day, 9, 0, 0, 0, time.UTC)
	v := Use{Start: at, End: at.Add(time.Hour), Use: use, Doubt: doubt, Logged: 60, Off: 6, LeftOut: 3, Judged: 45, Engineer: engineer, Fingerprint: "A-1 A-2"}
	if use != table.UseTrend {
		v.Reason = "never steady"
	}
	f := Facts{Start: at.UnixMicro(), End: at.Add(time.Hour).UnixMicro(), Serials: []string{"A-1", "A-2"}}
	for _, r := range rules {
		f.Doubts = append(f.Doubts, Doubt{Rule: r})
	}
	return v, f
}

func TestVerdicts(t *testing.T) {
	good, fine := hour(0, table.UseTrend, "", "")
	bad, wrong := hour(1, table.UseSpot, "", "", "D18")
	odd, half := hour(2, table.UseTrend, "D26", "", "D26")
	visits, facts := []Use{good, bad, odd}, []Facts{fine, wrong, half}
	for _, tc := range []struct {
		name        string
		first, last int
		verdict     string
		judged      float64
		rules       string
	}{
		{"a good visit", 0, 0, table.UploadUsed, 75, ""},
		{"a visit never steady", 1, 1, table.UploadUnused, 0, "D18"},
		{"a visit with something hidden", 2, 2, table.UploadInPart, 75, "D26"},
		{"a file of all three", 0, 2, table.UploadInPart, 50, "D18 D26"},
	} {
		d := Delivery{First: facts[tc.first].Start, Last: facts[tc.last].End, Stored: 100}
		v := Verdict(d, NewRecord(visits, facts))
		if v.Verdict != tc.verdict || math.Abs(v.JudgedPct-tc.judged) > 1e-9 || v.Rules != tc.rules || (v.Reasons == "") != (v.Verdict == table.UploadUsed) {
			t.Errorf("%s: %s with %.0f %% judged by %q because %q; want %s, %.0f %%, %q", tc.name, v.Verdict, v.JudgedPct, v.Rules, v.Reasons, tc.verdict, tc.judged, tc.rules)
		}
		if sum := v.OffPct + v.LeftPct + v.MovingPct + v.JudgedPct + v.ShownPct; math.Abs(sum-100) > 1e-9 {
			t.Errorf("%s: shares sum to %.2f %%", tc.name, sum)
		}
	}
	for want, u := range map[string]table.Upload{
		"no system claims it":                          {Status: "waiting", Reason: "no system claims it"},
		"waiting":                                      {Status: "waiting"},
		"the file is empty; export it again":           {Status: "unreadable", Reason: "the file is empty; export it again"},
		"no line of it could be taken":                 {Status: "read", Lines: 181},
		"all of its values stand in another upload":    {Status: "read", Values: 900, Duplicates: 900},
		"none of its columns is known to be a channel": {Status: "read", Values: 900, Stored: 900},
	} {
		if v := Unread(u); v.Verdict != table.UploadUnused || v.Reasons != want {
			t.Errorf("%+v: %s because %q, want %q", u, v.Verdict, v.Reasons, want)
		}
	}
}

// People with fewer than ten visits are never compared; with enough, six mistakes in
// twelve visits are more than one in forty, and two in twelve are not.
func TestNobodyIsComparedByFewVisits(t *testing.T) {
	for _, tc := range []struct {
		visits, mistakes int
		want             string
	}{
		{9, 9, "not compared: fewer than 10 visits"},
		{12, 6, "more mistakes than the others"},
		{12, 2, "within noise of the others"},
	} {
		var book Logbook
		var visits []Use
		var facts []Facts
		for i := range tc.visits + 40 {
			who, rules := "R. Hale", []string{"D24"} // other instruments are nobody's mistake
			if i < tc.visits {
				who = "E. Stone"
			}
			if i < tc.mistakes || i == tc.visits {
				rules = append(rules, "D10", "D10")
			}
			v, f := hour(i, table.UseTrend, "", who, rules...)
			visits, facts = append(visits, v), append(facts, f)
		}
		book.Add(NewRecord(visits, facts))
		found := false
		for _, r := range book.Rows() {
			if r.By != byEngineer || r.Name != "E. Stone" {
				continue
			}
			found = true
			if r.Compared != tc.want || r.Visits != int64(tc.visits) || r.Mistaken != int64(tc.mistakes) {
				t.Errorf("%d mistakes in %d visits: %q, counted %d in %d; want %q", tc.mistakes, tc.visits, r.Compared, r.Mistaken, r.Visits, tc.want)
			}
			if want := fmt.Sprintf("probe loose (D10): %d", tc.mistakes); r.Commonest != want {
				t.Errorf("commonest %q, want %q", r.Commonest, want)
			}
		}
		if !found {
			t.Error("no row for E. Stone")
		}
	}
}
