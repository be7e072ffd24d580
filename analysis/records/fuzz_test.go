package records

import (
	"math"
	"testing"
	"testing/fstest"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Whatever people write into events.csv: books that add up, no state that nobody knows,
// no infinite figure, every gap with a remedy, every figure of the trail with a hash, and a
// calendar and a record book that can be written.
func FuzzKeep(f *testing.F) {
	const systems = "system,refrigerant,design_charge_kg,charge_low_kg,charge_high_kg,jurisdiction,kind,hermetic\n" +
		"A,R404A,60 lb,,,DE,cold room,\nB,R455A,,0,3,EU,,yes\nC,R22,,,,US,pack,\nD,R448A,250,,,US,pack,no\nE,,5,,,GB,,\n"
	f.Add([]byte(busy))
	f.Add([]byte("system,date,event,kg,corrects\nD,2024-02-30,charge added,5,\nD,2025-02-28,charge added,5e3,\nD,2025-02-28,recovered,9 lb,\nD,,cancelled,,2025-02-28 recovered\n"))
	f.Add([]byte("system,date,event,kg\nB,2025-01-31 10:00,repaired,\nB,2025-01-31,install,0\nC,2025-01-31,decommissioned,3\nE,2199-01-01,retrofit,1\n"))
	f.Fuzz(func(t *testing.T, events []byte) {
		r, err := register.Load(t.Context(), fstest.MapFS{"systems.csv": {Data: []byte(systems)}, "events.csv": {Data: events}})
		if err != nil {
			t.Fatal(err)
		}
		var all []System
		for _, s := range r.Systems {
			all = append(all, System{Register: s, Book: r.Book(s.ID)})
		}
		b := Keep(all, rules(t), Options{}, Date{On: on(t, "2026-06-01")})
		addsUp(t, b)
		for _, l := range b.LeakChecks {
			if urgency(l.State) < 0 || l.Why == "" || l.Rule == "" {
				t.Errorf("%+v", l)
			}
		}
		for _, g := range b.Gaps {
			if g.Problem == "" || g.Remedy == "" || g.Place == "" {
				t.Errorf("%+v", g)
			}
		}
		for _, a := range b.Audit {
			if len(a.SHA256) != 64 || a.Source == "" {
				t.Errorf("%+v", a)
			}
		}
		Calendar(b.LeakChecks, on(t, "2026-06-01"))
		if _, err := BookCSV(b.Book); err != nil {
			t.Error(err)
		}
	})
}

// addsUp holds stock against balances, and looks for figures that are none.
func addsUp(t *testing.T, b Books) {
	t.Helper()
	var stock, balances, size float64
	for _, m := range b.Stock {
		stock += m.Net
		size += m.First + m.New + m.Recycled + m.Reclaimed + m.Unsaid + m.Recovered
	}
	for _, x := range b.Balances {
		balances += x.First + x.Added - x.Recovered
	}
	if !near(stock, balances, 1e-9*max(1, size)) {
		t.Errorf("stock %v, balances %v", stock, balances)
	}
	check := func(what string, figures ...float64) {
		for _, x := range figures {
			if math.IsInf(x, 0) {
				t.Errorf("%s has an infinite figure: %v", what, figures)
			}
		}
	}
	for _, r := range b.LeakRates {
		check("leak_rates", r.Annualizing, r.AnnualizedLo, r.AnnualizedHi, r.Rolling, r.RollingLo, r.RollingHi)
	}
	for _, y := range b.LeakYears {
		check("leak_years", y.ReplacedPct, y.CO2e, y.Annualizing, y.Rolling)
	}
	for _, x := range b.Crossings {
		check(table.Crossings().Name, x.Value, x.Limit)
	}
}
