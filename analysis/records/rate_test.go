package records

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"rimelog/pipeline/table"
)

const lb = 0.45359237 // kg, NIST SP 811 (2008), B.8

// The worked figures of the two formulas (worked out by hand from the definition): 4 lb
// into 60 lb after 90 days are 27.0 %, 2 lb into 50 lb after 30 days 48.7 % by the
// annualizing method; alone in their year 6.7 and 4.0 % by the rolling average.
func TestLeakRateFormulas(t *testing.T) {
	for _, c := range []struct {
		got, want float64
	}{
		{Annualizing(4*lb, 60*lb, 90), 27.0}, {Annualizing(2*lb, 50*lb, 30), 48.7},
		{Rolling(4*lb, 60*lb), 6.7}, {Rolling(2*lb, 50*lb), 4.0},
		{Annualizing(4, 60, 400), 6.7}, {Annualizing(4, 60, 365), 6.7}, // more than a year counts as one
		{Annualizing(1, 365, 0), 100}, // an interval of no day counts as one
	} {
		if !near(c.got, c.want, 0.05) {
			t.Errorf("%v, want %v", c.got, c.want)
		}
	}
}

// The same out of a record, in pounds, with what must not count: the first charge, what
// made up for a season, and what filled the circuit after a retrofit.
func TestLeakRatesOfARecord(t *testing.T) {
	const systems = "system,refrigerant,design_charge_kg,jurisdiction,use\nA,R404A,60 lb,US,commercial refrigeration\nB,R404A,50 lb,US,comfort cooling\n"
	b := kept(t, "2026-12-31", systems, `system,date,event,kg,reason
A,2020-01-01,install,60 lb,
A,2026-01-01,charge added,3 lb,season
A,2026-04-01,charge added,4 lb,leak
B,2026-03-02,charge added,5 lb,commissioning
B,2026-04-01,charge added,1 lb,leak
B,2026-04-01 15:00,charge added,16 oz,leak
`)
	a, x := b.LeakRates[0], b.LeakRates[1]
	if len(b.LeakRates) != 2 || !near(a.Annualizing, 27.0, 0.05) || !near(a.Rolling, 6.7, 0.05) || a.Days != 90 || a.Limit != 20 {
		t.Errorf("A: %+v", a)
	}
	if !near(x.Annualizing, 48.7, 0.05) || !near(x.Rolling, 4.0, 0.05) || x.Days != 30 || !near(x.Added, 2*lb, 1e-9) || x.Limit != 10 {
		t.Errorf("B: %+v", x)
	}
	crossed := map[string]string{}
	for _, c := range b.Crossings {
		crossed[c.System] = c.What + " " + date(c.On)
	}
	if crossed["A"] != "leak rate 2026-04-01" || crossed["B"] != "leak rate 2026-04-01" {
		t.Errorf("crossings %v", crossed)
	}
	rolling := Keep(fleet(t, systems, "system,date,event,kg,reason\nA,2026-01-01,charge added,3 lb,season\nA,2026-04-01,charge added,4 lb,leak\n"),
		rules(t), Options{Method: MethodRolling}, Date{On: on(t, "2026-12-31")})
	if len(rolling.Crossings) != 0 {
		t.Errorf("6.7 %% a year passes the limit of 20: %+v", rolling.Crossings)
	}
}

// First addition on record: 365 days (secondary text). The rolling window is cut at the
// follow-up test that showed all leaks repaired.
func TestWindows(t *testing.T) {
	b := kept(t, "2026-12-31", "system,refrigerant,design_charge_kg,jurisdiction\nA,R404A,100,US\n", `system,date,event,kg,outcome
A,2026-01-10,charge added,10,
A,2026-02-01,repaired,,
A,2026-02-05,verification test,,passed
A,2026-02-10,verification test,,passed
A,2026-03-01,charge added,5,
`)
	first, second := b.LeakRates[0], b.LeakRates[1]
	if first.Days != 365 || !near(first.Annualizing, 10, 1e-9) || !strings.Contains(first.Note, "first addition on record") {
		t.Errorf("first: %+v", first)
	}
	if second.Days != 50 || !near(second.Rolling, 5, 1e-9) || second.Window != 19 {
		t.Errorf("second: %+v", second)
	}
	b = kept(t, "2026-12-31", "system,refrigerant,design_charge_kg,jurisdiction\nA,R404A,100,US\n",
		"system,date,event,kg,outcome\nA,2025-12-10,charge added,10,\nA,2026-02-05,verification test,,passed\nA,2026-03-01,charge added,5,\n")
	if got := b.LeakRates[1].Rolling; !near(got, 15, 1e-9) {
		t.Errorf("one test is no follow-up: rolling %v, want 15", got)
	}
}

// A charge known as a range gives a range of rates.
func TestRatesOfARange(t *testing.T) {
	b := kept(t, "2026-12-31", "system,refrigerant,charge_low_kg,charge_high_kg,jurisdiction,use\nA,R404A,40,60,US,commercial refrigeration\n", "system,date,event,kg\nA,2026-03-01,charge added,11\n")
	r := b.LeakRates[0]
	if !near(r.Annualizing, 22, 1e-9) || !near(r.AnnualizedLo, 18.333, 1e-3) || !near(r.AnnualizedHi, 27.5, 1e-9) {
		t.Errorf("%+v", r)
	}
	if c := b.Crossings[0]; c.Certain || !near(c.Value, 22, 1e-9) {
		t.Errorf("a crossing that the range leaves open is called certain: %+v", c)
	}
}

// Laws of the formulas: never less than the rolling average of the same addition, and
// proportional to what was added.
func TestRateLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 1000 {
		added, charge, days := r.Float64()*50, 1+r.Float64()*500, r.IntN(800)
		a := Annualizing(added, charge, days)
		if a < Rolling(added, charge)-1e-9 || !near(Annualizing(2*added, charge, days), 2*a, 1e-9*a) || math.IsNaN(a) {
			t.Fatalf("%v kg into %v kg after %d days: %v", added, charge, days, a)
		}
	}
}

// Chronic leakers: 125 % of the full charge or more in a calendar year, reported by 1 March
// (study guide to the examination of 40 CFR 82, text seen).
func TestChronicLeakers(t *testing.T) {
	const systems = "system,refrigerant,design_charge_kg,jurisdiction,kind\nA,R404A,20,US,cold room\n"
	const events = "system,date,event,kg\nA,2026-02-01,charge added,12\nA,2026-09-01,charge added,12\n"
	b := kept(t, "2027-02-20", systems, events+"A,2026-12-31,charge added,1\n")
	c := one(t, b.Crossings, func(c table.Crossing) bool { return c.What == crossedChronic })
	if date(c.On) != "2026-12-31" || !near(c.Value, 125, 1e-9) {
		t.Errorf("%+v", c)
	}
	l := one(t, b.LeakChecks, checks(dueReport))
	if date(l.DueOn) != "2027-03-01" || l.State != DueSoon {
		t.Errorf("%+v", l)
	}
	if !b.LeakYears[0].Chronic {
		t.Errorf("%+v", b.LeakYears)
	}
	b = kept(t, "2027-02-20", systems, events+"A,2027-01-01,charge added,1\n")
	for _, c := range b.Crossings {
		if c.What == crossedChronic {
			t.Errorf("120 %% in 2026 make no chronic leaker: %+v", c)
		}
	}
}

// What follows a leak rate above its limit: 30 days for the repair with its first test, 10
// days for the second, inspections until it holds.
func TestAfterACrossing(t *testing.T) {
	const systems = "system,refrigerant,design_charge_kg,jurisdiction,kind\nA,R404A,300,US,pack\n"
	const crossed = "system,date,event,kg,outcome\nA,2026-03-01,charge added,100,\n"
	for _, c := range []struct{ name, events, what, due string }{
		{"repair", "", dueRepair, "2026-03-31"},
		{"a failed test", "A,2026-03-10,verification test,,failed\n", dueRepair, "2026-03-31"},
		{"follow-up", "A,2026-03-10,verification test,,passed\n", dueFollowUp, "2026-03-20"},
		{"inspections", "A,2026-03-10,verification test,,passed\nA,2026-03-15,verification test,,passed\n", dueInspection, "2026-06-01"},
		{"the next inspection", "A,2026-05-20,direct leak check,,passed\n", dueInspection, "2026-08-20"},
	} {
		b := kept(t, "2026-06-01", systems, crossed+c.events)
		if l := one(t, b.LeakChecks, checks(c.what)); date(l.DueOn) != c.due {
			t.Errorf("%s: due on %s, want %s", c.name, date(l.DueOn), c.due)
		}
	}
	if b := kept(t, "2027-04-01", systems, crossed); len(b.LeakChecks) != 1 || b.LeakChecks[0].What != dueRepair {
		t.Errorf("inspections a year after: %+v", b.LeakChecks)
	}
	// 50 lb under 40 CFR 82.157 and 15 lb under 84.106 are the smallest charges concerned.
	for _, c := range []struct {
		row     string
		covered bool
	}{
		{"A,R22,51 lb,US,pack", true}, {"A,R22,49 lb,US,pack", false}, {"A,R404A,15.1 lb,US,pack", true}, {"A,R404A,14.9 lb,US,pack", false},
		{"A,R290,100,US,pack", false}, {"A,R454C,100,US,pack", true}, {"A,R1234yf,100,US,pack", false},
	} {
		b := kept(t, "2026-06-01", "system,refrigerant,design_charge_kg,jurisdiction,kind\n"+c.row, "system,date,event,kg\nA,2026-03-01,charge added,5\n")
		if got := !math.IsNaN(b.LeakRates[0].Limit); got != c.covered {
			t.Errorf("%s: covered %v, want %v", c.row, got, c.covered)
		}
	}
}

// Specific loss, Germany: 3, 2 and 1 % a year below 10, from 10 and above 100 kg (classes
// from memory).
func TestSpecificLoss(t *testing.T) {
	for _, c := range []struct {
		charge, added string
		on            string // "" for not passed
		limit         float64
	}{
		{"9", "0.28", "2026-05-01", 3}, {"9", "0.26", "", 3}, {"50", "1.1", "2026-05-01", 2}, {"150", "1.6", "2026-05-01", 1}, {"150", "1.4", "", 1},
	} {
		b := kept(t, "2026-12-31", "system,refrigerant,design_charge_kg,jurisdiction\nA,R404A,"+c.charge+",DE\n", "system,date,event,kg\nA,2026-05-01,charge added,"+c.added+"\n")
		on := ""
		for _, x := range b.Crossings {
			on = date(x.On)
		}
		if on != c.on || b.LeakYears[0].LossLimit != c.limit {
			t.Errorf("%s kg into %s kg: %q, limit %v; want %q, %v", c.added, c.charge, on, b.LeakYears[0].LossLimit, c.on, c.limit)
		}
	}
}
