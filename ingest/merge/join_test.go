package merge

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"testing"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A law: sources joined say, for each time and column, what a map says that takes the
// sources one after the other; and what is told as lost is what the map held before.
func TestJoinIsWhatAMapHoldsInTheEnd(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 200 {
		want, lost := map[int64][2]int32{}, Lost{}
		var sources []Source
		for range 1 + rng.IntN(5) {
			sources = append(sources, drawnSource(t, rng, want, &lost))
		}
		got, told := map[int64][2]int32{}, Lost{}
		err := Join(table.Samples(), sources, func(_ int, _ string, n Lost) {
			told.Values, told.Different = told.Values+n.Values, told.Different+n.Different
		}, func(f *frame.Frame) error { return heldBy(f, got) })
		if err != nil {
			t.Fatal(err)
		}
		if !maps.Equal(got, want) || told != lost {
			t.Fatalf("joined %v, lost %+v; want %v, lost %+v", got, told, want, lost)
		}
	}
}

// none stands for a null.
const none = -1

// drawnSource draws a source of a few row groups, and puts its rows into the map.
func drawnSource(t *testing.T, rng *rand.Rand, want map[int64][2]int32, lost *Lost) Source {
	s := &memoryRun{}
	at := int64(rng.IntN(10))
	for range 1 + rng.IntN(4) {
		var times []int64
		var column [2][]int32
		var valid [2][]bool
		for range 1 + rng.IntN(6) {
			at += 1 + int64(rng.IntN(4))
			times = append(times, at)
			row, held := want[at]
			if !held {
				row = [2]int32{none, none}
			}
			for c := range column {
				v, ok := int32(rng.IntN(3)), rng.IntN(4) > 0
				column[c], valid[c] = append(column[c], v), append(valid[c], ok)
				if !ok {
					continue
				}
				if row[c] != none {
					lost.Values++
					if row[c] != v {
						lost.Different++
					}
				}
				row[c] = v
			}
			want[at] = row
		}
		f, err := frame.Lend(table.Samples(), []frame.Lent{
			{Name: "time", Int64: times},
			{Name: "suction_temp_c", Int32: column[0], Valid: valid[0]},
			{Name: "power_kw", Int32: column[1], Valid: valid[1]},
		})
		if err != nil {
			t.Fatal(err)
		}
		s.frames = append(s.frames, f)
	}
	return s
}

// heldBy puts the rows of a frame into a map; each must come once, in order.
func heldBy(f *frame.Frame, got map[int64][2]int32) error {
	times := TimesOf(f)
	if !slices.IsSorted(times) {
		return fmt.Errorf("times %v", times)
	}
	for c, name := range []string{"suction_temp_c", "power_kw"} {
		if !f.Has(name) {
			continue
		}
		values, valid := f.Fixed32(name)
		for i, at := range times {
			row, ok := got[at]
			if !ok {
				row = [2]int32{none, none}
			}
			if valid.At(i) {
				row[c] = values[i]
			}
			got[at] = row
		}
	}
	return nil
}
