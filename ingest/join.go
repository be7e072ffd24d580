package ingest

import (
	"cmp"
	"encoding/json"
	"math"
	"slices"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A joinPart is what one upload says of one system in one month.
type joinPart struct {
	upload string
	last   int64 // when the upload's data for the system end
	rows   *frame.Frame
}

// A tally says, by upload, how many of its values another upload holds already,
// and of how many the other holds a different one.
type tally map[string]lost

type lost struct {
	Values    int64 `json:"values"`
	Different int64 `json:"different,omitempty"`
}

func (t tally) add(upload string, different bool) {
	l := t[upload]
	l.Values++
	if different {
		l.Different++
	}
	t[upload] = l
}

// tallyNote is the footer key that a joined table carries its tally under.
const tallyNote = "rimelog.tally"

func (t tally) notes() map[string]string {
	if len(t) == 0 {
		return nil
	}
	b, err := json.Marshal(t) // keys in order
	if err != nil {
		panic("ingest: " + err.Error()) // only types that cannot fail come here
	}
	return map[string]string{tallyNote: string(b)}
}

// rank orders parts: of two values for one time, the one counts whose part comes
// later. A part whose data end later is the later download; a tie goes by hash.
func rank(parts []joinPart) {
	slices.SortFunc(parts, func(a, b joinPart) int {
		return cmp.Or(cmp.Compare(a.last, b.last), cmp.Compare(a.upload, b.upload))
	})
}

// joinSamples makes one row for each time of the parts, value by value.
func joinSamples(parts []joinPart) (*frame.Frame, tally, error) {
	rank(parts)
	m := mergeTimes(parts)
	lost := tally{}
	b := frame.NewBuilder(sampleTable, len(m.times))
	b.Column(sampleTable.Columns[0].Name).Int64s(m.times, nil)
	for _, c := range sampleTable.Columns[1:] {
		switch c.Kind {
		case table.Fixed32:
			v, valid := joinColumn(m, parts, lost, func(f *frame.Frame) ([]int32, frame.Valid) { return f.Fixed32(c.Name) })
			b.Column(c.Name).Int32s(v, valid)
		case table.Fixed64:
			v, valid := joinColumn(m, parts, lost, func(f *frame.Frame) ([]int64, frame.Valid) { return f.Fixed64(c.Name) })
			b.Column(c.Name).Int64s(v, valid)
		case table.Bit:
			v, valid := joinColumn(m, parts, lost, func(f *frame.Frame) ([]bool, frame.Valid) { return bitsOf(f, c.Name) })
			appendStates(b.Column(c.Name), v, valid)
		}
	}
	f, err := b.Build()
	return f, lost, err
}

// A merge is the union of the parts' times, and where each part's rows go.
type merge struct {
	times []int64
	place [][]int32 // by part and row
}

func mergeTimes(parts []joinPart) merge {
	var m merge
	for _, p := range parts {
		m.times = append(m.times, p.rows.Times(sampleTable.Columns[0].Name)...)
	}
	slices.Sort(m.times)
	m.times = slices.Compact(m.times)
	for _, p := range parts {
		at, place := 0, []int32(nil)
		for _, t := range p.rows.Times(sampleTable.Columns[0].Name) {
			for m.times[at] < t {
				at++
			}
			place = append(place, int32(at))
		}
		m.place = append(m.place, place)
	}
	return m
}

// joinColumn gives every time the value of the last part that has one. Parts are
// in rank.
func joinColumn[V comparable](m merge, parts []joinPart, lost tally, get func(*frame.Frame) ([]V, frame.Valid)) ([]V, []bool) {
	values, valid := make([]V, len(m.times)), make([]bool, len(m.times))
	held := make([]int32, len(m.times))
	for k, p := range parts {
		v, ok := get(p.rows)
		if ok.None() {
			continue
		}
		for i, at := range m.place[k] {
			if !ok.At(i) {
				continue
			}
			if valid[at] {
				lost.add(parts[held[at]].upload, values[at] != v[i])
			}
			values[at], valid[at], held[at] = v[i], true, int32(k)
		}
	}
	return values, valid
}

func bitsOf(f *frame.Frame, name string) ([]bool, frame.Valid) {
	b := f.Bits(name)
	v := make([]bool, b.Len())
	for i := range v {
		v[i] = b.At(i)
	}
	return v, b.Valid()
}

func appendStates(c *frame.Column, v, valid []bool) {
	for i := range v {
		if valid[i] {
			c.Bit(v[i])
		} else {
			c.Null()
		}
	}
}

// joinExtras makes one row for each time and header of the parts.
func joinExtras(parts []joinPart) (*frame.Frame, tally, error) {
	if f, err := apart(parts); f != nil || err != nil {
		return f, tally{}, err
	}
	rank(parts)
	type key struct {
		time   int64
		header string
	}
	lost := tally{}
	held := map[key]string{}
	rows := map[key]table.Extra{}
	for _, p := range parts {
		extras, err := frame.Rows[table.Extra](p.rows)
		if err != nil {
			return nil, nil, err
		}
		for _, e := range extras {
			k := key{e.Time.UnixMicro(), e.Header}
			if upload, ok := held[k]; ok {
				before := rows[k]
				same := before.Text == e.Text && (before.Number == e.Number || math.IsNaN(before.Number) && math.IsNaN(e.Number))
				lost.add(upload, !same)
			}
			held[k], rows[k] = p.upload, e
		}
	}
	list := make([]table.Extra, 0, len(rows))
	for _, e := range rows {
		list = append(list, e)
	}
	slices.SortFunc(list, func(a, b table.Extra) int {
		return cmp.Or(a.Time.Compare(b.Time), cmp.Compare(a.Header, b.Header))
	})
	f, err := frame.FromRows(extrasTable, list)
	return f, lost, err
}

// apart puts parts one behind the other where no two hold the same time.
func apart(parts []joinPart) (*frame.Frame, error) {
	times := func(p joinPart) []int64 { return p.rows.Times(p.rows.Table().Columns[0].Name) }
	var filled []joinPart
	for _, p := range parts {
		if p.rows.Rows() > 0 {
			filled = append(filled, p)
		}
	}
	if len(filled) == 0 {
		return nil, nil
	}
	slices.SortFunc(filled, func(a, b joinPart) int { return cmp.Compare(times(a)[0], times(b)[0]) })
	frames := []*frame.Frame{filled[0].rows}
	for i, p := range filled[1:] {
		before := times(filled[i])
		if times(p)[0] <= before[len(before)-1] {
			return nil, nil
		}
		frames = append(frames, p.rows)
	}
	return frame.Concat(frames...)
}

// joinRefusals puts the refusals of a system's uploads one below the other, by
// upload and line.
func joinRefusals(parts []joinPart) (*frame.Frame, error) {
	slices.SortFunc(parts, func(a, b joinPart) int { return cmp.Compare(a.upload, b.upload) })
	frames := make([]*frame.Frame, 0, len(parts))
	for _, p := range parts {
		frames = append(frames, p.rows)
	}
	if len(frames) == 0 {
		return frame.Empty(table.Refusals()), nil
	}
	return frame.Concat(frames...)
}
