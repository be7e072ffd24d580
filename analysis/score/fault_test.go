package score

import (
	"math"
	"testing"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// fouling of 20 % on day 300, when it comes to count; cleaned on day 500.
func fouling() truth.Episode {
	return truth.Episode{Fault: truth.CondenserFouling, Onset: on(100), PerYear: aDay, Ended: on(500)}
}

func TestFaultsAreFoundWhileTheyLast(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {fouling()}, "B": {fouling()}, "C": nil})
	in.Findings = []table.Finding{
		finding("A", "condenser fouling", 250),
		finding("B", "condenser fouling", 510), // it was clean by then
		finding("C", "condenser fouling", 250),
	}
	f := compared(t, in).Faults["condenser fouling"]
	near(t, "share found", f.Found.Share, 0.5, 0)
	near(t, "days", f.Days.Median, 150, 1e-6)
	if f.FalseAlarms.Events != 2 {
		t.Errorf("%d false alarms, want 2", f.FalseAlarms.Events)
	}
}

func TestCausesAreHeldAgainstWhatIsThere(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {fouling()}, "B": {fouling(), leak(100)}, "C": nil, "D": {leak(100)}})
	in.Findings = []table.Finding{
		finding("A", "condenser fouling", 330), // right
		finding("A", "charge loss", 330),       // wrong
		finding("A", "something is odd", 330),  // unclear
		finding("B", "charge loss", 330),       // right: both are there
		finding("C", "charge loss", 330),       // nothing is there
	}
	c := compared(t, in).Cause
	near(t, "right", c.Right.Share, 0.5, 0)
	near(t, "wrong", c.Wrong.Share, 0.25, 0)
	near(t, "unclear", c.Unclear.Share, 0.25, 0)
	missing(t, "Brier score", c.Brier)
	for _, k := range []struct {
		row, column string
		want        int
	}{
		{"condenser fouling", "condenser fouling", 1}, {"condenser fouling", "leak", 1}, {"condenser fouling", "unclear", 1},
		{"leak", "leak", 1}, {"nothing", "leak", 1}, {"leak", "no finding", 1}, {"nothing", "no finding", 0},
	} {
		if got := c.Matrix[k.row][k.column]; got != k.want {
			t.Errorf("true %s, named %s: %d, want %d", k.row, k.column, got, k.want)
		}
	}
}

// Probabilities 0.9 (right), 0.7 (wrong) and one that is not given: the mean of 0.01
// and 0.49.
func TestProbabilitiesAreScoredWhereTheyAreGiven(t *testing.T) {
	f, err := newFleet(fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": nil}))
	if err != nil {
		t.Fatal(err)
	}
	c := f.cause([]alarm{
		{system: "A", fault: truth.Leak, raised: on(200), probability: 0.9},
		{system: "B", fault: truth.Leak, raised: on(200), probability: 0.7},
		{system: "B", fault: truth.Leak, raised: on(300), probability: math.NaN()},
	})
	near(t, "Brier score", c.Brier, 0.25, 1e-12)
	near(t, "mean of the upper tenth", c.Tenths[1].Mean, 0.9, 1e-12)
	if len(c.Tenths) != 2 || c.Tenths[0].Right.Share != 0 || c.Tenths[1].Right.Share != 1 {
		t.Errorf("by tenths: %+v, want 0 of 1 from 0.7 and 1 of 1 from 0.9", c.Tenths)
	}
}

// System A has two faults that count from day 300 on (its leak took 21 %). The first
// finding names both first, the second one of them and a third fault, the last
// something else; the unclear one is no wrong cause.
func TestTwoFaultsAtOnce(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {fouling(), leak(90)}, "B": {leak(90)}})
	for _, causes := range []string{
		"charge loss 0.60; condenser fouling 0.30; unclear 0.10", "condenser fouling 0.60; compressor wear 0.20", "unclear 0.70; charge loss 0.30", "overcharge 0.9",
	} {
		f := finding("A", "charge loss", 330)
		f.RaisedCauses = causes
		in.Findings = append(in.Findings, f)
	}
	one := finding("B", "charge loss", 330)
	one.RaisedCauses = "overcharge 0.9; charge loss 0.1"
	in.Findings = append(in.Findings, one)
	two := compared(t, in).Cause.Two
	if two.BothNamed.N != 4 {
		t.Errorf("%d findings where two faults are there, want 4", two.BothNamed.N)
	}
	near(t, "both named", two.BothNamed.Share, 0.25, 0)
	near(t, "one wrong cause", two.Wrong.Share, 0.25, 0)
}

// Fouling moves the condenser by 1 K more each month: it passes 3 K at the stay of day
// 180. A finding of that day is in time, one a month later is not; system C never
// passes.
func TestFaultsAreFoundInTimeByTheirEffect(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {fouling()}, "B": {fouling()}, "C": {fouling()}})
	for i, f := range in.Truth.Files {
		if months := f.Start.Sub(on(90)).Hours() / 24 / everyDays; months > 0 && f.Start.Before(on(500)) && f.System != "C" {
			in.Truth.Files[i].Effects = []truth.Effect{{Time: f.Start, Fault: truth.CondenserFouling, Condenser: months}}
		}
	}
	in.Findings = []table.Finding{
		finding("A", "condenser fouling", 180), finding("B", "condenser fouling", 181), finding("C", "condenser fouling", 180),
	}
	f := compared(t, in).Faults["condenser fouling"]
	if f.FoundInTime == nil || f.FoundInTime.N != 2 {
		t.Fatalf("found in time: %+v, want a share of 2 systems", f.FoundInTime)
	}
	near(t, "found in time", f.FoundInTime.Share, 0.5, 0)
	if lo, hi := f.FoundInTime.Low, f.FoundInTime.High; lo > 0.1 || hi < 0.9 { // Wilson: 0.0945 to 0.9055
		t.Errorf("interval %.3f to %.3f, want Wilson's 0.095 to 0.905", float64(lo), float64(hi))
	}
	if o := compared(t, in).Faults["overcharge"]; o.FoundInTime != nil {
		t.Error("overcharge has no threshold")
	}
}
