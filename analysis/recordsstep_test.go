package analysis

import (
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rimelog/analysis/records"
	"rimelog/pipeline/table"
)

// A finding of lost charge stands in the list of what is due until a direct check answers
// it; the trail names the uploads and rows behind it, and the books need no samples.
func TestRecordsBesideFindings(t *testing.T) {
	files := map[string]string{
		"systems.csv": "system,site,refrigerant,expansion,receiver,design_charge_kg,jurisdiction\nroom-1,Old Mill,R134a,thermostatic,none,12,DE\nstore-2,Old Mill,R404A,,,3,DE\n",
		"events.csv":  "system,date,event,kg\nroom-1,2021-06-01,install,12\nstore-2,2024-02-01,charge added,0.5\n",
	}
	b := newBench(t, files)
	b.put(t, "room-1", leaking(30))
	b.run(t, time.Time{})
	due := func() (states []string) {
		for _, l := range rowsOf[table.LeakCheck](t, b, table.LeakChecks().Path("", "")) {
			if l.Finding != "" {
				states = append(states, l.State)
			}
		}
		return states
	}
	if got := due(); len(got) != 1 || got[0] != records.Recommended {
		t.Fatalf("due for findings: %v, want one that is recommended", got)
	}
	balances := rowsOf[table.Balance](t, b, table.Balances().Path("", ""))
	if len(balances) != 2 || balances[1].Added != 0.5 {
		t.Errorf("balances %+v, want both systems of the register", balances)
	}
	finding := false
	for _, a := range rowsOf[table.AuditRow](t, b, table.AuditTrail().Path("", "")) {
		finding = finding || a.Table == "leak_checks" && strings.HasPrefix(a.Source, "finding room-1/")
	}
	if !finding {
		t.Error("the trail does not name the finding")
	}
	files["events.csv"] += "room-1,2024-06-20,direct leak check,\n"
	b.load(t, files)
	b.run(t, time.Time{})
	if got := due(); len(got) != 1 || got[0] != records.Answered {
		t.Errorf("after a direct check: %v, want answered", got)
	}
}

// A row years after all others is a slip of the pen: it moves no day, and is told.
func TestSlipOfTheYear(t *testing.T) {
	b := newBench(t, map[string]string{
		"systems.csv": "system,refrigerant,design_charge_kg,jurisdiction\nroom-1,R134a,12,DE\n",
		"events.csv":  "system,date,event,kg\nroom-1,2022-12-01,charge added,1\nroom-1,2062-12-01,charge added,1\n",
	})
	b.put(t, "room-1", leaking(6))
	b.run(t, time.Time{})
	found := false
	for _, g := range rowsOf[table.RecordGap](t, b, table.RecordGaps().Path("", "")) {
		found = found || strings.Contains(g.Problem, "charge added of 2062-12-01 lies in the future: the report is as of 2022-12-01")
	}
	if !found {
		t.Error("nothing is said of the year 2062")
	}
}

// A row of a day counts on that day, wherever the site's midnight falls.
func TestDayOfTheSite(t *testing.T) {
	for _, zone := range []string{"Pacific/Auckland", "Europe/Berlin", "UTC", "America/Los_Angeles"} {
		b := newBench(t, map[string]string{
			"systems.csv": "system,refrigerant,design_charge_kg,jurisdiction,zone\nroom-1,R134a,12,XX," + zone + "\n",
			"events.csv":  "system,date,event,kg\nroom-1,2025-06-01,charge added,1\n",
		})
		b.run(t, time.Time{})
		for _, g := range rowsOf[table.RecordGap](t, b, table.RecordGaps().Path("", "")) {
			if strings.Contains(g.Problem, "future") {
				t.Errorf("%s: %s", zone, g.Problem)
			}
		}
		if x := rowsOf[table.Balance](t, b, table.Balances().Path("", ""))[0]; x.Added != 1 {
			t.Errorf("%s: %v kg added, want 1", zone, x.Added)
		}
	}
}

// ruleFile is a small law of an invented country, so that the hash of the step's rows does
// not change with the rule sets of the program.
const ruleFile = `{"id": "xx", "jurisdiction": "XX", "title": "Act", "holds_in": ["XX"], "valid_from": "2020-01-01", "gwp_set": "AR4", "groups": {"all": ["R134a"]},
	"leak_checks": [{"text": "1", "standing": "seen", "group": "all", "measure": "kg", "classes": [{"from": 1, "every_months": 12, "with_detection_months": 24}]}],
	"loss_limits": {"text": "2", "standing": "seen", "group": "all", "classes": [{"from_kg": 0, "pct": 3}]},
	"records": {"text": "3", "standing": "seen", "keep_years": 5, "require": [{"text": "(a)", "events": ["charge added"], "columns": ["company"]}]}}`

// recordsHash is a hash of the rows that the records step makes of a small register.
func recordsHash(t *testing.T) string {
	b := newBench(t, map[string]string{
		"systems.csv": "system,site,refrigerant,design_charge_kg,jurisdiction\nroom-1,Old Mill,R134a,12,XX\n",
		"events.csv":  "system,date,event,kg\nroom-1,2021-06-01,install,12\nroom-1,2024-02-01,charge added,0.5\nroom-1,2024-02-01,direct leak check,\n",
	})
	var err error
	if b.rules, err = b.rules.With(fstest.MapFS{"rules/xx.json": {Data: []byte(ruleFile)}}, "rules"); err != nil {
		t.Fatal(err)
	}
	b.run(t, time.Time{})
	return hashOf(rowsOf[table.LeakCheck](t, b, table.LeakChecks().Path("", ""))) + hashOf(rowsOf[table.Crossing](t, b, table.Crossings().Path("", ""))) +
		hashOf(rowsOf[table.RecordRow](t, b, table.RecordBook().Path("", ""))) + hashOf(rowsOf[table.AuditRow](t, b, table.AuditTrail().Path("", "")))
}
