package chart

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var update = flag.Bool("update", false, "write the golden files anew")

var (
	nan   = math.NaN()
	zone  = time.FixedZone("invented", 105*60)
	start = time.Date(2023, 5, 19, 7, 0, 0, 0, time.UTC)
)

func months(n float64) time.Time { return start.Add(time.Duration(n * 730 * float64(time.Hour))) }

// course has everything a course can have: a new baseline, a gap, a spot, a reading
// that is not judged, as found and as left, events and a suspicion.
func course() Course {
	c := Course{
		ID: "subcooling", Name: "Subcooling", Unit: "K", Finding: "Subcooling is falling.", About: "About it.", LikeAt: 12, Zone: zone,
		Line: &Line{From: months(6), To: months(14), Level: 4, PerYear: -2.5, Lo: -3, Hi: -2, PerOutdoor: 0.07, OutdoorRef: 12, Moves: true},
		Events: []Event{
			{At: months(5.05), Text: "repaired", Reset: true},
			{At: months(5.1), Text: "charge added, 1.40 kg", Reset: true},
			{At: months(12), Text: "direct leak check"},
		},
		Suspected: &Span{months(8), months(14)},
	}
	for i := range 15 {
		r := Reading{At: months(float64(i)), Measured: 6 - 0.2*float64(i%6), Like: 6.1 - 0.2*float64(i%6), U: 0.4, Outdoor: 5 + 2*float64(i%9)}
		switch i {
		case 3:
			r.Use, r.Note = Unused, "liquid probe fell off"
		case 5:
			r.Part = "as found"
		case 6:
			r.Part, r.Left = "as left", true
		case 9:
			r.Use, r.Note = Spot, "eight minutes: no window"
		case 10:
			r.Outdoor, r.Like = nan, nan
		case 11:
			r.U = nan
		}
		if i != 12 { // a visit that was not made
			c.Readings = append(c.Readings, r)
		}
	}
	return c
}

// manyReadings has more than one chart can show without crowding, in three of the seasons.
func manyReadings() Course {
	c := course()
	c.Readings = nil
	for i := range 60 {
		c.Readings = append(c.Readings, Reading{At: start.AddDate(0, 0, 3*i), Measured: 6 - 0.02*float64(i), U: 0.4, Outdoor: float64(i % 25)})
	}
	return c
}

func hostile() Course {
	c := course()
	name := `</script><script>alert(1)</script> "quoted" __f__ ` + "\u202e\u05d0 \u2028" + strings.Repeat("long", 50)
	c.Name, c.Finding = name, name
	c.Events[0].Text, c.Readings[0].Note, c.Readings[0].Part = name, name, name
	return c
}

func only(c Course, n int) Course {
	c.Readings, c.Line, c.Suspected, c.Events = c.Readings[:n], nil, nil, nil
	return c
}

func nothingButGaps(c Course) Course {
	for i := range c.Readings {
		c.Readings[i].Measured, c.Readings[i].Like, c.Readings[i].U = nan, nan, nan
	}
	return c
}

func aLog() Log {
	l := Log{ID: "log", Title: "Temperatures", Finding: "Steady for a while.", About: "Ten samples.", Unit: "°C", Quantity: "Temperature", Zone: zone}
	c := Channel{Name: "suction"}
	for i := range 10 {
		c.Times = append(c.Times, start.Add(time.Duration(i)*time.Minute))
		c.Values = append(c.Values, 5+math.Sin(float64(i)))
	}
	c.Values[4] = nan
	l.Channels = []Channel{c, {Name: `x</script>__f__`, Times: c.Times, Values: c.Values}}
	l.Shades = []Shade{{Span: Span{c.Times[0], c.Times[3]}, Grade: "excluded", Name: "starting"}, {Span: Span{c.Times[3], c.Times[6]}, Grade: "steady"}, {Span: Span{c.Times[6], c.Times[9]}, Grade: "oscillating"}}
	return l
}

func anEnthalpy() Enthalpy {
	cycle := func(name string, d float64) *Cycle {
		return &Cycle{Name: name, Closed: true, States: []State{
			{400 + d, 2, "1 suction gas"}, {440 + d, 10, "2 discharge gas"}, {420 + d, 10, ""}, {250 + d, 10, "3 liquid"}, {250 + d, 2, "4 behind the valve"}}}
	}
	return Enthalpy{ID: "enthalpy", Refrigerant: "R000", Finding: "It is a cycle.", Liquid: []State{{180, 1, ""}, {260, 10, ""}, {330, 30, ""}},
		Vapour: []State{{390, 1, ""}, {415, 10, ""}, {400, 30, ""}}, Reference: cycle("reference", 0), Latest: cycle("latest", 8)}
}

// drawn are all kinds of chart, ordinary and hard to draw.
func drawn(t *testing.T) map[string]Chart {
	t.Helper()
	out := map[string]Chart{}
	draw := func(name string, f func() (Chart, error)) {
		c, err := f()
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		out[name] = c
	}
	asMeasured := course()
	asMeasured.LikeAt = nan
	for name, c := range map[string]Course{
		"course": course(), "course-hostile": hostile(), "course-one-point": only(course(), 1), "course-empty": only(course(), 0),
		"course-nothing-but-gaps": nothingButGaps(course()), "course-as-measured": asMeasured,
	} {
		draw(name, c.Draw)
	}
	draw("outdoor", func() (Chart, error) {
		return course().DrawOutdoor("outdoor", "At equal temperature it fell.", "About it.")
	})
	draw("outdoor-seasons", func() (Chart, error) { return manyReadings().DrawOutdoor("outdoor", "In each season it fell.", "") })
	scaled := []Course{course(), course()}
	scaled[1].Readings = scaled[1].Readings[:4]
	scaled[1].Line = nil
	OneScale(scaled)
	draw("course-one-scale", scaled[1].Draw)
	draw("outdoor-one-point", func() (Chart, error) { return only(course(), 1).DrawOutdoor("outdoor", "One.", "") })
	draw("seasons", someSeasons().Draw)
	draw("ranking", aRanking().Draw)
	draw("log", aLog().Draw)
	draw("log-empty", Log{Zone: zone}.Draw)
	draw("enthalpy", anEnthalpy().Draw)
	open := anEnthalpy()
	open.Reference, open.Latest.Closed = nil, false
	draw("enthalpy-open", open.Draw)
	return out
}

func TestOptionsAreGolden(t *testing.T) {
	for name, c := range drawn(t) {
		var got bytes.Buffer
		if err := json.Indent(&got, c.Option, "", " "); err != nil {
			t.Errorf("%s: not JSON: %v", name, err)
			continue
		}
		got.WriteByte('\n')
		path := filepath.Join("testdata", name+".json")
		if *update {
			if err := os.WriteFile(path, got.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got.Bytes(), want) {
			t.Errorf("%s: the options are others than in %s (run with -update to take them, then look at the page): first difference at %s", name, path, difference(got.Bytes(), want))
		}
	}
}

// difference shows the two texts where they part.
func difference(a, b []byte) string {
	i := 0
	for i < len(a) && i < len(b) && a[i] == b[i] {
		i++
	}
	at := func(s []byte) []byte { return s[max(0, i-40):min(len(s), i+40)] }
	return string(at(a)) + " | " + string(at(b))
}

func TestSameInputSameBytes(t *testing.T) {
	a, b := drawn(t), drawn(t)
	for name := range a {
		if !bytes.Equal(a[name].Option, b[name].Option) {
			t.Errorf("%s: drawn twice, it has two forms", name)
		}
	}
}

// A script element ends at </script, and a comment begins at <!--, whatever the
// script says (HTML Living Standard, 4.12.1.3): neither may be in the options.
func TestOptionsStayInsideAScript(t *testing.T) {
	for name, c := range drawn(t) {
		for _, end := range []string{"<", ">", "\u2028", "NaN", "Infinity"} {
			if bytes.Contains(c.Option, []byte(end)) {
				t.Errorf("%s: the options contain %q", name, end)
			}
		}
	}
}

// A name keeps every character, the marker of go-echarts' own functions included.
func TestNamesAreKept(t *testing.T) {
	c, err := aLog().Draw()
	if err != nil {
		t.Fatal(err)
	}
	var o struct{ Series []struct{ Name string } }
	if err := json.Unmarshal(c.Option, &o); err != nil {
		t.Fatal(err)
	}
	if got := o.Series[1].Name; got != `x</script>__f__` {
		t.Errorf("the series is called %q", got)
	}
}

// What the page's own style and script must offer.
func TestOptionsNameOnlyKnownFunctions(t *testing.T) {
	for name, c := range drawn(t) {
		var o struct{ Series []map[string]any }
		if err := json.Unmarshal(c.Option, &o); err != nil {
			t.Fatal(err)
		}
		for _, s := range o.Series {
			if f, ok := s["renderItem"]; ok && f != "$fn:band" && f != "$fn:whisker" {
				t.Errorf("%s: no function is called %v", name, f)
			}
		}
	}
}

func TestEveryChartHasAFindingAndATable(t *testing.T) {
	for name, c := range drawn(t) {
		if name == "log-empty" {
			continue
		}
		if c.Title == "" || c.Finding == "" || len(c.Table.Head) == 0 {
			t.Errorf("%s has no title, finding or table", name)
		}
		for _, row := range c.Table.Rows {
			if len(row) != len(c.Table.Head) {
				t.Errorf("%s: a row has %d cells under %d heads", name, len(row), len(c.Table.Head))
			}
		}
	}
}

func TestTableIsInOrderOfTime(t *testing.T) {
	rows := course().table().Rows
	if len(rows) != 14+3 {
		t.Fatalf("%d rows, want 14 readings and 3 events", len(rows))
	}
	if rows[6][1] != "event" || rows[6][len(rows[6])-1] != "repaired" {
		t.Errorf("the seventh row is %q, want the repair after the sixth visit", rows[6])
	}
}

func TestStretches(t *testing.T) {
	var got []int
	for _, s := range course().stretches() {
		got = append(got, len(s))
	}
	// Visits 0 to 2, 4 and 5 as found, one gap less than three steps; 6 as left to
	// 8; the spot 9 and visit 10 without outdoor temperature are not judged; 11, 13, 14.
	if want := []int{5, 6}; len(got) != 2 || got[0] != want[0] || got[1] != want[1] {
		t.Errorf("stretches of %v readings, want %v", got, want)
	}
}

func TestLine(t *testing.T) {
	l := *course().Line
	if got := l.at(l.To, l.PerYear); math.Abs(got-l.Level) > 1e-9 {
		t.Errorf("the line ends at %g, want its level %g", got, l.Level)
	}
	middle := l.From.Add(l.To.Sub(l.From) / 2)
	for _, slope := range []float64{l.Lo, l.PerYear, l.Hi} {
		if got, want := l.at(middle, slope), l.at(middle, l.PerYear); math.Abs(got-want) > 1e-9 {
			t.Errorf("with slope %g it passes its middle at %g, want %g", slope, got, want)
		}
	}
	years := l.To.Sub(l.From).Hours() / hoursPerYear
	if got, want := l.at(l.From, l.PerYear)-l.Level, -l.PerYear*years; math.Abs(got-want) > 1e-9 {
		t.Errorf("the line falls %g, want %g", got, want)
	}
}

// The clocks of central Europe went from 02:00 to 03:00 on 31 March 2024, at 01:00
// UTC (Directive 2000/84/EC, article 2: the last Sunday in March, 1.00 a.m. GMT).
func TestWallShowsTheClockOnTheWall(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ at, wall string }{
		{"2024-03-31T00:59:00Z", "2024-03-31T01:59:00Z"},
		{"2024-03-31T01:00:00Z", "2024-03-31T03:00:00Z"},
	} {
		at, _ := time.Parse(time.RFC3339, c.at)
		if got := time.UnixMilli(Wall(at, berlin)).UTC().Format(time.RFC3339); got != c.wall {
			t.Errorf("Wall(%s) shows %s, want %s", c.at, got, c.wall)
		}
	}
}
