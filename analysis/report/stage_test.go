package report_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/local"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// A workspace is a dataset on disk as the analysis leaves it.
type workspace struct {
	*testing.T
	store    store.Store
	data     *dataset.Dataset
	register *register.Register
	fleet    report.Fleet
	since    int
}

func newWorkspace(t *testing.T) *workspace {
	t.Helper()
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	w := &workspace{T: t, store: dir, data: dataset.New(dir), fleet: reporttest.Fleet(1)}
	w.register = w.load(w.fleet)
	for _, s := range w.fleet.Systems {
		w.commitSystem(s)
	}
	w.commitFleet(w.fleet.Findings)
	return w
}

// load writes the systems as a register and reads it, as a user's would be.
func (w *workspace) load(f report.Fleet) *register.Register {
	w.Helper()
	var b strings.Builder
	c := csv.NewWriter(&b)
	rows := [][]string{{"system", "site", "name", "refrigerant"}}
	for _, s := range f.Systems {
		rows = append(rows, []string{s.Register.ID, s.Register.Site, s.Register.Name, s.Register.RefrigerantName})
	}
	if err := c.WriteAll(rows); err != nil {
		w.Fatal(err)
	}
	r, err := register.Load(w.Context(), fstest.MapFS{"systems.csv": {Data: []byte(b.String())}})
	if err != nil || len(r.Problems) > 0 {
		w.Fatalf("the invented register: %v %v", err, r.Problems)
	}
	return r
}

func (w *workspace) commitSystem(s report.System) {
	w.Helper()
	if len(s.Visits) == 0 {
		return
	}
	id := s.Register.ID
	month := dataset.MonthOf(s.Log.Times[0].UnixMicro()).Name
	files := []dataset.File{
		stage(w, table.Visits(), table.Visits().Path(id, ""), fromRows(w, table.Visits(), s.Visits)),
		stage(w, table.Trends(), table.Trends().Path(id, ""), fromRows(w, table.Trends(), s.Trends)),
		stage(w, table.Windows(), table.Windows().Path(id, month), fromRows(w, table.Windows(), s.Windows)),
		stage(w, table.Samples(), table.Samples().Path(id, month), samples(w, s.Log)),
	}
	w.commit(dataset.Generation{Unit: dataset.SystemUnit(id), Files: files})
}

func (w *workspace) commitFleet(findings []table.Finding) {
	w.Helper()
	before, err := w.data.Newest(w.Context(), dataset.FleetUnit)
	if err != nil {
		w.Fatal(err)
	}
	w.commit(dataset.Generation{Unit: dataset.FleetUnit, N: before.N, Inputs: map[string]string{"as of": "2025-10-06"}, Files: []dataset.File{
		stage(w, table.Findings(), table.Findings().Path("", ""), fromRows(w, table.Findings(), findings)),
		stage(w, table.Uploads(), table.Uploads().Path("", ""), fromRows(w, table.Uploads(), w.fleet.Uploads)),
		stage(w, table.Quality(), table.Quality().Path("", ""), fromRows(w, table.Quality(), w.fleet.Quality)),
	}})
}

func (w *workspace) commit(g dataset.Generation) {
	w.Helper()
	g, err := w.data.Commit(w.Context(), g)
	if err == nil {
		err = w.data.Publish(w.Context(), g)
	}
	if err != nil {
		w.Fatal(err)
	}
}

func fromRows[Row any](w *workspace, t table.Table, rows []Row) *frame.Frame {
	w.Helper()
	f, err := frame.FromRows(t, rows)
	if err != nil {
		w.Fatal(err)
	}
	return f
}

// stage names each result by its own content: what a fingerprint stands for.
func stage(w *workspace, t table.Table, path string, f *frame.Frame) dataset.File {
	w.Helper()
	step := pipeline.Step{Name: "invent", Version: 1}
	h := pipeline.NewHasher(step)
	h.Add("path", path)
	h.Add("rows", fmt.Sprint(f.Record()))
	file, err := w.data.StageFrame(w.Context(), h.Sum(), step, path, f, nil)
	if err != nil {
		w.Fatal(err)
	}
	return file
}

func samples(w *workspace, l *report.Log) *frame.Frame {
	w.Helper()
	t := table.Samples()
	b := frame.NewBuilder(t, len(l.Times))
	values := map[string][]float64{}
	for _, c := range l.Columns {
		values[c.Name] = c.Values
	}
	for _, c := range t.Columns {
		col := b.Column(c.Name)
		for i, at := range l.Times {
			v, ok := values[c.Name]
			switch {
			case c.Kind == table.Time:
				col.Int64(at.UnixMicro())
			case !ok || math.IsNaN(v[i]):
				col.Null()
			case c.Kind == table.Fixed32:
				col.Int32(int32(math.Round(v[i] * math.Pow10(c.Digits))))
			}
		}
	}
	f, err := b.Build()
	if err != nil {
		w.Fatal(err)
	}
	return f
}

// run draws the report and returns the tally of its jobs.
func (w *workspace) run() pipeline.Tally {
	w.Helper()
	ctx := context.Background()
	if err := w.data.Recover(ctx); err != nil {
		w.Fatal(err)
	}
	s := report.NewStage(w.data, w.register, report.Options{})
	s.Since = w.since
	tally, err := pipeline.Run(ctx, s.Rounds(), local.Runner{Workers: 2}, pipeline.Hooks{})
	if err != nil {
		w.Fatal(err)
	}
	return tally
}

// pages are the published files of the report.
func (w *workspace) pages() map[string]string {
	w.Helper()
	infos, err := w.store.List(w.Context(), "report")
	if err != nil {
		w.Fatal(err)
	}
	out := map[string]string{}
	for _, i := range infos {
		b, err := store.ReadAll(w.Context(), w.store, i.Name)
		if err != nil {
			w.Fatal(err)
		}
		out[i.Name] = string(b)
	}
	return out
}

func TestStageDrawsWhatChangedAndNoMore(t *testing.T) {
	w := newWorkspace(t)
	first := w.run()
	before := w.pages()
	if want := len(w.fleet.Systems) + 3; first.Done[report.Page.Name] < want {
		t.Errorf("%d pages drawn, want at least %d", first.Done[report.Page.Name], want)
	}
	for name, text := range map[string]string{
		"report/index.html":         "Three of eleven systems need somebody.",
		"report/visits.html":        "Three systems to see, at three sites.",
		"report/visits.csv":         "QH-CR2,Cold room 2,R134a,Charge loss suspected",
		"report/system/QH-CR2.html": "Charge loss suspected",
		"report/system/BENCH.html":  "Too short to judge a trend",
		"report/system/GH-FR1.html": "No log has been read.",
		"report/system/WB-DC2.html": "Too few judged visits: 2 of 6.",
	} {
		if !strings.Contains(before[name], text) {
			t.Errorf("%s does not say %q", name, text)
		}
	}
	if again := w.run(); again.Done[report.Page.Name] != 0 {
		t.Errorf("a second run drew %d pages", again.Done[report.Page.Name])
	}
	same(t, before, w.pages())

	findings := append([]table.Finding(nil), w.fleet.Findings...)
	findings[0].Evidence = "another story"
	w.commitFleet(findings)
	if after := w.run(); after.Done[report.Page.Name] != 6 {
		t.Errorf("after one finding changed %d pages were drawn, want its system's, the fleet's three, the results, and that about method, which lists the inputs", after.Done[report.Page.Name])
	}
	if !strings.Contains(w.pages()[pageOf(findings[0].System)], "Another story.") {
		t.Error("the page does not show the finding's new evidence")
	}
}

func pageOf(system string) string { return "report/" + report.SystemPath(system) }

func same(t *testing.T, want, got map[string]string) {
	t.Helper()
	for name, b := range got {
		if want[name] != b {
			t.Errorf("%s has other bytes than before", name)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
}

// An empty dataset gives a report that says so, not an error.
func TestStageOnNothing(t *testing.T) {
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	r, err := register.Load(t.Context(), fstest.MapFS{})
	if err != nil {
		t.Fatal(err)
	}
	w := &workspace{T: t, store: dir, data: dataset.New(dir), register: r}
	w.run()
	if page := w.pages()["report/index.html"]; !strings.Contains(page, "No system is in the register yet.") {
		t.Error("the fleet page does not say that there is no system")
	}
}
