package corpustest

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"strings"
	"testing/fstest"

	"rimelog/ingest/pass"
	"rimelog/ingest/understood"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// An Outcome is what a reader made of a file.
type Outcome int

// The outcomes.
const (
	Right   Outcome = iota // every value, in its channel
	Refused                // some values not taken, each accounted for
	Wrong                  // a stored value is not the true one, or something vanished
)

func (o Outcome) String() string { return [...]string{"right", "refused", "wrong"}[o] }

// A Verdict is how a reading compares with the truth.
type Verdict struct {
	Outcome Outcome
	Stored  int      // values stored in their channel
	AsFound int      // values kept in extras, because their column is not known
	Missed  int      // values not stored
	Faults  []string // of a wrong reading, the first few
	False   int      // values stored that are not true
	Reasons []string // of what was refused
	Asked   bool     // the reading asks for what is open
	Assumed bool     // the zone of the clock is open, and the reading says that it takes UTC
	Reading pass.Reading
}

// Register loads the register that a file's answers make.
func (f File) Register(ctx context.Context) (*register.Register, error) {
	var systems, channels bytes.Buffer
	if err := register.WriteSystems(&systems, []register.System{f.System}); err != nil {
		return nil, err
	}
	if err := register.WriteChannels(&channels, f.Channels); err != nil {
		return nil, err
	}
	var fsys fs.FS = fstest.MapFS{"systems.csv": {Data: systems.Bytes()}, "channels.csv": {Data: channels.Bytes()}}
	reg, err := register.Load(ctx, fsys)
	if err == nil && len(reg.Problems) > 0 {
		err = reg.Problems[0]
	}
	return reg, err
}

// Score reads a file and compares the reading with its truth.
func Score(ctx context.Context, f File) (Verdict, error) {
	reg, err := f.Register(ctx)
	if err != nil {
		return Verdict{}, err
	}
	r, err := readWhole(ctx, f, reg)
	if err != nil {
		return Verdict{}, err
	}
	return compare(f, r)
}

type place struct {
	utc    int64
	column string
}

// comparison holds what may be stored, and what was.
type comparison struct {
	Verdict
	steps      map[place][]int64
	numbers    map[int64][]float64
	markers    []float64
	unitInCell bool // a value may be kept as text, "4.05 bar"
	stored     map[place]bool
	found      map[int64]int // extras by time
}

func compare(f File, r pass.Reading) (Verdict, error) {
	c := comparison{
		Verdict: Verdict{Reading: r}, steps: map[place][]int64{}, numbers: map[int64][]float64{},
		markers: f.AsFound, unitInCell: f.Recipe.is("unit place", "cell"), stored: map[place]bool{}, found: map[int64]int{},
	}
	if c.Assumed = f.ZoneOpen && saysZone(r.Understanding); c.Assumed {
		f = f.onItsClock()
	}
	for _, v := range f.Values {
		at := place{v.UTC, v.Column}
		c.steps[at] = append(c.steps[at], v.Steps)
		c.numbers[v.UTC] = append(c.numbers[v.UTC], v.Number)
	}
	for _, part := range r.Parts {
		c.samples(part.Samples)
		c.extras(part.Extras)
		if err := c.refusals(part.Refusals); err != nil {
			return Verdict{}, err
		}
	}
	c.laws(f)
	c.decide(f)
	return c.Verdict, nil
}

// saysZone tells whether a reading asks for the zone of the clock.
func saysZone(u understood.File) bool {
	for _, q := range u.OpenQuestions {
		if strings.Contains(q.Question, "zone") {
			return true
		}
	}
	return false
}

// onItsClock is the truth of a file whose zone nobody knows, on the logger's clock.
func (f File) onItsClock() File {
	values := append([]Value{}, f.Values...)
	for i := range values {
		values[i].UTC = values[i].Local
	}
	f.Values = values
	return f
}

func (c *comparison) fault(format string, args ...any) {
	c.Outcome = Wrong
	if len(c.Faults) < 5 {
		c.Faults = append(c.Faults, fmt.Sprintf(format, args...))
	}
}

// samples compares every stored value of a channel.
func (c *comparison) samples(f *frame.Frame) {
	times := f.Times("time")
	for _, col := range f.Table().Columns[1:] {
		if !f.Has(col.Name) {
			continue
		}
		value, valid := mantissas(f, col)
		for i, utc := range times {
			if !valid(i) {
				continue
			}
			at := place{utc, col.Name}
			c.stored[at] = true
			c.Stored++
			if !contains(c.steps[at], value(i)) {
				c.False++
				c.fault("%s at %s is %d, want %v", col.Name, timeText(utc), value(i), c.steps[at])
			}
		}
	}
}

func mantissas(f *frame.Frame, col table.Column) (value func(i int) int64, valid func(i int) bool) {
	switch col.Kind {
	case table.Bit:
		b := f.Bits(col.Name)
		return func(i int) int64 { return int64(btoi(b.At(i))) }, b.Valid().At
	case table.Fixed64:
		v, ok := f.Fixed64(col.Name)
		return func(i int) int64 { return v[i] }, ok.At
	}
	v, ok := f.Fixed32(col.Name)
	return func(i int) int64 { return int64(v[i]) }, ok.At
}

func contains[T comparable](list []T, v T) bool {
	for _, w := range list {
		if w == v {
			return true
		}
	}
	return false
}

// extras compares numbers that are kept as found: each is one that stands in a
// line of its time.
func (c *comparison) extras(f *frame.Frame) {
	times, number, text := f.Times("time"), f.Floats(nil, "number"), f.Text("text")
	for i, utc := range times {
		if number[i] != number[i] {
			if t := text.At(i); t == "on" || t == "off" || c.unitInCell && strings.ContainsAny(t, "0123456789") {
				c.found[utc]++
			}
			continue
		}
		c.found[utc]++
		if !contains(c.numbers[utc], number[i]) && !contains(c.markers, number[i]) {
			c.fault("extra %q at %s is %v, want one of %v", f.Text("header").At(i), timeText(utc), number[i], c.numbers[utc])
		}
	}
}

func (c *comparison) refusals(f *frame.Frame) error {
	rows, err := frame.Rows[table.Refusal](f)
	for _, r := range rows {
		if !contains(c.Reasons, r.Reason) {
			c.Reasons = append(c.Reasons, r.Reason)
		}
	}
	return err
}

// laws checks that nothing vanished: the count of lines is the file's, and both
// accounting laws hold.
func (c *comparison) laws(f File) {
	r := c.Reading
	if f.Lines >= 0 && r.Lines.All != f.Lines {
		c.fault("%d lines, the file has %d", r.Lines.All, f.Lines)
	}
	if err := r.Lines.Check(); err != nil {
		c.fault("lines: %v", err)
	}
	if err := r.Values.Check(); err != nil {
		c.fault("values: %v", err)
	}
}

// mostColumns is how many values a line of the corpus holds at most.
const mostColumns = 8

// decide counts what was not stored. It may only be missing with a reason.
func (c *comparison) decide(f File) {
	missed := map[place]bool{}
	for _, v := range f.Values {
		at := place{v.UTC, v.Column}
		if c.stored[at] || v.Optional {
			continue
		}
		missed[at] = true
	}
	for at := range missed {
		if c.found[at.utc] > 0 {
			c.found[at.utc]--
			c.AsFound++
		} else {
			c.Missed++
		}
	}
	u := c.Reading.Understanding
	c.Asked = len(u.OpenQuestions) > 0 || u.Unreadable != ""
	if u.Unreadable != "" {
		c.Reasons = append(c.Reasons, u.Unreadable)
	}
	accounted := c.Reading.Values.Refused + c.Reading.Lines.Quarantined*mostColumns
	if u.Unreadable != "" {
		accounted = int64(len(f.Values))
	}
	switch {
	case int64(c.Missed) > accounted:
		c.fault("%d values are not stored, and only %d refused", c.Missed, accounted)
	case c.Outcome == Wrong:
	case c.Missed > 0 || c.AsFound > 0 || len(f.Values) == 0 || c.Assumed:
		c.Outcome = Refused
	}
}
