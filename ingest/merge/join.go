package merge

import (
	"cmp"
	"math"
	"slices"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// joinSamples makes one row for each time of the frames, value by value: of two
// values that of the later frame counts. Frames may be nil. It tells, by frame and
// column, what was given in vain.
func joinSamples(frames []*frame.Frame, tell func(int, string, Lost)) (*frame.Frame, error) {
	if f := alone(frames); f != nil {
		return f, nil
	}
	m := mergeTimes(frames)
	list := []frame.Lent{{Name: samples.Columns[0].Name, Int64: m.times}}
	for _, c := range samples.Columns[1:] {
		l := frame.Lent{Name: c.Name}
		lost := make([]Lost, len(frames))
		switch c.Kind {
		case table.Fixed32:
			l.Int32, l.Valid = joinColumn(m, frames, lost, c.Name, func(f *frame.Frame) []int32 { v, _ := f.Fixed32(c.Name); return v })
		case table.Fixed64:
			l.Int64, l.Valid = joinColumn(m, frames, lost, c.Name, func(f *frame.Frame) []int64 { v, _ := f.Fixed64(c.Name); return v })
		case table.Bit:
			l.Int64, l.Valid = joinColumn(m, frames, lost, c.Name, func(f *frame.Frame) []int64 { return bitsOf(f, c.Name) })
		}
		if l.Valid == nil {
			continue
		}
		list = append(list, l)
		for i, n := range lost {
			if n.Values > 0 {
				tell(i, c.Name, n)
			}
		}
	}
	return frame.Lend(samples, list)
}

// alone is the only frame that has rows; nil where several do.
func alone(frames []*frame.Frame) *frame.Frame {
	var only *frame.Frame
	for _, f := range frames {
		if f == nil || f.Rows() == 0 {
			continue
		}
		if only != nil {
			return nil
		}
		only = f
	}
	return only
}

// A merged is the union of the frames' times, and where each frame's rows go.
type merged struct {
	times []int64
	place [][]int32 // by frame and row
}

func mergeTimes(frames []*frame.Frame) merged {
	m := merged{place: make([][]int32, len(frames))}
	for _, f := range frames {
		if f != nil {
			m.times = append(m.times, TimesOf(f)...)
		}
	}
	slices.Sort(m.times)
	m.times = slices.Compact(m.times)
	for i, f := range frames {
		if f == nil {
			continue
		}
		at := 0
		for _, t := range TimesOf(f) {
			for m.times[at] < t {
				at++
			}
			m.place[i] = append(m.place[i], int32(at))
		}
	}
	return m
}

// joinColumn gives every time the value of the last frame that has one; nothing where
// none has any.
func joinColumn[V comparable](m merged, frames []*frame.Frame, lost []Lost, name string, get func(*frame.Frame) []V) (values []V, valid []bool) {
	held := make([]int32, len(m.times))
	for k, f := range frames {
		if f == nil || !f.Has(name) {
			continue
		}
		if valid == nil {
			values, valid = make([]V, len(m.times)), make([]bool, len(m.times))
		}
		v, ok := get(f), f.Valid(name)
		for i, at := range m.place[k] {
			if !ok.At(i) {
				continue
			}
			if valid[at] {
				before := &lost[held[at]]
				before.Values++
				if values[at] != v[i] {
					before.Different++
				}
			}
			values[at], valid[at], held[at] = v[i], true, int32(k)
		}
	}
	return values, valid
}

func bitsOf(f *frame.Frame, name string) []int64 {
	b := f.Bits(name)
	v := make([]int64, b.Len())
	for i := range v {
		if b.At(i) {
			v[i] = 1
		}
	}
	return v
}

// joinExtras makes one row for each time and header of the frames.
func joinExtras(frames []*frame.Frame, tell func(int, string, Lost)) (*frame.Frame, error) {
	if f := alone(frames); f != nil {
		return f, nil
	}
	type key struct {
		time   int64
		header string
	}
	held := map[key]int{}
	kept := map[key]table.Extra{}
	for i, f := range frames {
		if f == nil {
			continue
		}
		rows, err := frame.Rows[table.Extra](f.Widen(extras))
		if err != nil {
			return nil, err
		}
		for _, e := range rows {
			k := key{e.Time.UnixMicro(), e.Header}
			if before, ok := kept[k]; ok {
				n := Lost{Values: 1}
				if before.Text != e.Text || before.Number != e.Number && !(math.IsNaN(before.Number) && math.IsNaN(e.Number)) {
					n.Different = 1
				}
				tell(held[k], e.Header, n)
			}
			held[k], kept[k] = i, e
		}
	}
	list := make([]table.Extra, 0, len(kept))
	for _, e := range kept {
		list = append(list, e)
	}
	slices.SortFunc(list, func(a, b table.Extra) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.Header, b.Header))
	})
	return frame.FromRows(extras, list)
}
