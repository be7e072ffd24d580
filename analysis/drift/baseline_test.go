package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// peers is an invented fleet of machines of one kind that differ by a spread of 1 K about
// a subcooling of 6 K and follow the weather by 0.05 K/K.
func peers(n int) (out []Record) {
	rng := rand.New(rand.NewPCG(5, 5))
	for i := range n {
		s := system()
		s.ID, s.Kind, s.RefrigerantName = fmt.Sprintf("P%d", i), register.ColdRoom, "R134a"
		visits := machine{visits: 24, every: month, noise: 0.3}.draw(rng)
		own := rng.NormFloat64()
		for k := range visits {
			visits[k].Subcooling += own
		}
		out = append(out, NewRecord(s, nil, visits, Options{}))
	}
	return out
}

var inQuarter = time.Date(2022, 5, 20, 0, 0, 0, 0, time.UTC)

func subcoolingPrior(t *testing.T, rows []table.Prior, scope string) table.Prior {
	t.Helper()
	for _, p := range rows {
		if p.Feature == Subcooling && p.Scope == scope {
			return p
		}
	}
	t.Fatalf("no prior of %q", scope)
	return table.Prior{}
}

func TestPriorsAreWhatPeersHave(t *testing.T) {
	rows := Priors(peers(40), inQuarter)
	p := subcoolingPrior(t, rows, "cold room, R134a, thermostatic")
	// At 15 °C the machines stand at 6 + 0.05 * 5 K; a median of 40 with a spread of 1 K
	// errs by 1.2533/sqrt(40) = 0.2 K.
	if math.Abs(p.Level-6.25) > 0.5 || math.Abs(p.Spread-1) > 0.4 || math.Abs(p.PerOutdoor-0.05) > 0.03 || p.Systems != 40 || p.Quarter != "2022Q2" {
		t.Errorf("got %+v, want 6.25 K with a spread of 1 K and 0.05 K/K", p)
	}
	if few := Priors(peers(leastPeers-1), inQuarter); len(few) != 0 {
		t.Errorf("%d systems teach: %+v", leastPeers-1, few)
	}
}

// Within a quarter a new visit moves no other system.
func TestPriorsStandForAQuarter(t *testing.T) {
	fleet := peers(12)
	before := Priors(fleet, inQuarter)
	for i := range fleet {
		late := fleet[i].points[0]
		late.at, late.values = inQuarter.AddDate(0, 0, -10), []float64{99, 99, 99, 99, 99}
		fleet[i].points = append(fleet[i].points, late)
	}
	after := Priors(fleet, inQuarter.AddDate(0, 1, 0))
	if len(before) != len(after) {
		t.Fatalf("%d priors, %d after", len(before), len(after))
	}
	for i := range before {
		if before[i] != after[i] {
			t.Errorf("%+v became %+v by a visit in its quarter", before[i], after[i])
		}
	}
}

func TestRounding(t *testing.T) {
	for _, c := range []struct{ v, se, want float64 }{
		{6.2487, 0.5, 6.25}, {6.2487, 0.2, 6.24}, {-3.14159, 0.05, -3.14}, {1234.5, 300, 1230}, {0.123456, 0.0004, 0.12344}, {7, math.NaN(), 7},
	} {
		if got := rounded(c.v, c.se); got != c.want {
			t.Errorf("%v with a standard error of %v is rounded to %v, want %v", c.v, c.se, got, c.want)
		}
	}
	for day, want := range map[string]string{"2025-01-01": "2025Q1", "2025-03-31": "2025Q1", "2025-04-01": "2025Q2", "2025-12-31": "2025Q4"} {
		at, _ := time.Parse(time.DateOnly, day)
		if got := Quarter(at); got != want || quarterStart(at).After(at) {
			t.Errorf("%s is in %s, want %s", day, got, want)
		}
	}
}

// Partial pooling: the weight of a system's own mean is the variance between systems over
// its sum with the variance of that mean (Gelman & Hill 2007, equation 12.1). With a spread
// of 2 K and one visit that scatters by 1 K: 4/(4+1) = 0.8.
func TestPartialPooling(t *testing.T) {
	s := system()
	s.ID, s.Kind, s.RefrigerantName = "new", register.ColdRoom, "R134a"
	prior := []table.Prior{{Quarter: "2022Q2", Scope: "cold room", Feature: Subcooling, Systems: 9, Level: 6, Spread: 2, Scatter: 1, PerOutdoor: 0, PerOutdoorSE: 0}}
	visits := machine{visits: 12, every: 20 * 24 * time.Hour, noise: 0.3}.draw(rand.New(rand.NewPCG(1, 1)))
	for i := range visits {
		visits[i].Subcooling, visits[i].OutdoorTemp = 3, reference
	}
	of := func(n int) table.Baseline {
		r := NewRecord(s, nil, visits[:n], Options{})
		for _, b := range r.Baselines(prior, nil, inQuarter) {
			if b.Feature == Subcooling {
				return b
			}
		}
		t.Fatalf("no baseline after %d visits", n)
		return table.Baseline{}
	}
	one := of(1)
	if math.Abs(one.OwnWeight-0.8) > 1e-9 || math.Abs(one.Level-3.6) > 1e-9 || math.Abs(one.LevelU-math.Sqrt(0.8)) > 1e-9 {
		t.Errorf("one visit: %+v, want a weight of 0.8, so a level of 0.8*3 + 0.2*6 = 3.6 and an uncertainty of sqrt(0.8)", one)
	}
	last := one
	for n := 2; n <= 12; n++ {
		b := of(n)
		if !(b.OwnWeight > last.OwnWeight && b.Level < last.Level && b.LevelU < last.LevelU) || b.Level < 3 || int(b.Visits) != n {
			t.Errorf("%d visits: %+v after %+v: its own visits must weigh more", n, b, last)
		}
		last = b
	}
}

// A baseline says nothing of weather that it has not seen, and is that of the machine
// after the last act and before a suspected change.
func TestBaselinesKnowTheirBounds(t *testing.T) {
	visits := machine{visits: 24, every: month, noise: 0.3}.draw(rand.New(rand.NewPCG(2, 2)))
	act := register.Event{Kind: register.Repaired, Time: visits[8].Start.Add(time.Hour)}
	finding := table.Finding{State: Open, Kind: ChargeLoss, Feature: Subcooling, Suspected: visits[16].Start}
	r := NewRecord(system(), []register.Event{act}, visits, Options{})
	for _, b := range r.Baselines(nil, []table.Finding{finding}, future) {
		want := visits[23].Start
		if b.Feature == Subcooling {
			want = visits[15].Start
		}
		if !b.Since.Equal(visits[9].Start) || !b.Until.Equal(want) || !b.Healthy || b.Prior != "" {
			t.Errorf("%s: from %v to %v, want from %v to %v", b.Feature, b.Since, b.Until, visits[9].Start, want)
		}
		if _, _, ok := Expected(b, b.OutdoorHi+1); ok {
			t.Errorf("%s: tells of warmer weather than it has seen", b.Feature)
		}
		if v, sd, ok := Expected(b, b.OutdoorRef); !ok || v != b.Level || sd < b.Scatter {
			t.Errorf("%s: %v with %v at the reference, want its level", b.Feature, v, sd)
		}
	}
}

// low is a machine whose subcooling is short from the first visit on.
func low(by float64, design float64) (register.System, []table.Visit) {
	s := system()
	s.Kind, s.RefrigerantName, s.DesignSubcooling = register.ColdRoom, "R134a", design
	visits := machine{visits: 24, every: month, noise: 0.3}.draw(rand.New(rand.NewPCG(4, 4)))
	for i := range visits {
		visits[i].Subcooling -= by
		visits[i].SubcoolingU = 0.5
	}
	return s, visits
}

func undated(s register.System, visits []table.Visit, fleet []Record, answers ...register.Answer) []table.Finding {
	r := NewRecord(s, Repaired(nil, answers), visits, Options{})
	return r.Undated(func(day time.Time) []table.Prior { return Priors(fleet, day) }, answers, future, Options{})
}

func TestLowSinceTheFirstVisit(t *testing.T) {
	receiver, visits := low(5.5, 6)
	receiver.Receiver = register.HighSideReceiver
	for _, c := range []struct {
		name   string
		by     float64
		design float64
		fleet  []Record
		want   bool
	}{
		{"against its design", 5.5, 6, nil, true},
		{"as designed", 0, 6, nil, false},
		{"a little short", 2, 6, nil, false},
		{"nothing to compare with", 5.5, math.NaN(), nil, false},
		{"against its peers", 5.5, math.NaN(), peers(20), true},
		{"like its peers", 0, math.NaN(), peers(20), false},
	} {
		s, visits := low(c.by, c.design)
		got := undated(s, visits, c.fleet)
		if (len(got) == 1) != c.want || len(got) > 1 {
			t.Errorf("%s: got %+v", c.name, got)
		}
		if c.want && len(got) == 1 && (got[0].Kind != LowFromTheStart || got[0].Visits < firstVisits || !strings.Contains(got[0].Evidence, "cannot be told") || got[0].Size > -3) {
			t.Errorf("%s: got %+v", c.name, got[0])
		}
	}
	if got := undated(receiver, visits, nil); len(got) != 0 {
		t.Errorf("behind a receiver: got %+v", got)
	}
}

// Low visits do not become the healthy baseline unasked; when somebody who was there
// found nothing, they do. A confirmed one ends with the repair.
func TestLowIsNotHealthyUnasked(t *testing.T) {
	s, visits := low(5.5, 6)
	healthy := func(f []table.Finding, answers ...register.Answer) bool {
		for _, b := range NewRecord(s, Repaired(nil, answers), visits, Options{}).Baselines(nil, f, future) {
			if b.Feature == Subcooling {
				return b.Healthy
			}
		}
		return false
	}
	f := undated(s, visits, nil)
	if len(f) != 1 || healthy(f) {
		t.Fatalf("taken for healthy, with %+v", f)
	}
	a := register.Answer{Finding: f[0].ID, System: s.ID, Time: visits[12].Start.Add(time.Hour), Outcome: register.NothingFound}
	if asked := undated(s, visits, nil, a); len(asked) != 1 || asked[0].State != Answered || !healthy(asked, a) {
		t.Errorf("nothing found: got %+v, want it answered and its visits healthy", asked)
	}
	a.Outcome = register.Confirmed
	if right := undated(s, visits, nil, a); len(right) != 1 || right[0].Answer != "confirmed" || !healthy(right, a) {
		t.Errorf("confirmed: got %+v, want it answered and a new baseline after it", right)
	}
}

// What is raised at a visit rests on visits up to it.
func TestUndatedIsCausal(t *testing.T) {
	s, visits := low(5.5, 6)
	whole := NewRecord(s, nil, visits, Options{})
	for n := 1; n <= 10; n++ {
		on := visits[n-1].Start
		a := NewRecord(s, nil, visits[:n], Options{}).Undated(func(time.Time) []table.Prior { return nil }, nil, on, Options{})
		b := whole.Undated(func(time.Time) []table.Prior { return nil }, nil, on, Options{})
		if len(a) != len(b) || len(a) > 0 && (a[0].Evidence != b[0].Evidence || !a[0].RaisedOn.Equal(b[0].RaisedOn)) {
			t.Errorf("as of visit %d: %+v with visits up to it, %+v with all", n, a, b)
		}
	}
}
