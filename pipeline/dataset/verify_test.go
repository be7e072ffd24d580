package dataset

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/frame/frametest"
	"rimelog/pipeline/table"
)

// ready is a workspace after the long nights.
func ready(t testing.TB) (*Dataset, string) {
	t.Helper()
	st, root := newDir(t)
	if err := runNights(t, st, longNights); err != nil {
		t.Fatal(err)
	}
	return New(st), root
}

func edit(t testing.TB, name string, change func([]byte) []byte) {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, change(b), 0o644); err != nil {
		t.Fatal(err)
	}
}

func flipMiddle(b []byte) []byte { b[len(b)/2] ^= 1; return b }

// TestVerifyFinds damages one thing at a time; verify names it, and after
// repair and another run everything is well again.
func TestVerifyFinds(t *testing.T) {
	const march = "dataset/samples/system=a/month=2024-03/data.parquet"
	for name, c := range map[string]struct {
		damage        func(t *testing.T, root string)
		file, problem string
	}{
		"a bit": {func(t *testing.T, root string) { edit(t, filepath.Join(root, march), flipMiddle) },
			march, "other bytes"},
		"a cut": {func(t *testing.T, root string) {
			edit(t, filepath.Join(root, march), func(b []byte) []byte { return b[:len(b)-1] })
		}, march, "bytes; the ledger says"},
		"a missing file": {func(t *testing.T, root string) { remove(t, filepath.Join(root, march)) },
			march, "is missing"},
		"another month's file": {func(t *testing.T, root string) {
			april, err := os.ReadFile(filepath.Join(root, strings.Replace(march, "-03", "-04", 1)))
			if err != nil {
				t.Fatal(err)
			}
			edit(t, filepath.Join(root, march), func([]byte) []byte { return april })
		}, march, "the ledger says"},
		"a stray file": {func(t *testing.T, root string) {
			b, err := os.ReadFile(filepath.Join(root, march))
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(root, filepath.Dir(march), "copy.parquet"), b, 0o644); err != nil {
				t.Fatal(err)
			}
		}, "dataset/samples/system=a/month=2024-03/copy.parquet", "in no generation"},
		"a page": {func(t *testing.T, root string) { edit(t, filepath.Join(root, "report/index.html"), flipMiddle) },
			"report/index.html", "other bytes"},
		"a missing part": {func(t *testing.T, root string) { remove(t, partOf(t, root, "a")) },
			"dataset/parts/", "is missing"},
		"a damaged part": {func(t *testing.T, root string) { edit(t, partOf(t, root, "a"), flipMiddle) },
			"dataset/parts/", "other bytes"},
	} {
		t.Run(name, func(t *testing.T) {
			d, root := ready(t)
			want := tree(t, root)
			c.damage(t, root)
			found(t, d, false, c.file, c.problem)
			found(t, d, true, c.file, c.problem)
			if err := rerun(t, d); err != nil {
				t.Fatal(err)
			}
			checkVerify(t, d, "after repair and a run")
			got := tree(t, root)
			for n := range got {
				if strings.HasPrefix(n, "run/") {
					delete(got, n)
				}
			}
			sameTree(t, got, want)
		})
	}
}

func rerun(t *testing.T, d *Dataset) error {
	return longNights[len(longNights)-1].run(t.Context(), t, d)
}

func remove(t testing.TB, name string) {
	t.Helper()
	if err := os.Remove(name); err != nil {
		t.Fatal(err)
	}
}

// partOf finds the part that the newest generation of a system rests on.
func partOf(t testing.TB, root, system string) string {
	t.Helper()
	fps := fpOf(fmt.Sprint("reading", system, longNights[len(longNights)-1][system]))
	files, err := filepath.Glob(filepath.Join(root, parts, "*"+fps.Short()+"*"))
	if err != nil || len(files) != 1 {
		t.Fatalf("parts %v, %v", files, err)
	}
	return files[0]
}

// found expects exactly one problem.
func found(t *testing.T, d *Dataset, repair bool, file, problem string) {
	t.Helper()
	v, err := d.Verify(t.Context(), repair)
	if err != nil {
		t.Fatal(err)
	}
	if len(v.Problems) != 1 || !strings.HasPrefix(v.Problems[0].File, file) ||
		!strings.Contains(v.Problems[0].Problem, problem) || v.Problems[0].Remedy == "" {
		t.Errorf("repair %v: found %+v, want %q of %s", repair, v.Problems, problem, file)
	}
}

func TestVerdictCounts(t *testing.T) {
	d, _ := ready(t)
	v := checkVerify(t, d, "after the nights")
	if v.Units != 4 || v.Files != 7 || v.Parts != 2 || v.Uploads != 2 || v.Rows != 102 ||
		v.Lines != (Lines{All: 102, Data: 100, Header: 2}) || v.Values != (Values{Read: 100, Stored: 100}) {
		t.Errorf("%+v", v)
	}
}

// TestVerifyChecksTheAccounts commits uploads whose lines or values do not add up.
func TestVerifyChecksTheAccounts(t *testing.T) {
	for name, u := range map[string]table.Upload{
		"lines":  {Path: "depot/x.csv", Lines: 3, Data: 2},
		"values": {Path: "depot/x.csv", Values: 3, Stored: 2},
	} {
		d, _, _ := workspace(t)
		f, err := frame.FromRows(table.Uploads(), []table.Upload{u})
		if err != nil {
			t.Fatal(err)
		}
		file, err := d.StageFrame(ctxb, fpOf(name), join, table.Uploads().Path("", ""), f, nil)
		if err != nil {
			t.Fatal(err)
		}
		publish(t, d, commit(t, d, Generation{Unit: FleetUnit}.With(file)))
		found(t, d, false, "dataset/uploads/data.parquet", "depot/x.csv does not add up")
	}
}

// TestVerifyChecksEntries commits a system on an upload that does not add up,
// and on one whose entry is not there.
func TestVerifyChecksEntries(t *testing.T) {
	d, _, _ := workspace(t)
	e := Entry{Upload: string(fpOf("u")), Reading: string(fpOf("r")), Values: Values{Read: 1}}
	if _, err := d.PutReading(ctxb, look, e); err != nil {
		t.Fatal(err)
	}
	commit(t, d, Generation{Unit: SystemUnit("a"), Parts: []Part{{e.Upload, e.Reading, "x.csv"}}})
	found(t, d, false, "dataset/ledger/uploads/", "x.csv does not add up")
	d, _, _ = workspace(t)
	commit(t, d, Generation{Unit: SystemUnit("a"), Parts: []Part{{e.Upload, e.Reading, "x.csv"}}})
	found(t, d, false, "dataset/ledger/uploads/", "is missing")
}

// TestVerifyChecksRows commits files whose rows are not where they belong.
func TestVerifyChecksRows(t *testing.T) {
	march := func(rows ...int64) *frame.Frame {
		b := frame.NewBuilder(table.Samples(), len(rows))
		for _, r := range rows {
			b.Column("time").Int64(march2024 + r)
		}
		return frametest.Build(t, b)
	}
	noTime := frame.NewBuilder(table.Samples(), 1)
	noTime.Column("power_kw").Int32(1)
	for name, c := range map[string]struct {
		f       *frame.Frame
		problem string
	}{
		"unsorted":    {march(5, 4), "row 1 is earlier"},
		"twice":       {march(5, 5), "row 1 has the time of the row before"},
		"other month": {march(-1, 5), "rows of month 2024-02"},
		"no time":     {frametest.Build(t, noTime), "rows without a time"},
		"other table": {frame.Empty(table.Extras()), "is of table extras"},
	} {
		t.Run(name, func(t *testing.T) {
			d, _, _ := workspace(t)
			file, err := d.StageFrame(ctxb, fpOf(name), join, pathOf("a", 3), c.f, nil)
			if err != nil {
				t.Fatal(err)
			}
			if name == "other table" {
				file.Table = table.Samples().Name
			}
			publish(t, d, commit(t, d, Generation{Unit: SystemUnit("a")}.With(file)))
			found(t, d, false, "dataset/samples/", c.problem)
		})
	}
}

// TestVerifyChecksTheLedger damages a generation: nothing is moved for that.
func TestVerifyChecksTheLedger(t *testing.T) {
	d, root := ready(t)
	name := "dataset/ledger/systems/a/000003.json"
	edit(t, filepath.Join(root, name), func(b []byte) []byte { return bytes.Replace(b, []byte(`"n":3`), []byte(`"n":2`), 1) })
	before := tree(t, root)
	for _, repair := range []bool{false, true} {
		v, err := d.Verify(t.Context(), repair)
		if err != nil || len(v.Problems) != 1 || v.Problems[0].File != name {
			t.Errorf("repair %v: found %+v, %v", repair, v.Problems, err)
		}
	}
	sameTree(t, tree(t, root), before) // what it listed is not taken for strays
}

// TestRepairFinishesAPublication cuts a publication off before its first move.
func TestRepairFinishesAPublication(t *testing.T) {
	d, _, _ := workspace(t)
	commit(t, d, Generation{Unit: SystemUnit("a")}.With(stageMonth(t, d, "a", 3, 1)))
	found(t, d, false, "dataset/samples/", "is missing")
	if v, err := d.Verify(t.Context(), true); err != nil || !v.OK() {
		t.Errorf("%+v, %v", v, err)
	}
}
