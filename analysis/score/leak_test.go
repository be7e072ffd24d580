package score

import (
	"math"
	"testing"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// The leak begins on day 90: 5 % are lost on day 140, seen on day 150; 8 % on 170,
// seen on 180; 10 % on 190, seen on 210; 15 % on 240, seen that day; 25 % on 340,
// seen on 360.
func TestSensitivityCountsDaysToTheFirstStayAfter(t *testing.T) {
	for _, c := range []struct {
		raised float64
		hits   map[string]int
	}{
		{150, map[string]int{"5": 1, "8": 1, "10": 1, "15": 1, "25": 1}},
		{151, map[string]int{"5": 0, "8": 1, "10": 1, "15": 1, "25": 1}},
		{180, map[string]int{"5": 0, "8": 1, "10": 1, "15": 1, "25": 1}},
		{210, map[string]int{"5": 0, "8": 0, "10": 1, "15": 1, "25": 1}},
		{270, map[string]int{"5": 0, "8": 0, "10": 0, "15": 0, "25": 1}},
		{390, map[string]int{"5": 0, "8": 0, "10": 0, "15": 0, "25": 0}},
	} {
		in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}})
		in.Findings = []table.Finding{finding("A", "charge loss", c.raised)}
		shares(t, compared(t, in).Leak.Sensitivity, 1, c.hits)
	}
}

func TestAlarmsBelowTwoPercentAreFalse(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": nil})
	in.Findings = []table.Finding{
		finding("A", "charge loss", 105), // 1.5 % lost
		finding("A", "charge loss", 180), // 9 % lost, 90 days after the onset
		finding("A", "charge loss", 400), // the same course again
		finding("B", "charge loss", 300), // tight
		finding("B", "charge loss", 500), // the same course again
	}
	l := compared(t, in).Leak
	years := 2 * (lastDay + minutes/1440.0) / 365.25
	if l.FalseAlarms.Events != 2 {
		t.Errorf("%d false alarms, want 2", l.FalseAlarms.Events)
	}
	near(t, "watched years", l.FalseAlarms.SystemYears, years, 1e-9)
	near(t, "false alarms in 100 years", l.FalseAlarms.Rate, 200/years, 1e-9)
	near(t, "lost at detection", l.LostPct.Median, 9, 1e-6)
	near(t, "days to detection", l.Days.P90, 90, 1e-6)
}

// A top-up on day 250 ends a course: what is lost counts from there, and an alarm
// ten days later is false.
func TestATopUpBeginsACourse(t *testing.T) {
	first := leak(90)
	first.Ended = on(250)
	in := fleetOf(map[string][]truth.Episode{"A": {first, leak(250)}})
	in.Findings = []table.Finding{finding("A", "charge loss", 279)} // 0.9 % after the stay of day 270
	l := compared(t, in).Leak
	if l.FalseAlarms.Events != 1 {
		t.Errorf("%d false alarms, want 1", l.FalseAlarms.Events)
	}
	shares(t, l.Sensitivity, 1, map[string]int{"5": 0, "10": 0, "15": 0})
	// The first course lost 16 %, the second more than 25 %: seen 25 % after the stay of
	// day 270 on day 520, at the stay of day 540.
	shares(t, l.Sensitivity, 1, map[string]int{"25": 1})

	in.Findings = []table.Finding{finding("A", "charge loss", 360)} // 9 % after day 270
	l = compared(t, in).Leak
	near(t, "lost since the stay after the top-up", l.LostPct.Median, 9, 1e-6)
	near(t, "days since the top-up", l.Days.Median, 110, 1e-6)
}

// Another refrigerant, of which 8 kg are right where 10 kg were, is no loss of a fifth;
// what leaks afterwards is a share of the 8 kg.
func TestAnotherRefrigerantBeginsACourse(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {leak(400)}})
	in.Truth.Systems[0].Retrofit = &truth.Retrofit{From: on(200), RatedCharge: 8}
	in.Findings = []table.Finding{finding("A", "charge loss", 210), finding("A", "charge loss", 480)}
	l := compared(t, in).Leak
	if l.FalseAlarms.Events != 1 {
		t.Errorf("%d false alarms, want 1: nothing was lost by day 210", l.FalseAlarms.Events)
	}
	near(t, "lost at detection", l.LostPct.Median, 8, 1e-6)
}

// A finding that still stands when a course begins need not be raised again.
func TestAStandingFindingCounts(t *testing.T) {
	first := leak(90)
	first.Ended = on(250)
	in := fleetOf(map[string][]truth.Episode{"A": {first, leak(250)}})
	stands := finding("A", "charge loss", 150)
	in.Findings = []table.Finding{stands}
	shares(t, compared(t, in).Leak.Sensitivity, 1, map[string]int{"5": 1, "25": 1})
	stands.ClearedOn = on(240)
	in.Findings = []table.Finding{stands}
	shares(t, compared(t, in).Leak.Sensitivity, 1, map[string]int{"5": 1, "25": 0})
}

// Whether a stay is usable is a matter of truth: a log without the liquid's
// temperature, one with a loose probe, one too short, put the deadline off.
func TestSpoiltLogsPutTheDeadlineOff(t *testing.T) {
	spoil := []func(*truth.File){
		func(f *truth.File) { f.Columns = f.Columns[:3] },
		func(f *truth.File) {
			f.Mistakes = []truth.Mistake{{ID: "D10", Channels: []string{"liquid_temp"}}}
		},
		func(f *truth.File) { f.Mistakes = []truth.Mistake{{ID: "D15"}} },
		func(f *truth.File) { f.Steady[0].From = f.Steady[0].To.Add(-leastStay / 2) },
		func(f *truth.File) { f.Trap = "standing still" },
	}
	for i, spoil := range spoil {
		in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}})
		spoil(&in.Truth.Files[150/everyDays])
		in.Findings = []table.Finding{finding("A", "charge loss", 180)}
		if got := compared(t, in).Leak.Sensitivity["5"]; got.Share != 1 {
			t.Errorf("log spoilt in way %d: missed, but day 180 was the first usable stay", i)
		}
	}
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}})
	in.Truth.Files[150/everyDays].Mistakes = []truth.Mistake{{ID: "D28", Channels: []string{"power"}}, {ID: "D16", Harmless: true}}
	in.Findings = []table.Finding{finding("A", "charge loss", 180)}
	if got := compared(t, in).Leak.Sensitivity["5"]; got.Share != 0 {
		t.Error("a wrong power meter and a second upload keep nobody from judging the charge")
	}
}

// A fifth lost at once is no slow loss.
func TestSuddenLossesStandApart(t *testing.T) {
	sudden := truth.Episode{Fault: truth.Leak, Onset: on(100), Sudden: 0.2}
	in := fleetOf(map[string][]truth.Episode{"A": {sudden}, "B": {sudden}})
	in.Findings = []table.Finding{finding("A", "charge loss", 130)}
	s := compared(t, in)
	if n := s.Leak.Sensitivity["5"].N; n != 0 {
		t.Errorf("%d slow losses, want none", n)
	}
	if n := s.Leak.FalseAlarms.Events; n != 0 {
		t.Errorf("%d false alarms, want none", n)
	}
	found := s.Faults[suddenLeak]
	near(t, "share found", found.Found.Share, 0.5, 0)
	near(t, "days", found.Days.Median, 30, 1e-6)
}

// Two leaking systems and one tight one: the tight one's evidence lies between, so
// that half of the pairs are told apart.
func TestROCAreaTakesTheStrongestEvidence(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": {leak(90)}, "C": nil})
	for id, p := range map[string]float64{"A": 0.001, "B": 0.2, "C": 0.05} {
		o, _ := in.Observe(id)
		o.Trends = []table.Trend{
			{Feature: subcooling, PerYear: -1, Significance: p}, {Feature: subcooling, PerYear: -1, Significance: 0.5},
			{Feature: subcooling, PerYear: +1, Significance: 1e-9}, {Feature: "superheat_k", PerYear: -1, Significance: 1e-9},
		}
		see(&in, id, o)
	}
	near(t, "area", compared(t, in).Leak.ROCArea, 0.5, 0)
	see(&in, "C", Observed{})
	near(t, "area where the tight one shows nothing", compared(t, in).Leak.ROCArea, 1, 0)
}

// Leaks lose 36.525 % a year. A's interval holds that and is 20 wide; B's does not and
// is 10 wide; the finding on the tight C has no true rate. Of the losses, as they stood
// on day 390: 30 % since day 90.
func TestIntervalsOfLossHoldTheTruth(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": {leak(90)}, "C": nil})
	for _, c := range []struct {
		system                 string
		rateLo, rateHi, lo, hi float64
	}{{"A", 30, 50, 20, 35}, {"A", 1, 2, 1, 2}, {"B", 10, 20, 28, 34}, {"C", 5, 10, 5, 10}} {
		f := finding(c.system, "charge loss", 330)
		f.ChangedOn = on(390)
		f.LossPctLo, f.LossPctHi, f.LostLo, f.LostHi = c.rateLo, c.rateHi, c.lo, c.hi
		in.Findings = append(in.Findings, f)
	}
	l := compared(t, in).Leak
	near(t, "rate covered", l.RateInterval.Coverage.Share, 0.5, 0)
	near(t, "width", l.RateInterval.RelativeWidth, 10/36.525, 1e-9) // of two, the lower is the median
	near(t, "loss covered", l.LostInterval.Coverage.Share, 1, 0)
	near(t, "width", l.LostInterval.RelativeWidth, 6.0/30, 1e-9)
	if n := l.RateInterval.Coverage.N; n != 2 {
		t.Errorf("%d intervals, want those of two systems", n)
	}
}

// Leaks lose 36.525 % a year and stays come every 30 days: by day 330 there were twelve, by day
// 300 eleven only. Of those with twelve one is calibrated, and one gives no interval.
func TestRatesThatMustBeKnownWell(t *testing.T) {
	slow := truth.Episode{Fault: truth.Leak, Onset: on(90), PerYear: 0.09}
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": {leak(90)}, "C": {leak(90)}, "D": {leak(90)}, "E": {slow}})
	for _, c := range []struct {
		system string
		day    float64
		by     int64
		lo, hi float64
	}{{"A", 330, 0, 30, 50}, {"B", 330, 1, 10, 20}, {"C", 300, 0, 1, 2}, {"D", 330, 0, math.NaN(), math.NaN()}, {"E", 400, 0, 8, 10}} {
		f := finding(c.system, "charge loss", c.day)
		f.ChangedOn, f.CalibratedBy, f.LossPctLo, f.LossPctHi = on(c.day), c.by, c.lo, c.hi
		in.Findings = append(in.Findings, f)
	}
	got := compared(t, in).Leak.BriskRates
	generic, weighed := got["no weighed addition"], got["weighed addition"]
	near(t, "covered", generic.Coverage.Share, 1, 0)
	near(t, "width", generic.RelativeWidth, 20/36.525, 1e-9)
	near(t, "covered where calibrated", weighed.Coverage.Share, 0, 0)
	if generic.Coverage.N != 1 || generic.Silent != 1 || weighed.Coverage.N != 1 || weighed.Silent != 0 {
		t.Errorf("got %+v and %+v, want one interval each and one without", generic, weighed)
	}
}

// A leak from day 90 on has taken 2 % on day 110, and is watched until day 720.
func TestYearsWithAndWithoutALoss(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": nil})
	in.Findings = []table.Finding{finding("B", "charge loss", 300)}
	l := compared(t, in).Leak
	near(t, "years with a loss", l.LeakingYears, 610/365.25, 2/365.25)
	near(t, "years without one", l.Healthy.SystemYears, (720+110)/365.25, 3/365.25)
	near(t, "false alarms in 100 of them", l.Healthy.Rate, 100/(830/365.25), 0.3)
}
