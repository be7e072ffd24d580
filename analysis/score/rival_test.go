package score

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// nile is the yearly flow of the Nile at Aswan, 1871-1902, in 1e8 m³. Source: Cobb,
// Biometrika 65 (1978) 243, as in base R (public domain).
var nile = []float64{
	1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140,
	1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694,
}

// Independent figures (R 4.2.2): with the mean 1097.75 and the standard deviation
// 134.996193622 of the first 28 years, the average in year 32 is -1.255040520 and the
// limit at 2.86 is 0.953333031.
func TestEWMAAgreesWithR(t *testing.T) {
	average, width := ewma(nile, 1097.75, 134.996193622)
	near(t, "average", Number(average[31]), -1.255040520, 1e-8)
	near(t, "limit", Number(2.86*width[31]), 0.953333031, 1e-8)
	for i := range 31 {
		if math.Abs(average[i]) > 2.86*width[i] {
			t.Errorf("alarm in year %d, the first is in year 32", i+1)
		}
	}
}

// Twelve values that only fall: of 12! orders this is the one with S = -66, and the
// test is two-sided: p = 2/12!.
func TestFallingRankIsExact(t *testing.T) {
	var y []float64
	chance := 2.0
	for i := range 12 {
		y = append(y, -float64(i))
		chance /= float64(i + 1)
	}
	e := fallingRank(y)
	near(t, "evidence", Number(e[11]), -math.Log10(chance), 1e-9)
	if !math.IsNaN(e[1]) {
		t.Errorf("two values say %v, want nothing", e[1])
	}
	if e := fallingRank([]float64{1, 2, 3, 4}); e[3] != 0 {
		t.Errorf("rising values say %v, want 0", e[3])
	}
}

// What is decided on a day rests on values up to it.
func TestRivalsAreCausal(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	y := make([]float64, 40)
	for i := range y {
		y[i] = 5 + r.NormFloat64()
	}
	for _, k := range rivals() {
		all := k.evidence(y)
		for n := range len(y) {
			part := k.evidence(y[:n])
			for i, e := range part {
				if e != all[i] && !(math.IsNaN(e) && math.IsNaN(all[i])) {
					t.Fatalf("%s: look %d says %v with %d values and %v with all", k.name, i, e, n, all[i])
				}
			}
		}
	}
}

// seen is a fleet whose subcooling falls by 0.4 K for each percent lost, with looks
// at the given values where they are given.
func seen(in Input, values map[string][]float64) Input {
	for _, s := range in.Truth.Systems {
		var o Observed
		for i := range lastDay/everyDays + 1 {
			at := on(float64(i * everyDays))
			v := table.Visit{Start: at, End: at.Add(minutes), Use: "trend", Subcooling: 6 - 40*(1-s.Charge(at)/s.RatedCharge)}
			if list := values[s.ID]; list != nil {
				v.Subcooling = list[i%len(list)]
			}
			o.Visits = append(o.Visits, v)
		}
		see(&in, s.ID, o)
	}
	return in
}

// A tight system whose subcooling swings down to 3.1 K gives a false alarm at every
// limit above that; the leaking one passes 3 K with 8 % lost.
func TestAFixedLimitIsTunedByItsFalseAlarms(t *testing.T) {
	in := seen(fleetOf(map[string][]truth.Episode{"A": {leak(90)}, "B": nil}), map[string][]float64{"B": {6, 5, 3.1, 5}})
	tuning, err := Tune(in)
	if err != nil {
		t.Fatal(err)
	}
	limit, gave := tuning.limit("fixed limit on subcooling", 0)
	if limit != -3 || gave != 0 {
		t.Errorf("limit %v K with %v false alarms, want 3 K with none", -limit, gave)
	}
	per := 100 / tuning.SystemYears
	if limit, gave = tuning.limit("fixed limit on subcooling", per); limit > -4 || gave != per {
		t.Errorf("limit %v K with %v false alarms in 100 years, want at least 4 K with %v", -limit, gave, per)
	}
	f, err := newFleet(in)
	if err != nil {
		t.Fatal(err)
	}
	d := f.detection(alarmsAt(f.watch(rivals()[0]), -3))
	near(t, "lost at detection", d.LostPct.Median, 9, 1e-6) // day 180
	near(t, "found by 8 %", d.Sensitivity["8"].Share, 1, 0)
	near(t, "found by 5 %", d.Sensitivity["5"].Share, 0, 0)
}

// The days of a permanent logger are looked at once in seven days.
func TestLooksAreSevenDaysApart(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil})
	var o Observed
	for day := range 29 {
		o.Visits = append(o.Visits, table.Visit{Start: on(float64(day)), Use: "trend", Subcooling: 5})
	}
	o.Visits = append(o.Visits, table.Visit{Start: on(40), Use: "trend", Part: "as left", Subcooling: 5},
		table.Visit{Start: on(50), Use: "spot", Subcooling: 5}, table.Visit{Start: on(60), Use: "trend", Subcooling: math.NaN()},
		table.Visit{Start: on(70), Use: "trend", Subcooling: -6})
	see(&in, "A", o)
	f, err := newFleet(in)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(f.watch(rivals()[0])[0].at); n != 5 {
		t.Errorf("%d looks, want 5: days 0, 7, 14, 21 and 28", n)
	}
}

// The committed tuning covers the rivals there are, and more evidence gives fewer
// alarms at its strict end than at its lenient one.
func TestTuningIsThere(t *testing.T) {
	tuning, err := tuned()
	if err != nil {
		t.Fatal(err)
	}
	if tuning.SystemYears < 100 || len(tuning.Seeds) == 0 {
		t.Fatalf("tuned on %v system-years of seeds %v: run go generate", tuning.SystemYears, tuning.Seeds)
	}
	for _, r := range rivals() {
		list := tuning.FalseAlarms[r.name]
		if len(list) < 2 || list[0].Limit != r.least {
			t.Errorf("%s: no tuning: run go generate", r.name)
			continue
		}
		if first, last := list[0].Count, list[len(list)-1].Count; last >= first {
			t.Errorf("%s: %d false alarms at the least limit, %d at the strictest", r.name, first, last)
		}
	}
}
