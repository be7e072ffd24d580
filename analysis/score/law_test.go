package score

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// drawn is a fleet with leaks, top-ups, fouling and findings drawn at random.
func drawn(r *rand.Rand) Input {
	systems := map[string][]truth.Episode{}
	var findings []table.Finding
	for i := range 12 {
		id := fmt.Sprintf("S%02d", i)
		var list []truth.Episode
		if r.Float64() < 0.6 {
			one := leak(r.Float64() * 500)
			if r.Float64() < 0.5 {
				one.Ended = one.Onset.Add(on(50 + r.Float64()*150).Sub(start))
			}
			list = append(list, one)
		}
		if r.Float64() < 0.3 {
			list = append(list, fouling())
		}
		systems[id] = list
		for range r.IntN(3) {
			findings = append(findings, anyFinding(r, id))
		}
	}
	in := fleetOf(systems)
	in.Findings = findings
	for id := range systems {
		var o Observed
		for day := 0; day <= lastDay; day += everyDays {
			o.Visits = append(o.Visits, table.Visit{Start: on(float64(day)), End: on(float64(day)).Add(minutes), Use: "trend", Subcooling: 5 + r.NormFloat64()})
		}
		see(&in, id, o)
	}
	return in
}

func anyFinding(r *rand.Rand, id string) table.Finding {
	kinds := []string{"charge loss", "condenser fouling", "something is odd"}
	f := finding(id, kinds[r.IntN(len(kinds))], float64(r.IntN(lastDay)))
	if r.Float64() < 0.3 {
		f.ClearedOn = f.RaisedOn.AddDate(0, 0, 40)
	}
	return f
}

// Whoever says more misses nothing that he found before.
func TestMoreFindingsNeverLowerSensitivity(t *testing.T) {
	for seed := range uint64(60) {
		r := rand.New(rand.NewPCG(seed, 1))
		in := drawn(r)
		before := compared(t, in)
		in.Findings = append(in.Findings, anyFinding(r, "S03"), anyFinding(r, "S07"))
		after := compared(t, in)
		for level, s := range before.Leak.Sensitivity {
			if s.N != after.Leak.Sensitivity[level].N || s.N > 0 && after.Leak.Sensitivity[level].Share < s.Share {
				t.Errorf("seed %d, %s %%: %+v became %+v with more findings", seed, level, s, after.Leak.Sensitivity[level])
			}
		}
		if after.Leak.FalseAlarms.Events < before.Leak.FalseAlarms.Events {
			t.Errorf("seed %d: more findings took false alarms away", seed)
		}
		if a, b := before.Faults["condenser fouling"], after.Faults["condenser fouling"]; a.Found.N > 0 && b.Found.Share < a.Found.Share {
			t.Errorf("seed %d: more findings found less fouling", seed)
		}
	}
}

func TestOrderChangesNothing(t *testing.T) {
	for seed := range uint64(20) {
		r := rand.New(rand.NewPCG(seed, 2))
		in := drawn(r)
		want := asJSON(t, compared(t, in))
		shuffle(r, in.Truth.Systems)
		shuffle(r, in.Truth.Files)
		shuffle(r, in.Findings)
		for _, s := range in.Truth.Systems {
			o, _ := in.Observe(s.ID)
			o.Visits = slices.Clone(o.Visits)
			shuffle(r, o.Visits)
			see(&in, s.ID, o)
		}
		if got := asJSON(t, compared(t, in)); got != want {
			t.Errorf("seed %d: another order gives another score", seed)
		}
	}
}

func shuffle[T any](r *rand.Rand, list []T) {
	r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
}

func asJSON(t *testing.T, s Score) string {
	t.Helper()
	b, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// A fleet without anything in it has no figure that is a number out of nothing.
func TestWhatIsAbsentIsNull(t *testing.T) {
	text := asJSON(t, compared(t, fleetOf(nil)))
	for _, want := range []string{
		`"5":{"share":null,"n":0,"low":null,"high":null,"exact_low":null,"exact_high":null}`, `"median":null`, `"roc_area":null`, `"data_errors":null`,
		`"rate_interval":{"coverage":null,"relative_width":null}`, `"brier":null`, `"bias_k":null`, `"width_ratio":null`,
	} {
		if !strings.Contains(text, want) {
			t.Errorf("want %s in %s", want, text)
		}
	}
}

// Whatever is null says why.
func TestEveryNullHasItsReason(t *testing.T) {
	for name, in := range map[string]Input{
		"nothing":   fleetOf(nil),
		"one tight": fleetOf(map[string][]truth.Episode{"A": nil}),
		"leaking":   fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": nil}),
	} {
		s := compared(t, in)
		for path, reason := range s.NullBecause {
			if reason == "" {
				t.Errorf("%s: %s is null without a reason", name, path)
			}
		}
		if s.NullBecause["leak.rate_interval.relative_width"] == "" || s.NullBecause["windows.precision"] == "" {
			t.Errorf("%s: reasons %v lack what is null", name, s.NullBecause)
		}
		if why, ok := s.NullBecause["leak.roc_area"]; ok == (name == "leaking") {
			t.Errorf("%s: ROC area, %q", name, why)
		}
	}
}

// Sources: 2 of 100 by Clopper and Pearson is 0.24 to 7.04 % in handbooks; none of
// 4000 ends at 1-0.025^(1/4000). Wilson's upper end for none is z²/(n+z²).
func TestRatesHaveBothIntervals(t *testing.T) {
	r := rate(2, 100)
	near(t, "rate", r.Rate, 2, 1e-12)
	near(t, "exact lower end", r.ExactLow, 0.24, 0.005)
	near(t, "exact upper end", r.ExactHigh, 7.04, 0.005)
	none := rate(0, 4000)
	near(t, "exact upper end of none", none.ExactHigh, 100*(1-math.Pow(0.025, 1.0/4000)), 1e-9)
	near(t, "Wilson's upper end of none", none.High, 100*3.841459/4003.841459, 1e-6)
	if none.N != 4000 || none.Events != 0 {
		t.Errorf("none in 4000 a: n %d, events %d", none.N, none.Events)
	}
	if many := rate(7, 3); many.Rate < many.ExactLow || many.ExactHigh < many.High {
		t.Errorf("more events than years: %+v", many)
	}
}

// The keys are a promise to whoever reads the score with another program.
func TestKeysAreStable(t *testing.T) {
	var got map[string]map[string]any
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}})
	in.Uploads = []table.Upload{{}}
	if err := json.Unmarshal([]byte(asJSON(t, compared(t, in))), &got); err != nil {
		t.Fatal(err)
	}
	for section, keys := range map[string]string{
		"leak":        "sensitivity false_alarms_per_100_system_years lost_pct_at_detection days_to_detection roc_area rate_interval rate_interval_after_12_visits",
		"cause":       "right wrong unclear matrix brier",
		"data_errors": "found missed invented by_rule",
		"windows":     "precision recall bias_k",
		"coverage":    "superheat subcooling width_ratio",
		"faults":      "overcharge", "by_class": "receiver", "rivals": "",
	} {
		for _, key := range strings.Fields(keys) {
			if _, ok := got[section][key]; !ok {
				t.Errorf("%s has no %s", section, key)
			}
		}
		if _, ok := got[section]; !ok {
			t.Errorf("there is no %s", section)
		}
	}
}

func TestTruthOfAnotherFleetIsRefused(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil})
	in.Findings = []table.Finding{finding("Z", "charge loss", 100)}
	if _, err := Compare(in); err == nil || !strings.Contains(err.Error(), `"Z"`) {
		t.Errorf("got %v, want an error that names system Z", err)
	}
}

func TestTextShowsNumbersAndIntervals(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": {leak(90)}, "C": nil})
	in.Findings = []table.Finding{finding("A", "charge loss", 150), finding("C", "charge loss", 300)}
	var b bytes.Buffer
	if err := compared(t, in).Print(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"50 (9-91) of 2", // Wilson's interval of 1 in 2: 9.5 to 90.5 %
		"16.9 (3.1-56.8; exact 0.4-64.7), 1 in 6 a", "6.0, 6.0", "60, 60", "no finding: 1", "season-blind EWMA", "no receiver", "fine instruments",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("want %q in\n%s", want, b.String())
		}
	}
}
