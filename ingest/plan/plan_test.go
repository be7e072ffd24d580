package plan

import (
	"math"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/dialect"
	"rimelog/ingest/limits"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
	"rimelog/pipeline/register"
)

func planned(t *testing.T, file string, rows ...register.Channel) *Plan {
	t.Helper()
	src := raw.Source{ReaderAt: strings.NewReader(file), Size: int64(len(file))}
	s, err := dialect.Take(src, limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := New(s, answers.Answers{Systems: []answers.System{{ID: "CR-01", Zone: time.UTC, Altitude: 0, Rows: rows}}}, Amendments{}, limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// logOf is a log of some minutes below a header.
func logOf(header string) string {
	file := header + "\n"
	for i := range 8 {
		file += "2025-03-25 12:0" + string(rune('0'+i)) + ":00;4.5;1200.5\n"
	}
	return file
}

// What a column means follows from its name, and from the register before that.
func TestWhatColumnsMean(t *testing.T) {
	p := planned(t, logOf("Time;Suction temp [°C];Power [W]"))
	if got := p.Columns[1].Target.Name; got != "suction_temp_c" {
		t.Errorf("taken for %q", got)
	}
	if p.Columns[0].Kind != TimeColumn || p.Layout.Delim != ';' || p.Marks.Decimal != '.' || len(p.Open) != 0 {
		t.Errorf("time %v, delimiter %q, mark %q, questions %+v", p.Columns[0].Kind, p.Layout.Delim, p.Marks.Decimal, p.Open)
	}
	p = planned(t, logOf("Time;Suction temp [°C];Power [W]"), register.Channel{System: "CR-01", Column: "Suction temp", Channel: "liquid_temp", Sign: 1})
	if got := p.Columns[1].Target.Name; got != "liquid_temp_c" {
		t.Errorf("the register says liquid_temp, and it is taken for %q", got)
	}
}

// What nobody but the user can settle becomes a question with the line that settles it, and
// its values wait.
func TestWhatIsOpenIsAsked(t *testing.T) {
	for _, c := range []struct{ header, asked string }{
		{"Time;Suction temp;Power [W]", UnitMissing},            // °C or °F
		{"Time;Suction pressure [bar];Power [W]", "gauge"},      // or absolute
		{"Time;Suction pressure;Power [W]", UnitMissing},        // nothing at all
		{"Time;Suction pressure [bar(g)];Power [W]", ""},        // all is said
		{"Time;Suction pressure [bar(a)];Outdoor temp [K]", ""}, // absolute; a kelvin counts from absolute zero
	} {
		p := planned(t, logOf(c.header))
		switch {
		case c.asked == "" && len(p.Open) > 0:
			t.Errorf("%s: asks %q", c.header, p.Open[0].Question)
		case c.asked != "" && len(p.Open) == 0:
			t.Errorf("%s: asks nothing", c.header)
		case c.asked != "":
			if q := p.Open[0]; !strings.Contains(q.Question, c.asked) || !strings.HasPrefix(q.RegisterLine, "CR-01,") {
				t.Errorf("%s: %+v; want a question about %q with the line for the register", c.header, q, c.asked)
			}
		}
	}
}

// A mark that parts thousands is the other one than the decimal mark, and only where it is seen
// (SI Brochure, 9th edition (2019), 5.4.4: the decimal marker is the point or the comma).
func TestMarksInNumbers(t *testing.T) {
	var both scan.MarkEvidence
	both.Observe([]byte("1.234,5"))
	if got := ThousandsOf(',', both); got != '.' {
		t.Errorf("beside a decimal comma thousands are parted by %q", got)
	}
	if p := planned(t, strings.ReplaceAll(logOf("Time;Suction temp [°C];Power [W]"), ".", ",")); p.Marks.Decimal != ',' {
		t.Errorf("decimal mark %q", p.Marks.Decimal)
	}
}

// No temperature of a machine lies beyond absolute zero (-273.15 °C, SI Brochure, 9th edition
// (2019), 2.3.1) or the hottest part.
func TestWhatAColumnCanHold(t *testing.T) {
	c := planned(t, logOf("Time;Suction temp [°C];Power [W]")).Columns[1]
	if c.Bottom != -273_150 || c.Top != 300_000 || c.Target.Digits != 3 {
		t.Errorf("from %d to %d, %d digits", c.Bottom, c.Top, c.Target.Digits)
	}
	for header, most := range map[string]float64{"Time;Suction pressure [bar(a)];x": 20_000, "Time;Power [W];x": 50_000} {
		c := planned(t, logOf(header)).Columns[1]
		if got := float64(c.Top) / math.Pow10(c.Target.Digits); got != most {
			t.Errorf("%s: up to %v, want %v", header, got, most)
		}
	}
}

func TestAFileWithoutATableCannotBeRead(t *testing.T) {
	file := "Dear all,\nplease find attached what we spoke of.\n"
	s, err := dialect.Take(raw.Source{ReaderAt: strings.NewReader(file), Size: int64(len(file))}, limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := New(s, answers.Answers{}, Amendments{}, limits.Options{}); err == nil || !strings.Contains(err.Error(), "no line holds a time and values") {
		t.Errorf("got %v", err)
	}
}
