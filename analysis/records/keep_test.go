package records

import (
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

var embeddedOnce = sync.OnceValues(Embedded)

// rules are the embedded rule sets.
func rules(t testing.TB) Rules {
	t.Helper()
	r, err := embeddedOnce()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// fleet is what a register says, as the books need it.
func fleet(t testing.TB, systems, events string, findings ...table.Finding) []System {
	t.Helper()
	r, err := register.Load(t.Context(), fstest.MapFS{"systems.csv": {Data: []byte(systems)}, "events.csv": {Data: []byte(events)}})
	if err != nil {
		t.Fatal(err)
	}
	var out []System
	for _, s := range r.Systems {
		x := System{Register: s, Book: r.Book(s.ID)}
		for _, p := range r.Problems {
			if p.System == s.ID {
				x.Problems = append(x.Problems, p)
			}
		}
		for _, f := range findings {
			if f.System == s.ID {
				x.Findings = append(x.Findings, f)
			}
		}
		out = append(out, x)
	}
	return out
}

func on(t testing.TB, text string) time.Time {
	t.Helper()
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		t.Fatal(err)
	}
	return day
}

// kept are the books of a register as on a day.
func kept(t testing.TB, asOf, systems, events string, findings ...table.Finding) Books {
	t.Helper()
	return Keep(fleet(t, systems, events, findings...), rules(t), Options{}, Date{On: on(t, asOf)})
}

// one is the only row of a kind.
func one[Row any](t testing.TB, rows []Row, want func(Row) bool) Row {
	t.Helper()
	var found []Row
	for _, r := range rows {
		if want(r) {
			found = append(found, r)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%d rows, want one: %+v", len(found), rows)
	}
	return found[0]
}

func checks(what string) func(table.LeakCheck) bool {
	return func(l table.LeakCheck) bool { return l.What == what }
}

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

const eu = "system,refrigerant,design_charge_kg,jurisdiction,hermetic,leak_detection,kind,residential\n"

// The intervals of Regulation (EU) 2024/573, Article 5: the table of trade facts that the
// rules come from, text seen for t CO2e and for the duty from 1 kg, the kilograms of the
// higher classes from memory.
func TestLeakCheckIntervals(t *testing.T) {
	for _, c := range []struct {
		name, row string
		months    int64 // 0: none is due
	}{
		{"R410A below 5 t", "A,R410A,2.39,DE,no,no,,", 0},
		{"R410A from 5 t, 2.40 kg", "A,R410A,2.40,DE,no,no,,", 12},
		{"R410A below 50 t", "A,R410A,23.94,DE,no,no,,", 12},
		{"R410A from 50 t, 23.95 kg less the rounding", "A,R410A,23.953,DE,no,no,,", 6},
		{"R410A below 500 t", "A,R410A,239.4,DE,no,no,,", 6},
		{"R410A from 500 t, 239.5 kg", "A,R410A,239.53,DE,no,no,,", 3},
		{"R404A from 5 t, 1.27 kg less the rounding", "A,R404A,1.275,DE,no,no,,", 12},
		{"R404A below 5 t", "A,R404A,1.27,DE,no,no,,", 0},
		{"twice the time with a leak detection system", "A,R410A,2.40,DE,no,yes,,", 24},
		{"twice, 50 t", "A,R410A,24,DE,no,yes,,", 12},
		{"twice, 500 t", "A,R410A,240,DE,no,yes,,", 6},
		// Worked example of a German authority: 1.4 kg of R455A hold 1.06 kg of R1234yf, which is
		// above 1 kg, and 0.2 t CO2e of R32, which is below 5 t.
		{"R455A, 1.4 kg", "A,R455A,1.4,DE,no,no,,", 12},
		{"R455A, 1.3 kg", "A,R455A,1.3,DE,no,no,,", 0},
		{"R1234yf, 10 kg", "A,R1234yf,10,DE,no,no,,", 6},
		{"R1234yf, 100 kg", "A,R1234yf,100,DE,no,no,,", 3},
		{"hermetic below 10 t", "A,R410A,4.7,DE,yes,no,,", 0},
		{"hermetic from 10 t", "A,R410A,4.8,DE,yes,no,,", 12},
		{"hermetic below 2 kg of an Annex II substance", "A,R1234yf,1.99,DE,yes,no,,", 0},
		{"hermetic from 2 kg", "A,R1234yf,2,DE,yes,no,,no", 12},
		{"hermetic below 3 kg in a residential building", "A,R1234yf,2.9,DE,yes,no,,yes", 0},
		{"hermetic from 3 kg in a residential building", "A,R1234yf,3,DE,yes,no,,yes", 12},
		{"hydrocarbons have no classes", "A,R290,50,DE,no,no,,", 0},
		{"carbon dioxide has none", "A,R744,5000,DE,no,no,,", 0},
		{"ozone depleting, 3 kg (Regulation (EU) 2024/590)", "A,R22,3,DE,no,no,,", 12},
		{"Great Britain knows no kilograms of HFO", "A,R1234yf,100,GB,no,no,,", 0},
		{"Great Britain, 5 t", "A,R410A,2.40,GB,no,no,,", 12},
		{"Northern Ireland follows the Union", "A,R1234yf,10,GB-NIR,no,no,,", 6},
		{"the United States have no intervals without a leak", "A,R410A,240,US,no,no,,", 0},
	} {
		b := kept(t, "2026-06-01", eu+c.row, "system,date,event,outcome\nA,2026-01-10,direct leak check,passed\n")
		var months int64
		for _, l := range b.LeakChecks {
			if l.What == dueLeakCheck {
				months = l.Every
				if want := addMonths(on(t, "2026-01-10"), int(l.Every)); !l.DueOn.Equal(want) {
					t.Errorf("%s: due on %s, want %s", c.name, date(l.DueOn), date(want))
				}
			}
		}
		if months != c.months {
			t.Errorf("%s: every %d months, want %d", c.name, months, c.months)
		}
	}
}

// Parts of a blend: worked example R455A, 1.4 kg, of a German authority: 1.057 kg and 0.203 t.
func TestPartsOfABlend(t *testing.T) {
	b := kept(t, "2026-06-01", eu+"A,R455A,1.4,DE,no,no,,", "system\n")
	if got := b.Balances[0].Tested; got != "Annex I: 0.203 t CO2e, duty from 5; Annex II Section 1: 1.06 kg, duty from 1" {
		t.Errorf("tested: %s", got)
	}
	l := one(t, b.LeakChecks, checks(dueLeakCheck))
	if l.State != NeverDone || !strings.Contains(l.Why, "1.06 kg of Annex II Section 1") {
		t.Errorf("%+v", l)
	}
}

// The charge at which 5, 50 and 500 t CO2e and 40 t are reached: R410A 2.40, 23.95 and
// 239.5 kg, R404A 1.27 kg, and 10.2 kg for 40 t (worked figures; the last is "about 10 kg"
// in a trade body's answers).
func TestChargeOfTonnes(t *testing.T) {
	for _, c := range []struct {
		refrigerant        string
		tonnes, kg, within float64
	}{
		{"R410A", 5, 2.40, 0.005}, {"R410A", 50, 23.95, 0.005}, {"R410A", 500, 239.5, 0.05},
		{"R404A", 5, 1.27, 0.005}, {"R404A", 40, 10.2, 0.05},
	} {
		set := rules(t).On("EU", on(t, "2025-01-01"))[0]
		perKG, ok := set.Measure(fluid(t, c.refrigerant), "Annex I", TonnesCO2e)
		if kg := c.tonnes / perKG; !ok || !near(kg, c.kg, c.within) {
			t.Errorf("%s: %v t are %v kg, want %v", c.refrigerant, c.tonnes, kg, c.kg)
		}
	}
}

// What the state of a check depends on.
func TestDueStates(t *testing.T) {
	const row = "A,R134a,10,DE,no,no,," // 14.3 t CO2e: every 12 months
	for _, c := range []struct{ name, events, state, due string }{
		{"planned", "A,2026-03-01,direct leak check,\n", Planned, "2027-03-01"},
		{"due soon", "A,2025-06-20,indirect leak check,\n", DueSoon, "2026-06-20"},
		{"due today", "A,2025-06-01,direct leak check,\n", DueSoon, "2026-06-01"},
		{"overdue", "A,2025-05-31,direct leak check,\n", Overdue, "2026-05-31"},
		{"from the installation", "A,2026-02-28,install,10\n", Planned, "2027-02-28"},
		{"never", "A,2026-03-01,coil cleaned,\n", NeverDone, ""},
		{"a verification test is no periodic check", "A,2026-03-01,verification test,\n", NeverDone, ""},
		{"later rows do not count", "A,2026-07-01,direct leak check,\n", NeverDone, ""},
	} {
		b := kept(t, "2026-06-01", eu+row, "system,date,event,kg\n"+c.events)
		l := one(t, b.LeakChecks, checks(dueLeakCheck))
		if l.State != c.state || day(l.DueOn) != c.due {
			t.Errorf("%s: %s, due %q; want %s, %q", c.name, l.State, day(l.DueOn), c.state, c.due)
		}
	}
	gone := kept(t, "2026-06-01", eu+row, "system,date,event\nA,2020-01-01,install\nA,2026-03-01,decommissioned\n")
	if len(gone.LeakChecks) != 0 {
		t.Errorf("a decommissioned system has checks due: %+v", gone.LeakChecks)
	}
}

// A charge that is not exactly known stays a range: the stricter answer is given, with the
// doubt.
func TestChargeAsARange(t *testing.T) {
	const head = "system,refrigerant,design_charge_kg,charge_source,charge_low_kg,charge_high_kg,jurisdiction\n"
	const check = "system,date,event,kg\nA,2026-01-10,direct leak check,\n"
	b := kept(t, "2026-06-01", head+"A,R410A,,,20,30,DE", check)
	l := one(t, b.LeakChecks, checks(dueLeakCheck))
	if l.Every != 6 || !strings.Contains(l.Doubt, "20 to 30 kg only: at the least, every 12 months") {
		t.Errorf("%+v", l)
	}
	b = kept(t, "2026-06-01", head+"A,R410A,2.2,estimated,,,DE", check)
	if l := one(t, b.LeakChecks, checks(dueLeakCheck)); l.Every != 12 || !strings.Contains(l.Doubt, "at the least, none is due") {
		t.Errorf("%+v", l)
	}
	b = kept(t, "2026-06-01", head+"A,R410A,,,,,DE", check)
	if l := one(t, b.LeakChecks, checks(dueLeakCheck)); l.State != NotKnown || !strings.Contains(l.Why, "charge is not known") {
		t.Errorf("%+v", l)
	}
	b = kept(t, "2026-06-01", head+"A,R410A,,,,,DE", check+"A,2025-01-10,install,3\n")
	if l := one(t, b.LeakChecks, checks(dueLeakCheck)); l.Every != 12 || b.Balances[0].ChargeBy != "filled in at the install of 2025-01-10" {
		t.Errorf("%+v, charge by %s", l, b.Balances[0].ChargeBy)
	}
	b = kept(t, "2026-06-01", head+"A,,3,,,,DE", check)
	if l := one(t, b.LeakChecks, checks(dueLeakCheck)); l.State != NotKnown || !strings.Contains(l.Why, "refrigerant is not known") {
		t.Errorf("%+v", l)
	}
}

// Article 4(5): not before 24 hours of operation and within one month (text seen).
func TestRecheckWindow(t *testing.T) {
	const row = "A,R410A,10,DE,no,no,,"
	for _, c := range []struct{ name, events, opens, due string }{
		{"open", "A,2026-05-20,repaired,\n", "2026-05-21", "2026-06-20"},
		{"by the hour", "A,2026-05-20 16:00,repaired,\n", "2026-05-21", "2026-06-20"},
		{"end of a short month", "A,2026-01-31,repaired,\n", "2026-02-01", "2026-02-28"},
		{"too early does not count", "A,2026-05-20,repaired,\nA,2026-05-20 18:00,verification test,passed\n", "2026-05-21", "2026-06-20"},
		{"failed does not count", "A,2026-05-20,repaired,\nA,2026-05-25,verification test,failed\n", "2026-05-21", "2026-06-20"},
		{"passed", "A,2026-05-20,repaired,\nA,2026-05-25,verification test,passed\n", "", ""},
		{"a direct check will do", "A,2026-05-20,repaired,\nA,2026-05-25,direct leak check,\n", "", ""},
	} {
		b := kept(t, "2026-06-01", eu+row, "system,date,event,outcome\n"+c.events)
		var opens, due string
		for _, l := range b.LeakChecks {
			if l.What == dueRecheck {
				opens, due = day(l.OpensOn), day(l.DueOn)
			}
		}
		if opens != c.opens || due != c.due {
			t.Errorf("%s: from %q to %q, want %q to %q", c.name, opens, due, c.opens, c.due)
		}
	}
}

// Leak detection systems from 500 t CO2e or 100 kg, checked every 12 months (text seen).
func TestDetectionSystems(t *testing.T) {
	for _, c := range []struct{ row, events, what, state string }{
		{"A,R410A,240,DE,no,no,,", "", dueDetection, NeverDone},
		{"A,R410A,240,DE,no,,,", "", dueDetection, NotKnown},
		{"A,R410A,240,DE,no,yes,,", "", dueSystemTest, NeverDone},
		{"A,R410A,240,DE,no,yes,,", "A,2025-07-01,detection system check\n", dueSystemTest, DueSoon},
		{"A,R1234yf,100,DE,no,no,,", "", dueDetection, NeverDone},
		{"A,R410A,239,DE,no,no,,", "", "", ""},
	} {
		b := kept(t, "2026-06-01", eu+c.row, "system,date,event\n"+c.events)
		var what, state string
		for _, l := range b.LeakChecks {
			if l.What == dueDetection || l.What == dueSystemTest {
				what, state = l.What, l.State
			}
		}
		if what != c.what || state != c.state {
			t.Errorf("%s%s: %q %q, want %q %q", c.row, c.events, what, state, c.what, c.state)
		}
	}
}

// The same rows come out in whatever order the systems and the rows of the files stand.
func TestOrderDoesNotMatter(t *testing.T) {
	rows := []string{"A,2024-01-01,install,10\n", "A,2025-03-01,charge added,2\n", "B,2025-04-01,charge added,1\n", "B,2025-04-01,repaired,\n"}
	systems := []string{"A,R404A,10,DE,no,no,cold room,\n", "B,R134a,5,DE,no,no,,\n"}
	books := func(first, second int) string {
		events := ""
		for _, i := range [][]int{{0, 1, 2, 3}, {3, 2, 1, 0}}[first] {
			events += rows[i]
		}
		b := kept(t, "2026-06-01", eu+systems[second]+systems[1-second], "system,date,event,kg\n"+events)
		b.Audit, b.Book, b.Gaps = nil, nil, nil // they name lines
		return fmt.Sprintf("%+v", b)
	}
	if want := books(0, 0); want != books(1, 1) || want != books(0, 1) {
		t.Error("other books for another order")
	}
}
