package merge

import (
	"errors"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
	"testing"
)

// TestMoreRunsThanAreMergedAtOnce merges runs that all overlap, on disk, in steps.
func TestMoreRunsThanAreMergedAtOnce(t *testing.T) {
	st, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	to := &Parts{Ctx: t.Context(), Data: dataset.New(st)}
	s, err := to.Shelf(table.Samples())
	if err != nil {
		t.Fatal(err)
	}
	const runs, rows = 3*MostMerged + 5, 40
	want := map[int64]int32{}
	for r := range runs {
		var times []int64
		var power []int32
		for i := range rows {
			at := int64(i*10+r%7) * 1_000_000
			times, power = append(times, at), append(power, int32(r*100+i))
			want[at] = int32(r*100 + i) // the later run's counts
		}
		f, err := frame.Lend(table.Samples(), []frame.Lent{{Name: "time", Int64: times}, {Name: "power_kw", Int32: power}})
		if err := errors.Join(err, s.Append(f), s.End()); err != nil {
			t.Fatal(err)
		}
	}
	twice, got := int64(0), map[int64]int32{}
	err = Runs(table.Samples(), s, to.Shelf, func(_ int, column string, n Lost) { twice += n.Values }, func(f *frame.Frame) error {
		power, _ := f.Fixed32("power_kw")
		for i, at := range f.Times("time") {
			if _, there := got[at]; there {
				t.Errorf("time %d comes twice", at)
			}
			got[at] = power[i]
		}
		return nil
	})
	if err := errors.Join(err, s.Close()); err != nil {
		t.Fatal(err)
	}
	for at, v := range want {
		if got[at] != v {
			t.Fatalf("at %d: %d, want %d", at, got[at], v)
		}
	}
	if len(got) != len(want) || twice != int64(runs*rows-len(want)) {
		t.Errorf("%d rows, %d of them said twice; want %d and %d", len(got), twice, len(want), runs*rows-len(want))
	}
	left, err := st.List(t.Context(), "run")
	if err != nil || len(left) != 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
