package ingest

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/local"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// A workspace is a folder with uploads and register, and the dataset made of them.
type workspace struct {
	t      *testing.T
	folder string
	data   *dataset.Dataset
	stage  *Stage
}

const systemsCSV = "system;zone;altitude_m\nCR-01;Europe/Berlin;0\nCR-02;Europe/Berlin;540\n"

func newWorkspace(t *testing.T) *workspace {
	w := &workspace{t: t, folder: t.TempDir()}
	w.write("register/systems.csv", systemsCSV)
	w.write("uploads/.keep", "")
	return w
}

func (w *workspace) write(name, text string) {
	w.t.Helper()
	path := filepath.Join(w.folder, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		w.t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		w.t.Fatal(err)
	}
}

func (w *workspace) remove(name string) {
	w.t.Helper()
	if err := os.Remove(filepath.Join(w.folder, name)); err != nil {
		w.t.Fatal(err)
	}
}

func (w *workspace) run() pipeline.Tally {
	w.t.Helper()
	ctx := context.Background()
	st, err := store.OpenDir(w.folder)
	if err != nil {
		w.t.Fatal(err)
	}
	reg, err := register.Load(ctx, os.DirFS(filepath.Join(w.folder, "register")))
	if err != nil {
		w.t.Fatal(err)
	}
	for _, p := range reg.Problems {
		w.t.Errorf("register: %v", p)
	}
	w.data = dataset.New(st)
	if err := w.data.Recover(ctx); err != nil {
		w.t.Fatal(err)
	}
	w.stage = NewStage(w.data, st, reg, limits.Options{})
	tally, err := pipeline.Run(ctx, w.stage.Rounds(), local.Runner{Workers: 2}, pipeline.Hooks{})
	if err != nil {
		w.t.Fatal(err)
	}
	w.verify()
	return tally
}

func (w *workspace) verify() {
	w.t.Helper()
	v, err := w.data.Verify(context.Background(), false)
	if err != nil || !v.OK() {
		w.t.Fatalf("verify: %v, %+v", err, v.Problems)
	}
	uploads, _ := w.account()
	for _, u := range uploads {
		lines, values := dataset.Accounts(u)
		if err := lines.Check(); err != nil {
			w.t.Errorf("%s: %v", u.Path, err)
		}
		if err := values.Check(); err != nil {
			w.t.Errorf("%s: %v", u.Path, err)
		}
	}
}

func (w *workspace) account() ([]table.Upload, []table.Problem) {
	w.t.Helper()
	uploads, problems, err := w.stage.Account(context.Background())
	if err != nil {
		w.t.Fatal(err)
	}
	return uploads, problems
}

func (w *workspace) samples(system, month string) *frame.Frame {
	w.t.Helper()
	f, err := w.data.ReadTable(context.Background(), table.Samples().Path(system, month))
	if err != nil {
		w.t.Fatal(err)
	}
	return f
}

// bytes gives every file of the tables, to compare two datasets.
func (w *workspace) bytes() map[string]string {
	files := map[string]string{}
	root := filepath.Join(w.folder, "dataset")
	err := filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.Contains(path, "ledger") || strings.Contains(path, "staged") {
			return err
		}
		b, err := os.ReadFile(path)
		files[strings.TrimPrefix(path, root)] = string(b)
		return err
	})
	if err != nil {
		w.t.Fatal(err)
	}
	return files
}

func log(start time.Time, n int, shift int) string {
	rows := logtest.Truths(n, start, time.Minute)
	for i := range rows {
		rows[i].Power += int64(shift)
	}
	return logtest.WithDelim(",") + logtest.CSVTable(rows, ",", ".", logtest.ISO, time.UTC)
}

func TestASecondRunDoesNothing(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.write("uploads/CR-02_visit.csv", log(logtest.Noon, 30, 0))
	first := w.run()
	if first.Done["look"] != 2 || first.Done["read"] != 2 || first.Done["join"] != 4 {
		t.Errorf("first run did %v", first.Done)
	}
	before := w.bytes()
	if again := w.run(); len(again.Done) != 0 {
		t.Errorf("second run did %v", again.Done)
	}
	if !equalMaps(before, w.bytes()) {
		t.Error("a second run changed bytes")
	}
	if f := w.samples("CR-01", "2025-03"); f.Rows() != 60 || f.Times("time")[0] != logtest.Noon.Add(-time.Hour).UnixMicro() {
		t.Errorf("%d rows from %v", f.Rows(), time.UnixMicro(f.Times("time")[0]).UTC())
	}
}

func equalMaps(a, b map[string]string) bool {
	if len(a) != len(b) {
		return false
	}
	for k, v := range a {
		if b[k] != v {
			return false
		}
	}
	return true
}

// Whatever the order in which overlapping downloads arrive, and however they are
// cut into nights, the tables have the same bytes.
func TestOrderOfArrivalDoesNotMatter(t *testing.T) {
	files := map[string]string{
		"uploads/CR-01/a.csv": log(logtest.Noon, 60, 0),
		"uploads/CR-01/b.csv": log(logtest.Noon.Add(30*time.Minute), 60, 0),
		"uploads/CR-01/c.csv": log(logtest.Noon.Add(45*time.Minute), 60, 7),
	}
	var want map[string]string
	names := []string{"uploads/CR-01/a.csv", "uploads/CR-01/b.csv", "uploads/CR-01/c.csv"}
	permutations(names, func(order []string) {
		for _, nightly := range []bool{true, false} {
			w := newWorkspace(t)
			for _, n := range order {
				w.write(n, files[n])
				if nightly {
					w.run()
				}
			}
			w.run()
			if got := w.bytes(); want == nil {
				want = got
				wantJoined(t, w)
			} else if !equalMaps(want, got) {
				t.Errorf("order %v, nightly %v: other bytes", order, nightly)
			}
		}
	})
}

func permutations(list []string, use func([]string)) {
	var walk func(int)
	walk = func(k int) {
		if k == len(list) {
			use(slices.Clone(list))
			return
		}
		for i := k; i < len(list); i++ {
			list[k], list[i] = list[i], list[k]
			walk(k + 1)
			list[k], list[i] = list[i], list[k]
		}
	}
	walk(0)
}

// wantJoined checks that the download that ends last counts where values differ.
func wantJoined(t *testing.T, w *workspace) {
	f := w.samples("CR-01", "2025-03")
	if f.Rows() != 105 {
		t.Fatalf("%d rows, want 105", f.Rows())
	}
	c := logtest.Truths(60, logtest.Noon, time.Minute)
	power, _ := f.Fixed32("power_kw")
	if want := c[0].Power + 7; int64(power[45]) != want {
		t.Errorf("power at minute 45 is %d, want the last download's %d", power[45], want)
	}
	uploads, problems := w.account()
	var stored, duplicates int64
	for _, u := range uploads {
		stored += u.Stored
		duplicates += u.Duplicates
	}
	if stored != 3*105 || duplicates != 3*75 {
		t.Errorf("%d stored, %d duplicates; want %d and %d", stored, duplicates, 3*105, 3*75)
	}
	if !slices.ContainsFunc(problems, func(p table.Problem) bool { return strings.Contains(p.Problem, "differ from those of another upload") }) {
		t.Errorf("differing values are not told: %+v", problems)
	}
}

func TestFilesNobodyClaimsWait(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/inbox/visit.csv", log(logtest.Noon, 60, 0))
	w.write("uploads/CR-01/readme.pdf", "%PDF-1.7 nothing\n")
	w.run()
	uploads, problems := w.account()
	if len(uploads) != 2 || uploads[0].Status != "unreadable" || uploads[1].Status != "waiting" || uploads[1].Waiting != 61 {
		t.Fatalf("%+v", uploads)
	}
	if len(problems) != 2 || !strings.Contains(problems[1].Remedy, "inbox/visit.csv") {
		t.Errorf("%+v", problems)
	}
	w.write("register/channels.csv", "system;file;column;channel\nCR-02;inbox/*.csv;Power [W];power\n")
	if tally := w.run(); tally.Done["look"] != 0 || tally.Done["read"] != 1 {
		t.Errorf("after the claim: %v", tally.Done)
	}
	if f := w.samples("CR-02", "2025-03"); f.Rows() != 60 {
		t.Errorf("%d rows once claimed", f.Rows())
	}
}

func TestANewFileAtAPathSupersedesAndAVanishedOneStays(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.write("uploads/CR-01/b.csv", log(logtest.Noon.Add(2*time.Hour), 60, 0))
	w.run()
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 20, 0))
	w.remove("uploads/CR-01/b.csv")
	w.run()
	if f := w.samples("CR-01", "2025-03"); f.Rows() != 80 {
		t.Errorf("%d rows, want 20 of the new file and 60 of the vanished one", f.Rows())
	}
	uploads, _ := w.account()
	var states []string
	for _, u := range uploads {
		states = append(states, u.Path+" "+u.Status)
	}
	slices.Sort(states)
	if want := []string{"CR-01/a.csv read", "CR-01/a.csv superseded", "CR-01/b.csv archived"}; !slices.Equal(states, want) {
		t.Errorf("states %v, want %v", states, want)
	}
	if again := w.run(); len(again.Done) != 0 {
		t.Errorf("a rerun did %v", again.Done)
	}
}

func TestACorrectedRegisterLineReadsAgainOnlyWhatItTouches(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", strings.ReplaceAll(log(logtest.Noon, 60, 0), "bar(g)", "bar"))
	w.write("uploads/CR-02/a.csv", log(logtest.Noon, 60, 0))
	w.run()
	if w.samples("CR-01", "2025-03").Has("suction_pressure_kpa") {
		t.Fatal("a pressure of unknown reference was taken")
	}
	_, problems := w.account()
	i := slices.IndexFunc(problems, func(p table.Problem) bool { return strings.Contains(p.Problem, "gauge or absolute") })
	if i < 0 {
		t.Fatalf("no question about the reference: %+v", problems)
	}
	_, line, _ := strings.Cut(problems[i].Remedy, "register/channels.csv: ")
	w.write("register/channels.csv", "system,file,column,channel,index,unit,reference,sign,instrument,valid_from,valid_to\n"+line+"\n")
	if tally := w.run(); tally.Done["read"] != 1 {
		t.Errorf("read %d uploads, want 1", tally.Done["read"])
	}
	p, _ := w.samples("CR-01", "2025-03").Fixed32("suction_pressure_kpa")
	if p[0] != 262*1000+101325 {
		t.Errorf("suction %d Pa once the register says gauge, want %d", p[0], 262*1000+101325)
	}
}

func TestAFileThatMovesToAnotherSystemLeavesTheFirst(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.run()
	w.remove("uploads/CR-01/a.csv")
	w.write("uploads/CR-02/a.csv", log(logtest.Noon, 60, 0))
	w.run()
	if n := w.samples("CR-01", "2025-03").Rows(); n != 0 {
		t.Errorf("%d rows stay with the system that the file left", n)
	}
	if n := w.samples("CR-02", "2025-03").Rows(); n != 60 {
		t.Errorf("%d rows at the system that it went to", n)
	}
}

func TestAFileThatGrowsWhileItIsReadIsLeftForTheNextRun(t *testing.T) {
	w := newWorkspace(t)
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
	w.run()
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 80, 0))
	ctx := context.Background()
	st, err := store.OpenDir(w.folder)
	if err != nil {
		t.Fatal(err)
	}
	reg, err := register.Load(ctx, os.DirFS(filepath.Join(w.folder, "register")))
	if err != nil {
		t.Fatal(err)
	}
	w.stage = NewStage(w.data, st, reg, limits.Options{})
	rounds := w.stage.Rounds()
	run := func(r ...pipeline.Round) {
		if _, err := pipeline.Run(ctx, r, local.Runner{}, pipeline.Hooks{}); err != nil {
			t.Fatal(err)
		}
	}
	run(rounds[0])
	w.write("uploads/CR-01/a.csv", log(logtest.Noon, 90, 0)) // it grows between look and read
	run(rounds[1:]...)
	if n := w.samples("CR-01", "2025-03").Rows(); n != 60 {
		t.Errorf("%d rows while the file changes, want the 60 that were there", n)
	}
	_, problems := w.account()
	if !slices.ContainsFunc(problems, func(p table.Problem) bool { return strings.Contains(p.Problem, "while it was read") }) {
		t.Errorf("nobody says that it changed: %+v", problems)
	}
	w.run()
	if n := w.samples("CR-01", "2025-03").Rows(); n != 90 {
		t.Errorf("%d rows after the next run, want 90", n)
	}
}

func TestAFileThatVanishesBetweenTheRoundsIsLeftOut(t *testing.T) {
	for _, at := range []int{0, 1} { // before look does its jobs, before read
		w := newWorkspace(t)
		w.run()
		w.write("uploads/CR-01/a.csv", log(logtest.Noon, 60, 0))
		w.write("uploads/CR-01/b.csv", log(logtest.Noon.Add(2*time.Hour), 30, 0))
		w.write("uploads/nobody/c.csv", log(logtest.Noon.Add(4*time.Hour), 30, 0))
		ctx := context.Background()
		st, err := store.OpenDir(w.folder)
		if err != nil {
			t.Fatal(err)
		}
		reg, err := register.Load(ctx, os.DirFS(filepath.Join(w.folder, "register")))
		if err != nil {
			t.Fatal(err)
		}
		w.stage = NewStage(w.data, st, reg, limits.Options{})
		rounds := w.stage.Rounds()
		plan := rounds[at].Plan
		rounds[at].Plan = func(ctx context.Context) ([]pipeline.Job, error) {
			jobs, err := plan(ctx)
			w.remove("uploads/CR-01/a.csv")
			if at == 0 {
				w.remove("uploads/nobody/c.csv")
			}
			return jobs, err
		}
		if _, err := pipeline.Run(ctx, rounds, local.Runner{}, pipeline.Hooks{}); err != nil {
			t.Fatal(err)
		}
		if n := w.samples("CR-01", "2025-03").Rows(); n != 30 {
			t.Errorf("%d rows, want the 30 of the file that stayed", n)
		}
		_, problems := w.account()
		left := 0
		for _, p := range problems {
			if strings.Contains(p.Problem, "vanished") && p.Weight == weightLeftOut {
				left++
			}
		}
		if left != 2-at {
			t.Errorf("%d files said to have vanished: %+v", left, problems)
		}
	}
}

// Files of one sensor each are merged on time; columns nobody knows are kept once.
func TestOneFileForEachSensor(t *testing.T) {
	w := newWorkspace(t)
	one := func(header string, value, n, step int) string {
		out := "Time;" + header + "\n"
		for i := range n {
			out += fmt.Sprintf("%s;%d\n", logtest.Noon.Add(time.Duration(i*step)*time.Minute).Format(logtest.ISO), value+i)
		}
		return out
	}
	extras := strings.ReplaceAll(one("Suction temp [°C]", 1, 60, 1), "\n", ";7;8\n")
	w.write("uploads/CR-01/t1.csv", strings.Replace(extras, "7;8", "T;T", 1))
	w.write("uploads/CR-01/t2.csv", one("Liquid temp [°C]", 30, 30, 2))
	w.run()
	f := w.samples("CR-01", "2025-03")
	s, sOK := f.Fixed32("suction_temp_c")
	l, lOK := f.Fixed32("liquid_temp_c")
	if f.Rows() != 60 || !sOK.All() || s[2] != 3000 || !lOK.At(2) || l[2] != 31000 || lOK.At(3) {
		t.Errorf("%d rows, %d %d", f.Rows(), s[2], l[2])
	}
	x, err := w.data.ReadTable(context.Background(), table.Extras().Path("CR-01", "2025-03"))
	if err != nil || x.Rows() != 120 {
		t.Fatalf("%d extras, %v", x.Rows(), err)
	}
}
