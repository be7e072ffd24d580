package energy

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

var first = time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)

// aYear is windows and hours of an invented machine of 2 kW that runs half the time,
// with COP 3 at 10 °C and 2 % less per K; spoil changes a window by its day.
func aYear(days int, spoil func(day int, w *table.EnergyWindow)) (windows []table.EnergyWindow, hours []table.EnergyHour) {
	for d := range days {
		temp := 10 + 8*math.Sin(float64(d)/20)
		for h := range 24 {
			at := first.AddDate(0, 0, d).Add(time.Duration(h) * time.Hour)
			hours = append(hours, table.EnergyHour{Start: at, Covered: 1, KWh: 1 + 0.02*temp, Observed: 1, Running: 0.5, Outdoor: temp, Room: 4})
			if h%6 == 0 {
				w := table.EnergyWindow{Start: at, End: at.Add(5 * time.Minute), Mode: Cooling, Outdoor: temp, Lift: 40, Power: 2, Route: ByStates.String(), Boundary: "compressor",
					COP: 3 * math.Exp(-0.02*(temp-10)), COPU: 0.09, Capacity: 6, Internal: 0.5, External: 0.4, Index: 0.01, Instruments: "S1"}
				spoil(d, &w)
				windows = append(windows, w)
			}
		}
	}
	return windows, hours
}

func sound(int, *table.EnergyWindow) {}

// mark flags the windows of odd months.
func mark(windows []table.EnergyWindow) {
	var months [][]table.EnergyWindow
	var indices []Index
	for from, i := 0, 1; i <= len(windows); i++ {
		if i == len(windows) || windows[i].Start.Month() != windows[from].Start.Month() {
			months, from = append(months, windows[from:i]), i
			indices = append(indices, IndexOf("", months[len(months)-1]))
		}
	}
	for i, m := range OddMonths(indices) {
		m.On(months[i])
	}
}

// Seasons that are over stand: rows worked out from what came since, beside those of the
// seasons before, are those worked out from everything.
func TestSeasonsThatAreOverStand(t *testing.T) {
	for _, zone := range []*time.Location{time.UTC, time.FixedZone("east", 9*3600)} {
		windows, hours := aYear(730, func(day int, w *table.EnergyWindow) {
			if day%3 == 0 {
				w.Mode = Heating
			}
		})
		days := Days(hours, windows, zone)
		want := SeasonRows(windows, hours, days, zone, Options{})
		for _, cut := range []time.Time{first.AddDate(0, 9, 0), first.AddDate(1, 3, 0), first.AddDate(1, 9, 0)} {
			_, from, _ := SeasonOf(cut.In(zone))
			known := slices.DeleteFunc(slices.Clone(want), func(r table.Season) bool { return !r.From.Before(from) })
			got := SeasonsAfter(known, CountSound(windows),
				slices.DeleteFunc(slices.Clone(windows), func(w table.EnergyWindow) bool { return w.Start.Before(from) }),
				slices.DeleteFunc(slices.Clone(hours), func(h table.EnergyHour) bool { return h.Start.Before(from) }), days, zone, Options{})
			if len(known) == 0 || len(got) != len(want) {
				t.Fatalf("since %v: %d rows, %d known, want %d", from, len(got), len(known), len(want))
			}
			for i := range got {
				if a, b := fmt.Sprintf("%+v", got[i]), fmt.Sprintf("%+v", want[i]); a != b {
					t.Fatalf("since %v, row %d:\n%s\nwant\n%s", from, i, a, b)
				}
			}
		}
	}
}

// Data errors are in no figure: a month of power in W, a week of COPs above Carnot's
// and a visit in doubt leave every mean as it was.
func TestWhatIsFlaggedIsInNoMean(t *testing.T) {
	clean, hours := aYear(160, sound)
	bad, _ := aYear(160, func(day int, w *table.EnergyWindow) {
		if w.Start.Month() == time.March {
			w.Power, w.Index, w.Capacity = 2000, 10, 6000
		}
		if day >= 10 && day < 17 {
			w.COP, w.Flag, w.Evidence = 30, RuleCarnot, "COP 30 of 12"
		}
	})
	mark(bad)
	flags := append(Flags(bad), Steps([]Oddity{{At: first.UnixMicro(), Step: Backwards, Before: 5, After: 4}})...)
	rules := map[string]bool{}
	for _, f := range flags {
		rules[f.Rule] = f.Text() != "" && f.Remedy != ""
	}
	if !rules[RuleWatts] || !rules[RuleCarnot] || !rules[RuleCounter] || len(rules) != 3 {
		t.Fatalf("flags %+v", flags)
	}
	SetAside(bad, first.AddDate(0, 0, 30).UnixMicro(), first.AddDate(0, 0, 31).UnixMicro(), RuleDoubt+" D10", "loose probe")
	for _, d := range Days(hours, bad, nil) {
		if d.COP > 4 || d.Power > 3 {
			t.Errorf("%v: COP %v, %v kW", d.Day, d.COP, d.Power)
		}
		if march := d.Day.Month() == time.March; march != (math.IsNaN(d.KWh)) || march == d.Complete {
			t.Errorf("%v: %v kWh, complete %v", d.Day, d.KWh, d.Complete)
		}
	}
	a, b := SeasonRows(clean, hours, nil, nil, Options{}), SeasonRows(bad, hours, nil, nil, Options{})
	held := 0
	for _, x := range a {
		for _, y := range b {
			if x.What == OneBin && y.What == OneBin && x.Season == y.Season && x.Lo == y.Lo {
				near(t, "bin's COP", y.COP, x.COP, 0.03*x.COP)
				held++
			}
		}
	}
	if held < 5 {
		t.Errorf("only %d bins are left to compare", held)
	}
}

// A day's sums: 24 h of 1.2 kWh at 10 °C, half of the time running.
func TestDays(t *testing.T) {
	windows, hours := aYear(1, sound)
	days := Days(hours, windows, nil)
	if len(days) != 1 {
		t.Fatalf("%d days", len(days))
	}
	d := days[0]
	near(t, "kWh", d.KWh, 24*1.2, 1e-9)
	near(t, "duty, %", d.Duty, 50, 1e-9)
	near(t, "COP", d.COP, 3, 1e-9)
	near(t, "heat, kWh", d.Heat, 3*24*1.2, 1e-9)
	near(t, "kW per kW", d.Specific, 1.0/3, 1e-9)
	if !d.Complete || d.Windows != 4 || d.Boundary != "compressor" {
		t.Errorf("%+v", d)
	}
	// Six hours behind, the first six hours are of the day before.
	west := time.FixedZone("west", -6*3600)
	if days := Days(hours, windows, west); len(days) != 2 || days[0].Complete || days[1].Complete {
		t.Errorf("by another calendar: %+v", days)
	}
}

// A cleaned coil that saves a tenth: stated, in money and emissions at the tariff of
// those days; with no tariff the kilowatt-hours stand alone.
func TestSavingRows(t *testing.T) {
	_, hours := aYear(240, sound)
	event := first.AddDate(0, 0, 140)
	for i := range hours {
		noise := 0.01 * math.Sin(float64(i*i%97))
		hours[i].KWh += noise
		if hours[i].Start.After(event) {
			hours[i].KWh *= 0.9
		}
	}
	days := Days(hours, nil, nil)
	events := []register.Event{{Time: event.AddDate(0, 0, -90), Kind: register.DirectLeakCheck}, {Time: event, Kind: register.CoilCleaned}}
	price := func(time.Time) (register.Tariff, bool) {
		return register.Tariff{Price: 0.25, Currency: "EUR", CO2e: 0.4}, true
	}
	rows := SavingRows(days, events, price, nil, Options{})
	if len(rows) != 1 || !rows[0].Stated {
		t.Fatalf("%+v", rows)
	}
	r := rows[0]
	expected := r.Expect
	near(t, "avoided, kWh", r.Avoided, 0.1*expected, 0.01*expected)
	near(t, "money", r.Money, 0.25*r.Avoided, 1e-6)
	near(t, "t CO2e", r.CO2e, 0.0004*r.Avoided, 1e-9)
	if !(r.Lo95 < r.Lo90 && r.Lo90 < r.Lo68 && r.Lo68 < r.Avoided) {
		t.Errorf("intervals %+v", r)
	}
	known := KnownSavings{}.After(days, events, price, nil, Options{})
	known.Rows[0].Avoided = 1234
	if again := known.After(days, events, price, nil, Options{}); again.Rows[0].Avoided != 1234 || again.From[0] != known.From[0] {
		t.Error("what follows from the same days was worked out anew")
	}
	days[150].KWh++
	if again := known.After(days, events, price, nil, Options{}); again.Rows[0].Avoided == 1234 {
		t.Error("a row of other days was taken over")
	}
	days[150].KWh--
	none := SavingRows(days, events, func(time.Time) (register.Tariff, bool) { return register.Tariff{}, false }, nil, Options{})
	if !math.IsNaN(none[0].Money) || !none[0].Stated {
		t.Errorf("without a tariff: %+v", none[0])
	}
}

// By hand: days after an event count by the weeks that are over, with or without a gap.
func TestDaysAfterAnEventCountByWholeWeeks(t *testing.T) {
	var days []Observation
	for i, want := range []int{0, 0, 0, 0, 0, 0, 7, 7, 7, 7, 7, 7, 7, 14} {
		days = append(days, Observation{Day: 100 + i})
		if got := wholeWeeks(days, 100); got != want {
			t.Errorf("of %d days %d count", i+1, got)
		}
	}
	gap := slices.Delete(slices.Clone(days), 5, 8)
	if got := wholeWeeks(gap[:6], 100); got != 5 {
		t.Errorf("of a week without its last two days, and a day of the next, %d count", got)
	}
}

// Systems are ranked within what they share; one alone in its group is not.
func TestRankingRows(t *testing.T) {
	entry := func(id, refrigerant, covers string, level float64) Entry {
		windows, hours := aYear(160, func(day int, w *table.EnergyWindow) { w.COP *= level * (1 + 0.01*math.Sin(float64(day))) })
		s := register.NewSystem(id)
		s.Kind, s.RefrigerantName, s.PowerCovers = register.ColdRoom, refrigerant, covers
		return Entry{System: s, Seasons: SeasonRows(windows, hours, nil, nil, Options{}), KWh: 10000, Tariff: register.Tariff{Price: 0.2, Currency: "EUR"}}
	}
	rows := RankingRows([]Entry{entry("A", "R134a", "compressor", 1), entry("B", "R134a", "compressor", 0.8), entry("C", "R290", "compressor", 1), entry("D", "R134a", "compressor", 1.01)}, Options{})
	if len(rows) != 3 {
		t.Fatalf("%+v", rows)
	}
	last := rows[2]
	if last.System != "B" || last.Rank != 3 || !(last.Gain > 10) || math.Abs(last.GainCost-last.GainKWh*0.2) > 1e-9 {
		t.Errorf("the wasteful one: %+v", last)
	}
	if rows[0].Sets != rows[1].Sets || rows[1].Sets == last.Sets {
		t.Errorf("sets %q %q %q", rows[0].Sets, rows[1].Sets, last.Sets)
	}
}

// The options' defaults are valid; what is not is told by name.
func TestOptions(t *testing.T) {
	if err := (Options{}).Validate(); err != nil {
		t.Error(err)
	}
	if err := (Options{BinWidth: 50, Axis: "moon", Path: "none"}).Validate(); err == nil {
		t.Error("nonsense is valid")
	}
}

// A year later the weather is 3 K warmer and the machine the same: the electricity rises,
// in the weather of the year before it does not (1.2 kWh per K and day above 15 °C, 2 kWh in any
// weather).
func TestElectricityInTheWeatherBefore(t *testing.T) {
	var days []table.EnergyDay
	for d := range 540 {
		temp := 18 + 6*math.Sin(float64(d)/9)
		if d > 300 {
			temp += 3
		}
		days = append(days, table.EnergyDay{Day: first.AddDate(0, 0, d), Complete: true, Outdoor: temp, KWh: 2 + 1.2*pos(temp-15)})
	}
	season := func(year int) Season {
		s := Season{Mode: Cooling}
		_, s.From, s.To = SeasonOf(time.Date(year, 5, 1, 0, 0, 0, 0, time.UTC))
		return s
	}
	before, now := season(2024), season(2025)
	var was, is table.Season
	weather(&was, before, nil, days, nil)
	weather(&is, now, &before, days, nil)
	perDay := func(r table.Season, kwh float64) float64 { return kwh / float64(r.KWhDays) }
	if raw := perDay(is, is.KWh) / perDay(was, was.KWh); raw < 1.3 {
		t.Errorf("the weather is not in the raw figures: %v", raw)
	}
	near(t, "in the weather before, kWh a day", perDay(is, is.Normal), perDay(was, was.KWh), 0.02*perDay(was, was.KWh))
}
