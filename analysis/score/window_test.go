package score

import (
	"fmt"
	"maps"
	"math"
	"testing"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// A log of one sample a minute, 0 to 40: at rest from 10 on (31 samples), a window
// from 5 to 24 (20 samples, 15 of them at rest), and a spot that does not count.
func TestWindowsCountSamples(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil})
	in.Truth.Files = in.Truth.Files[:1]
	at := func(minute int) time.Time { return start.Add(time.Duration(minute) * time.Minute) }
	in.Truth.Files[0].Steady[0].From = at(10)
	var o Observed
	for m := range minutes + 1 {
		o.Samples = append(o.Samples, at(m).UnixMicro())
		if m%5 == 0 {
			o.Points = append(o.Points, truth.Point{Time: at(m), SuctionSuperheat: 6, Subcooling: 4})
		}
	}
	o.Windows = []table.Window{
		{Start: at(5), End: at(24), Grade: "steady", Superheat: 6.25, Subcooling: 4},
		{Start: at(25), End: at(40), Grade: "spot", Superheat: 9},
		{Start: at(25), End: at(40), Grade: "steady", Provisional: true, Superheat: 9},
	}
	see(&in, "A", o)
	w := compared(t, in).Windows
	near(t, "precision", w.Precision.Share, 15.0/20, 1e-12)
	near(t, "recall", w.Recall.Share, 15.0/31, 1e-12)
	near(t, "bias", w.BiasK, 0.25, 1e-12)
	o.Visits = []table.Visit{{Start: at(0), End: at(40), Doubt: "D1", Superheat: math.NaN(), SuperheatU: math.NaN(), Subcooling: math.NaN(), SubcoolingU: math.NaN()}}
	see(&in, "A", o)
	if got := compared(t, in).Windows; !math.IsNaN(float64(got.BiasK)) || got.Precision != w.Precision {
		t.Errorf("of a visit in doubt: bias %v K, want none; precision %+v, want %+v", got.BiasK, got.Precision, w.Precision)
	}
	if w.Precision.N != 20 || w.Recall.N != 31 {
		t.Errorf("samples in windows %d, at rest %d; want 20 and 31", w.Precision.N, w.Recall.N)
	}
}

// Twenty visits with errors of ±1 K and a stated uncertainty of 1 K, but one that is
// off by 5 K: 19 of 20 are covered. The oracle would state ±1 K for most: its 95 %
// quantile of the sizes lies between the last but one (1 K) and 5 K.
func TestCoverageByHand(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil})
	var o Observed
	for k := range 20 {
		from := on(float64(k * everyDays))
		to := from.Add(30 * time.Minute)
		off := float64(1 - 2*(k%2))
		if k == 7 {
			off = 5
		}
		o.Points = append(o.Points, truth.Point{Time: from, SuctionSuperheat: 6, Subcooling: 3},
			truth.Point{Time: from.Add(20 * time.Minute), SuctionSuperheat: 7, Subcooling: 3}, truth.Point{Time: to, SuctionSuperheat: 7.5, Subcooling: 3})
		o.Windows = append(o.Windows, table.Window{Start: from, End: from.Add(20 * time.Minute), Grade: "steady", Superheat: 6.5 + off, Subcooling: 3})
		o.Visits = append(o.Visits, table.Visit{
			Start: from, End: to, Use: "trend", Superheat: 6.5 + off, SuperheatU: 1, Subcooling: 3 + off, SubcoolingU: 0.4,
		})
	}
	see(&in, "A", o)
	c := compared(t, in).Coverage
	near(t, "superheat", c.Superheat.Share, 19.0/20, 1e-12)
	near(t, "subcooling", c.Subcooling.Share, 0, 0)
	if c.Superheat.N != 20 {
		t.Errorf("%d visits, want 20", c.Superheat.N)
	}
	if c.Superheat.Low > 0.5 {
		t.Errorf("one set of instruments is worth one trial: lower end %v, want below 0.5", c.Superheat.Low)
	}
	near(t, "width ratio", c.WidthRatio, normal95*(1+0.4)/2, 1e-9)
}

// A stated half-width counts as it is: at ±0.9 K errors of ±1 K are outside, at ±1.1 K
// inside, whatever the standard uncertainty beside it.
func TestCoverageTakesTheStatedInterval(t *testing.T) {
	for half, want := range map[float64]Number{0.9: 0, 1.1: 1} {
		in := fleetOf(map[string][]truth.Episode{"A": nil})
		from, to := start, start.Add(20*time.Minute)
		see(&in, "A", Observed{
			Points:  []truth.Point{{Time: from, SuctionSuperheat: 6, Subcooling: 3}, {Time: to, SuctionSuperheat: 6, Subcooling: 3}},
			Windows: []table.Window{{Start: from, End: to, Grade: "steady", Superheat: 7, Subcooling: 2}},
			Visits: []table.Visit{{
				Start: from, End: to, Use: "trend", Superheat: 7, SuperheatU: 0.51, SuperheatHalf: half, Subcooling: 2, SubcoolingU: 0.51, SubcoolingHalf: half,
			}},
		})
		c := compared(t, in).Coverage
		near(t, "superheat", c.Superheat.Share, float64(want), 0)
		near(t, "subcooling", c.Subcooling.Share, float64(want), 0)
	}
}

// A visit's row names the member of an archive, the truth the archive.
func TestMembersOfArchivesAreTheirArchive(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil})
	in.Truth.Files[1].Path = "A/log.csv.zip"
	in.Truth.Files[1].Mistakes = []truth.Mistake{{ID: "D24"}, {ID: "D31"}}
	in.Uploads = []table.Upload{{Path: "A/log.csv.zip", Stored: 100}}
	in.Problems = []table.Problem{
		{Place: "uploads/A/log.csv.zip/inner/log.csv", System: "A", Rule: "D24", Visit: in.Truth.Files[1].Start},
		{Place: "uploads/A/log.csv.zip+inner/log.csv:7", System: "A", Rule: "D31"},
	}
	if d := compared(t, in).DataErrors; d.Errors != (Errors{Found: 2}) {
		t.Errorf("got %+v, want both found and none invented", d)
	}
}

// A log that is left out as a whole, and said to be, has no other mistakes to find; neither has
// one that cannot be read. What nothing can show counts apart, and a clamp that truly sits badly
// is no false flag.
func TestMistakesThatNobodyCanFindCountApart(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil})
	f := in.Truth.Files
	for i, rules := range [][]truth.Mistake{{{ID: "D32"}, {ID: "D10"}}, {{ID: "D32"}, {ID: "D10"}}, {{ID: "D23"}}, {{ID: "D30", Unseen: true}}} {
		f[i].Mistakes = rules
	}
	f[2].Trap = "a web page under the name of a CSV file"
	f[4].Unsound = []string{"suction_temp"}
	in.Uploads = []table.Upload{{Path: f[0].Path, Stored: 100}}
	said := func(i int, rule, about string) table.Problem {
		return table.Problem{Place: "uploads/" + f[i].Path, System: "A", Rule: rule, Problem: "probe loose (" + rule + ") [" + about + "]: ..."}
	}
	in.Problems = []table.Problem{said(0, "D32", ""), said(4, "D10", "suction_temp_c"), said(5, "D10", "suction_temp_c")}
	d := compared(t, in).DataErrors
	want := map[string]Errors{"D10": {0, 1, 1}, "D32": {1, 1, 0}}
	if fmt.Sprint(d.ByRule) != fmt.Sprint(want) {
		t.Errorf("by rule %+v, want %+v", d.ByRule, want)
	}
	if d.Unseen.N != 1 || d.Unseen.Share != 0 {
		t.Errorf("unseen %+v, want none of one", d.Unseen)
	}
	if hits := math.Round(float64(d.FalseFlags.Share) * float64(d.FalseFlags.N)); hits != 1 {
		t.Errorf("false flags %+v, want that of the sound clamp alone", d.FalseFlags)
	}
}

func TestDataErrorsByRule(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil})
	files := in.Truth.Files[:6]
	mistake := func(i int, rules ...string) {
		for _, r := range rules {
			files[i].Mistakes = append(files[i].Mistakes, truth.Mistake{ID: r})
		}
	}
	mistake(0, "D4", "D7")
	mistake(1, "D15")
	mistake(2, "D16")
	again := files[2]
	again.Path = "A/again.csv"
	in.Truth.Files = append(files, again)
	in.Truth.Slips = []truth.Slip{{Table: "systems", System: "A", Field: "refrigerant", True: "R134a", Written: "R1234yf"}}
	in.Problems = []table.Problem{
		{Place: "uploads/" + files[0].Path, Problem: "the unit of \"P1\" is not known", Rule: "D4"},
		{Place: "uploads/" + files[0].Path, Problem: "the unit of \"P2\" is not known", Rule: "D4"},
		{Place: "uploads/" + files[3].Path + ":7", Problem: "12 lines not taken: the logger's clock was not set", Rule: "D15"},
		{Place: "dataset/samples/system=A", System: "A", Problem: "channel missing (D23) [power]: power was not logged", Rule: "D23", Visit: files[5].Start},
		{Place: "dataset/samples/system=A", System: "A", Problem: "negative subcooling (D27)", Rule: "D27", Visit: files[5].Start},
		{Place: "uploads/" + files[5].Path, System: "A", Problem: "wrong refrigerant (D1); it may be R1234yf, or R290", Rule: "D1"},
		{Place: "uploads/" + files[4].Path + ":9", Problem: "1 line not taken: the file ends within this line"},
	}
	in.Uploads = []table.Upload{{Path: files[2].Path, Stored: 100}}
	in.Classes = map[string]string{"D1": "c", "D4": "a", "D7": "a", "D15": "b", "D27": "b"}
	d := compared(t, in).DataErrors
	for class, want := range map[string][4]int{"a": {1, 2, 0, 0}, "b": {0, 1, 0, 0}, "c": {0, 1, 0, 1}} {
		c := d.ByClass[class]
		if c.Found.N != want[1] || int(math.Round(float64(c.Found.Share)*float64(c.Found.N))) != want[0] || c.FromThird.N != want[3] {
			t.Errorf("class %s: %+v, want %d of %d, and %d from the third log on", class, c, want[0], want[1], want[3])
		}
	}
	for name, c := range compared(t, in).ByClass {
		if c.Systems == 1 && c.DataErrors.Errors != d.Errors || c.Systems == 0 && c.DataErrors.Errors != (Errors{}) {
			t.Errorf("%s: %+v, want those of its only system, %+v", name, c.DataErrors.Errors, d.Errors)
		}
	}
	want := map[string]Errors{"D1": {0, 1, 0}, "D4": {1, 0, 0}, "D7": {0, 1, 0}, "D15": {0, 1, 1}, "D16": {1, 0, 0}, "D27": {0, 0, 1}}
	if fmt.Sprint(d.ByRule) != fmt.Sprint(want) || d.Errors != (Errors{2, 3, 2}) {
		t.Errorf("got %+v, want %+v", d, want)
	}
	in.Problems[len(in.Problems)-2].Problem = "wrong refrigerant (D1); it may be R134a, or R290"
	if d := compared(t, in).DataErrors.ByRule["D1"]; d != (Errors{1, 0, 0}) {
		t.Errorf("the true refrigerant among the candidates: %+v, want it found", d)
	}
	in.Uploads = append(in.Uploads, table.Upload{Path: again.Path, Stored: 100})
	if d := compared(t, in).DataErrors.ByRule["D16"]; d != (Errors{0, 1, 0}) {
		t.Errorf("a log stored twice: %+v, want one missed", d)
	}
	in.Uploads = nil
	if d := compared(t, in).DataErrors; d != nil {
		t.Errorf("without uploads: %+v, want none", d)
	}
}

// Of a log that was uploaded twice the copy that was read first tells of both; and nobody finds
// a mistake in a log without a header, of which nothing can be told.
func TestMistakesOfCopiesAndOfLogsThatNobodyCanRead(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": nil})
	files := in.Truth.Files
	files[2].Mistakes = []truth.Mistake{{ID: "D16"}, {ID: "D7"}}
	again := files[2]
	again.Path = "A/again.csv"
	files[4].Mistakes, files[4].Quirks = []truth.Mistake{{ID: "D7"}, {ID: "D18"}}, []string{"no_header"}
	in.Truth.Files = append(files, again)
	in.Uploads = []table.Upload{{Path: again.Path, Stored: 100}}
	in.Problems = []table.Problem{{Place: "uploads/" + again.Path, Problem: "suction and liquid temperature swapped (D7)", Rule: "D7"}}
	want := map[string]Errors{"D7": {1, 0, 0}, "D16": {1, 0, 0}}
	if got := compared(t, in).DataErrors.ByRule; fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
}

// Instruments differ from those of the log before that can be read: one that nobody can read
// between them changes nothing, and a flag about that is no false one.
func TestOtherInstrumentsThanTheLogBeforeThatCanBeRead(t *testing.T) {
	log := func(path, kit, trap string, day int) truth.File {
		at := time.Date(2024, 5, day, 9, 0, 0, 0, time.UTC)
		return truth.File{Path: path, System: "A1", Logger: "Pelliq", Kit: kit, Trap: trap, Start: at, End: at.Add(time.Hour)}
	}
	f := truth.Fleet{Files: []truth.File{log("1.csv", "K1", "", 1), log("2.csv", "K2", "encrypted", 2), log("3.csv", "K2", "", 3), log("4.csv", "K2", "", 4)}}
	got := made(f)
	if want := map[slip]bool{{"3.csv", "D24"}: true}; !maps.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if x := flags(f, got, map[slip]bool{{"3.csv", "D24"}: true}); x.Share != 0 {
		t.Errorf("a true flag counts as false: %+v", x)
	}
}
