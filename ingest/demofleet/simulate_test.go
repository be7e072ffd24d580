package demofleet

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/demofleet/truth"
)

func TestSimulateKeepsTruthApart(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "sim")
	mix := DefaultMix()
	o := Options{Seed: 9, Systems: 6, Years: 1, Permanent: 1, PermanentDays: 2, Mix: &mix}
	made, err := Simulate(t.Context(), dir, o)
	if err != nil {
		t.Fatal(err)
	}
	loaded, err := truth.Load(os.DirFS(filepath.Join(dir, "truth")))
	if err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(normal(made), normal(loaded)) {
		t.Error("the truth read back is not the truth that was written")
	}
	for _, f := range loaded.Files {
		if _, err := os.Stat(filepath.Join(dir, "workspace", "uploads", filepath.FromSlash(f.Path))); err != nil {
			t.Errorf("the truth speaks of a file that is not there: %v", err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, "workspace", "truth")); err == nil {
		t.Error("truth lies in the workspace")
	}
	checkDays(t, dir, made)
}

// normal brings times to one form.
func normal(f truth.Fleet) string {
	var b strings.Builder
	for _, s := range f.Systems {
		b.WriteString(s.ID)
		for _, e := range s.Episodes {
			b.WriteString(string(e.Fault) + e.Onset.UTC().Format(time.RFC3339) + e.Ended.UTC().Format(time.RFC3339))
		}
	}
	for _, x := range f.Files {
		b.WriteString(x.Path + x.Trap + strconv.Itoa(x.Rows))
		for _, m := range x.Mistakes {
			b.WriteString(m.ID)
		}
	}
	for _, s := range f.Slips {
		b.WriteString(s.Field + s.True + s.Written)
	}
	return b.String()
}

func checkDays(t *testing.T, dir string, f truth.Fleet) {
	t.Helper()
	s := f.Systems[0]
	file, err := os.Open(filepath.Join(dir, "truth", "days", s.ID+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) < 360 {
		t.Fatalf("%d days, %v", len(rows), err)
	}
	day, err := time.Parse(time.DateOnly, rows[200][0])
	if err != nil {
		t.Fatal(err)
	}
	charge, err := strconv.ParseFloat(rows[200][1], 64)
	if want := s.Charge(day.Add(12 * time.Hour)); err != nil || math.Abs(charge-want) > 1e-4 {
		t.Errorf("%s: charge %v, want %.4f", rows[200][0], rows[200][1], want)
	}
}

// Between its knots a record goes evenly from one operating point to the next.
// That must be within 0.02 K of the point that is solved there.
func TestKnotsAreNearEnough(t *testing.T) {
	for _, seed := range []uint64{3, 6} {
		f, err := newFleet(Options{Seed: seed, Systems: 24, Years: 1, Logging: ByVisits}.withDefaults())
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range f.machines {
			m.checkKnots(t, *f.visits[m][2])
		}
	}
}

// checkKnots solves a day's points halfway between the knots.
func (m *machine) checkKnots(t *testing.T, v visit) {
	t.Helper()
	v.cycling = true
	v.length = 12 * time.Hour
	tr, err := newTrace(m, v, chance(1, "knots"))
	if err != nil || tr.tripped {
		t.Fatal(err, tr.tripped)
	}
	for k := 0; k+1 < len(tr.knots); k++ {
		a, b := tr.knots[k], tr.knots[k+1]
		p, err := m.plant.Solve(a.c.Toward(b.c, 0.5), m.point, m.design)
		if err != nil {
			t.Fatal(err)
		}
		x := tr.mix(a.at.Add(b.at.Sub(a.at)/2), true, everyQuantity)
		f := m.plant.Fluid
		for name, d := range map[string]float64{
			"evaporating": p.SuctionDew - f.Dew(x[suctionPressure]),
			"condensing":  p.DischargeDew - f.Dew(x[dischargePressure]),
			"suction gas": p.Suction - x[suctionTemp],
			"liquid":      p.Liquid - x[liquidTemp],
		} {
			if math.Abs(d) > 0.02 {
				t.Errorf("%s at %s: %s is %.3f K off between knots", m.truth.ID, a.at.Format(time.DateTime), name, d)
			}
		}
	}
}

// Steady stretches leave out starts: a record that begins at standstill has none
// in its first minutes.
func TestSteadyLeavesOutStarts(t *testing.T) {
	f, err := newFleet(small(3).withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, m := range f.machines {
		for _, v := range f.visits[m] {
			if v.cycling || v.standing == 0 {
				continue
			}
			tr, err := newTrace(m, *v, chance(1, "steady"))
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range tr.steady() {
				seen++
				if s.From.Before(v.start.Add(v.standing + time.Minute)) {
					t.Errorf("%s: steady from %v, but it only starts at %v", m.truth.ID, s.From, v.start.Add(v.standing))
				}
			}
		}
	}
	if seen == 0 {
		t.Error("no steady stretch at all")
	}
}

func TestMixIsReadOverTheDefault(t *testing.T) {
	m, err := ReadMix(strings.NewReader(`{"faults": {"leak": {"share": 0.5}}, "mistakes": {"D7": 0.9}}`))
	if err != nil {
		t.Fatal(err)
	}
	d := DefaultMix()
	if m.Faults.Leak.Share != 0.5 || m.Mistakes["D7"] != 0.9 {
		t.Errorf("share %v, D7 %v: not as read", m.Faults.Leak.Share, m.Mistakes["D7"])
	}
	if m.Faults.Leak.PerYear != d.Faults.Leak.PerYear || m.Mistakes["D8"] != d.Mistakes["D8"] || m.Visits != d.Visits {
		t.Error("what the text leaves out has changed")
	}
	if m, err = ReadMix(strings.NewReader(`{"mistakes": null, "quirks": null}`)); err != nil || len(m.Mistakes)+len(m.Quirks) > 0 {
		t.Errorf("null: %d mistakes, %d quirks, %v; want none", len(m.Mistakes), len(m.Quirks), err)
	}
}

func TestImpossibleMixIsRefusedByField(t *testing.T) {
	for text, want := range map[string]string{
		`{"faults": {"leak": {"share": 2}}}`:        "faults.leak.share 2",
		`{"visits": {"weeks": [9, 3]}}`:             "visits.weeks [9, 3]",
		`{"sensors": {"noise": -1}}`:                "sensors.noise -1",
		`{"mistakes": {"D99": 0.1}}`:                "mistakes.D99",
		`{"sensors": {"colour": 1}}`:                "sensors.colour: there is no such field; want one of",
		`{"controls": {"cycle_minn": [9, 12]}}`:     "controls.cycle_minn: there is no such field; did you mean cycle_min?",
		`{"faults": {"leak": {"shares": 1}}}`:       "faults.leak.shares: there is no such field; did you mean share?",
		`{"mistake_sizes": {"D18_min": [0, 3]}}`:    "mistake_sizes.D18_min 0: want 1 to 30",
		`{"classes": {"fin": 1}}`:                   "classes.fin: there is no such name; did you mean fine?",
		``:                                          "nothing in it",
		`[]`:                                        "the whole of it: is array; want an object",
		`{"odd_files": false} {}`:                   "after the end",
		`{"visits": {"weeks": [4]}}`:                "visits.weeks: is [4]; want two numbers",
		`{"visits": {"weeks": [4, 5, 6]}}`:          "visits.weeks: is [4, 5, 6]; want two numbers",
		`{"visits": {"weeks": 4}}`:                  "visits.weeks: is 4; want two numbers",
		`{"visits": {"weeks": [4, null]}}`:          "visits.weeks: is [4, null]; want two numbers",
		`{"faults": {"leak": {"share": "0.5"}}}`:    "faults.leak.share: is string; want a number",
		`{"mistakes": []}`:                          "mistakes: is array; want names with numbers",
		`{"odd_files": 1}`:                          "odd_files: is number; want true or false",
		`{"loggers": {"Pelliq": -1}}`:               "loggers.Pelliq -1",
		`{"refrigerants": {"R999": 1}}`:             "refrigerants.R999",
		`{"refrigerants": {"R134a": 0, "R717": 0}}`: "refrigerants of a water-cooled chiller",
		`{"weather": {"season": 9}}`:                "weather.season 9",
		`{"expansion": {"needle": 1}}`:              "expansion.needle",
		`{"expansion": {"electronic": 0}}`:          "expansion of a water-cooled chiller",
		`{"kinds": {"cold_room": 0, "freezer_room": 0, "display_cabinet": 0, "air_conditioner": 0, "chiller": 0, "water_cooled_chiller": 0, "air_heat_pump": 0, "ground_heat_pump": 0, "pack": 0}}`: "kinds",
	} {
		if _, err := ReadMix(strings.NewReader(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v does not name %s", text, err, want)
		}
	}
}

func TestSchemaPrintsEveryParameter(t *testing.T) {
	var b strings.Builder
	if err := Schema(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"kinds.cold_room", "faults.leak.per_year", "[0.05, 0.25]", "slips.event_missing", "mistakes.D31", "quirks.utf16", "odd_files", "weather.warmer_k", "refrigerants.R404A", "loggers.Torvane", "stays.share", "machines.oil_kg_per_kw", "machines.receiver_level", "machines.valve_position", "sensors.level_pct", "faults.unnoticed", "visits.own_set", "visits.new_set", "visits.systems_per_set", "changes.set", "expansion.capillary", "machines.suction_rise_k", "visits.hours", "controls.cycle_min", "controls.stage_c", "controls.fans_below_k", "mistake_sizes.D30_kpa", "slips.event_kg_error", "slips.event_date_days", "records.signed", "classes.laboratory", "sensors.logger_class", "sensors.tail_gain", "sensors.coarse", "sensors.sun_k", "visits.interval", "visits.work_min", "visits.other_channels", "faults.together", "faults.wait_days", "weather.persistence", "weather.load", "machines.defrost_min", "machines.isentropic", "machines.condenser_fan"} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("the schema does not print %s", want)
		}
	}
}

// Every mistake can be made in some log, and then the file differs.
func TestEveryMistakeShows(t *testing.T) {
	mix := DefaultMix()
	mix.Machines.Reversible = 1
	f, err := newFleet(Options{Seed: 5, Systems: 24, Years: 1, Logging: ByVisits, Mix: &mix}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range mistakes {
		if k.spoil == nil {
			continue
		}
		if !f.shows(t, k) {
			t.Errorf("%s, %s: no file shows it", k.id, k.doc)
		}
	}
}

// The trade's list has 33 data errors; each can be had.
// What systems and visits are dealt is in no log's list; what nothing can show is marked: a
// clock an hour off, an error within the limits of the instrument that has it.
func TestTruthSaysWhatNothingShows(t *testing.T) {
	o := small(4)
	mix := DefaultMix()
	mix.Mistakes = Mistakes{"D1": 1, "D24": 0.5, "D15": 0.5, "D30": 0.5}
	o.Mix = &mix
	f := generate(t, o).truth
	unseen := map[string]int{}
	for _, x := range f.Files {
		for _, m := range x.Mistakes {
			if m.ID == "D1" {
				t.Errorf("%s: a log has the register's wrong refrigerant", x.Path)
			}
			if m.Unseen {
				unseen[m.ID]++
			}
			if m.ID == "D15" && m.Unseen && x.Trap != "" {
				t.Errorf("%s: an hour off keeps nothing from being read: %s", x.Path, x.Trap)
			}
		}
	}
	if unseen["D15"] == 0 || unseen["D24"] > 0 || len(unseen) > 2 {
		t.Errorf("marked as unseen: %v", unseen)
	}
}

func TestMistakesCoverTheList(t *testing.T) {
	known := names(mistakes, func(k mistake) string { return k.id })
	for n := 1; n <= 33; n++ {
		if id := fmt.Sprintf("D%d", n); !slices.Contains(known, id) {
			t.Errorf("%s cannot be injected", id)
		}
	}
	if len(known) != 33 {
		t.Errorf("%d mistakes, want 33", len(known))
	}
}

// shows looks for a log that a mistake changes.
func (f *fleet) shows(t *testing.T, k mistake) bool {
	t.Helper()
	for i, m := range f.machines {
		for n, v := range f.visits[m] {
			record := func(made []mistake) (string, []truth.Mistake) {
				rec, err := newRecorder(m, *v, chance(1, i, n), made, &f.options.Mix.Sizes, nil)
				if err != nil {
					t.Fatal(err)
				}
				var b strings.Builder
				if _, err := rec.write(&b); err != nil {
					t.Fatal(err)
				}
				return b.String(), rec.mistakes
			}
			sound, usual := record(nil)
			spoiled, listed := record([]mistake{k})
			is := func(m truth.Mistake) bool { return m.ID == k.id }
			if slices.ContainsFunc(usual, is) || !slices.ContainsFunc(listed, is) {
				continue
			}
			return spoiled != sound
		}
	}
	return false
}

// Every quirk can be had in some log, and then the file differs but holds as many
// rows.
func TestEveryQuirkShows(t *testing.T) {
	f, err := newFleet(Options{Seed: 5, Systems: 12, Years: 1, Logging: ByVisits}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	record := func(m *machine, v visit, odd []quirk) (string, int, []string) {
		rec, err := newRecorder(m, v, chance(1, "quirk"), nil, nil, odd)
		if err != nil {
			t.Fatal(err)
		}
		var b strings.Builder
		if rec.split != nil {
			parts, rows, err := rec.parts()
			if err != nil || len(parts) < 2 {
				t.Fatal(len(parts), err)
			}
			return string(parts[0].file), rows, rec.quirks
		}
		rows, err := rec.write(&b)
		if err != nil {
			t.Fatal(err)
		}
		return b.String(), rows, rec.quirks
	}
	for _, k := range quirks {
		seen := false
		for _, m := range f.machines {
			v := *f.visits[m][0]
			odd, rows, listed := record(m, v, []quirk{k})
			usual, same, _ := record(m, v, nil)
			if len(listed) == 0 {
				continue
			}
			seen = seen || odd != usual
			if rows != same {
				t.Errorf("%s: %d rows, want %d", k.id, rows, same)
			}
		}
		if !seen {
			t.Errorf("%s, %s: no file shows it", k.id, k.doc)
		}
	}
}

// A fleet with every slip has each of them in its truth.
func TestSlipsAreInTheTruth(t *testing.T) {
	mix := DefaultMix()
	mix.Slips = Slips{0.3, 0.3, Range{0.1, 0.3}, 0.3, 0.3, 0.3, 0.2, 0.1, 0.3, 0.4, 0.4, 0.4, 0.4, 0.4, Range{0.3, 2.5}, 60}
	mix.Faults.Leak.Share, mix.Faults.Leak.Repaired = 0.8, 1
	o := Options{Seed: 2, Systems: 40, Years: 3, Logging: ByVisits, Mix: &mix}
	f, err := newFleet(o.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	files, slips := f.register()
	seen := map[string]int{}
	for _, s := range slips {
		seen[s.Table+" "+s.Field]++
	}
	for _, want := range []string{
		"systems design_charge_kg", "systems expansion", "systems receiver", "systems altitude_m", "systems refrigerant",
		"channels instrument", "events row", "events kg", "events unit", "events date", "events system",
	} {
		if seen[want] == 0 {
			t.Errorf("no slip in %s", want)
		}
	}
	for _, x := range files {
		if err := x.write(io.Discard); err != nil {
			t.Errorf("%s: %v", x.name, err)
		}
	}
}

// A mix decides which expansion devices there are.
func TestDevicesFollowTheMix(t *testing.T) {
	mix := DefaultMix()
	mix.Kinds = Kinds{AirConditioner: 1, DisplayCabinet: 1}
	mix.Devices = Weights{"thermostatic": 0, "electronic": 0}
	f, err := newFleet(Options{Seed: 2, Systems: 12, Years: 1, Logging: ByVisits, Mix: &mix}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range f.machines {
		if m.truth.Expansion != "fixed" {
			t.Errorf("%s: %s expansion, want fixed", m.truth.ID, m.truth.Expansion)
		}
	}
}
