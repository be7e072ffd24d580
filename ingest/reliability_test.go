package ingest_test

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"rimelog/ingest"
	"rimelog/ingest/answers"
	"rimelog/ingest/limits"
	"rimelog/ingest/raw"
	"rimelog/ingest/read/readtest"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/local"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// A pattern is a file that is never held in memory: texts, and stretches of one byte.
type pattern []stretch

type stretch struct {
	text string
	fill byte
	size int64 // of a stretch of fill; 0 for a text
}

func (s stretch) length() int64 {
	if s.size > 0 {
		return s.size
	}
	return int64(len(s.text))
}

func (p pattern) size() (n int64) {
	for _, s := range p {
		n += s.length()
	}
	return n
}

func (p pattern) ReadAt(b []byte, at int64) (n int, err error) {
	for _, s := range p {
		switch l := s.length(); {
		case at >= l:
			at -= l
			continue
		case s.size > 0:
			m := int(min(l-at, int64(len(b)-n)))
			for i := range m {
				b[n+i] = s.fill
			}
			n += m
		default:
			n += copy(b[n:], s.text[at:])
		}
		at = 0
		if n == len(b) {
			return n, nil
		}
	}
	return n, io.EOF
}

func (p pattern) source() raw.Source { return raw.Source{ReaderAt: p, Size: p.size()} }

var home = answers.Answers{Systems: []answers.System{{ID: "KA-07", Zone: time.UTC, Altitude: 0}}}

const powerHeader = "Time;Power [W]\n"

// minutes writes n lines, a minute apart, from a minute of 25 March 2025 on.
func minutes(from, n int) string {
	var b strings.Builder
	start := time.Date(2025, 3, 25, 0, 0, 0, 0, time.UTC)
	for i := from; i < from+n; i++ {
		fmt.Fprintf(&b, "%s;%d\n", start.Add(time.Duration(i)*time.Minute).Format(time.DateTime), 1000+i)
	}
	return b.String()
}

// within fails where a function allocates more than so many megabytes in all: then
// it also never holds more.
func within(t *testing.T, megabytes uint64, f func()) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	if used := (after.TotalAlloc - before.TotalAlloc) >> 20; used > megabytes {
		t.Errorf("allocates %d MB, want at most %d", used, megabytes)
	}
}

func TestALineOfAHundredMegabytes(t *testing.T) {
	p := pattern{{text: powerHeader + minutes(0, 50)}, {fill: 'x', size: 100 << 20}, {text: "\n" + minutes(50, 50)}}
	within(t, 64, func() {
		r := readtest.File(t, p.source(), home)
		if r.Lines.Data != 100 || r.Lines.Quarantined != 1 || r.Parts[0].Samples.Rows() != 100 {
			t.Fatalf("%+v", r.Lines)
		}
		if q := r.Understanding.Quarantined[0]; q.Line != 52 || !strings.Contains(q.Reason, "longer than the limit") || len(q.Text) > 1000 {
			t.Errorf("line %d: %s, %d bytes shown", q.Line, q.Reason, len(q.Text))
		}
	})
}

// A line that never ends has no cells either: a hundred megabytes of delimiters.
func TestALineOfAHundredMegabytesOfDelimiters(t *testing.T) {
	p := pattern{{text: powerHeader + minutes(0, 50)}, {fill: ';', size: 100 << 20}}
	within(t, 64, func() {
		if r := readtest.File(t, p.source(), home); r.Lines.Data != 50 || r.Lines.All != 52 || r.Lines.Quarantined != 1 {
			t.Errorf("%+v", r.Lines)
		}
	})
}

func TestAFileOfNULs(t *testing.T) {
	for name, p := range map[string]pattern{
		"nothing else":     {{fill: 0, size: 64 << 20}},
		"all bits set":     {{fill: 0xFF, size: 64 << 20}},
		"behind a log":     {{text: powerHeader + minutes(0, 50)}, {fill: 0, size: 64 << 20}},
		"before a log":     {{fill: 0, size: 1 << 20}, {text: "\n" + powerHeader + minutes(0, 50)}},
		"between two days": {{text: powerHeader + minutes(0, 50)}, {fill: 0, size: 1 << 19}, {text: "\n" + minutes(50, 50)}},
	} {
		t.Run(name, func(t *testing.T) {
			within(t, 64, func() {
				r := readtest.File(t, p.source(), home)
				stored := 0
				for _, part := range r.Parts {
					stored += part.Samples.Rows()
				}
				want := map[string]int{"behind a log": 50, "between two days": 100}[name]
				if stored != want && !(name == "before a log" && stored == 50) {
					t.Errorf("%d samples, want %d: %+v %s", stored, want, r.Lines, r.Understanding.Unreadable)
				}
				if r.Lines.Quarantined == 0 {
					t.Errorf("nothing is said of the fill: %+v", r.Lines)
				}
			})
		})
	}
}

// A growing is a file to which a logger appends while it is read.
type growing struct {
	text string
	more int
}

func (g *growing) ReadAt(b []byte, at int64) (int, error) {
	g.text += minutes(strings.Count(g.text, "\n")-1, 10)
	g.more++
	return pattern{{text: g.text}}.ReadAt(b, at)
}

// Read keeps to the bytes that were there when it began.
func TestReadTakesAFileAsItWasWhenItBegan(t *testing.T) {
	g := &growing{text: powerHeader + minutes(0, 200)}
	r := readtest.File(t, raw.Source{ReaderAt: g, Size: int64(len(g.text))}, home)
	if g.more == 0 || r.Lines.Data != 200 || r.Lines.All != 201 {
		t.Errorf("%+v after %d reads", r.Lines, g.more)
	}
}

// A bench is a workspace on disk.
type bench struct {
	t      *testing.T
	folder string
}

func newBench(t *testing.T) bench {
	b := bench{t, t.TempDir()}
	b.write("register/systems.csv", "system,zone,altitude_m\nKA-07,UTC,0\n")
	return b
}

func (b bench) write(name, text string) {
	b.t.Helper()
	path := filepath.Join(b.folder, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		b.t.Fatal(err)
	}
}

// stage opens the workspace as a new run does.
func (b bench) stage() (*ingest.Stage, *dataset.Dataset) {
	b.t.Helper()
	st, err := store.OpenDir(b.folder)
	if err != nil {
		b.t.Fatal(err)
	}
	reg, err := register.Load(context.Background(), os.DirFS(filepath.Join(b.folder, "register")))
	if err != nil {
		b.t.Fatal(err)
	}
	d := dataset.New(st)
	return ingest.NewStage(d, st, reg, limits.Options{}), d
}

func (b bench) do(rounds []pipeline.Round) pipeline.Tally {
	b.t.Helper()
	tally, err := pipeline.Run(context.Background(), rounds, local.Runner{Workers: 2}, pipeline.Hooks{})
	if err != nil {
		b.t.Fatal(err)
	}
	return tally
}

func (b bench) rows(d *dataset.Dataset, month string) int {
	b.t.Helper()
	f, err := d.ReadTable(context.Background(), table.Samples().Path("KA-07", month))
	if err != nil {
		return 0
	}
	return f.Rows()
}

// A file that changes between looking and reading is left for the next run, whole.
func TestAFileThatGrowsBetweenTheRoundsIsLeftForTheNextRun(t *testing.T) {
	b := newBench(t)
	b.write("uploads/KA-07/log.csv", powerHeader+minutes(0, 100))
	s, d := b.stage()
	rounds := s.Rounds()
	b.do(rounds[:1])
	b.write("uploads/KA-07/log.csv", powerHeader+minutes(0, 150))
	b.do(rounds[1:])
	if n := b.rows(d, "2025-03"); n != 0 {
		t.Errorf("%d rows of a file that had changed", n)
	}
	s, d = b.stage()
	b.do(s.Rounds())
	if n := b.rows(d, "2025-03"); n != 150 {
		t.Errorf("%d rows after the next run, want 150", n)
	}
}

// Folders within folders, odd names and empty files are no trouble.
func TestOddFilesInUploads(t *testing.T) {
	b := newBench(t)
	b.write("uploads/"+strings.Repeat("deep/", 40)+"KA-07/log.csv", powerHeader+minutes(0, 100))
	b.write("uploads/KA-07/empty.csv", "")
	b.write("uploads/KA-07/"+strings.Repeat("long", 50)+".csv", powerHeader+minutes(100, 10))
	b.write("uploads/KA-07/naïve \u202Ename;rm -rf, 'x'.csv", powerHeader+minutes(110, 10))
	s, d := b.stage()
	b.do(s.Rounds())
	if n := b.rows(d, "2025-03"); n != 120 {
		t.Errorf("%d rows, want 120", n)
	}
	uploads, _, err := s.Account(context.Background())
	if err != nil || len(uploads) != 4 {
		t.Errorf("%d uploads, want 4: %v", len(uploads), err)
	}
}
