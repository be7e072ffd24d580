package analysis

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"time"

	"rimelog/analysis/condition"
	"rimelog/analysis/cycle"
	"rimelog/analysis/steady"
	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// Notes that windows and visits leave beside their rows.
const (
	noteStays   = "rimelog.stays"   // of a month: []steady.Stay
	noteLacks   = "rimelog.lacks"   // of a month: []lack
	noteFacts   = "rimelog.facts"   // of a month: []trust.Facts
	noteDoubts  = "rimelog.doubts"  // of a system: []trust.Facts, those with doubts
	noteUnused  = "rimelog.unused"  // of a system: []unused
	noteSparse  = "rimelog.sparse"  // of a system: sparse
	noteWatches = "rimelog.watches" // of a month: []condition.Watch

	// Of a system, month by month, see monthNotes: what was reviewed.
	noteReviewed = "rimelog.reviewed" // of months that a review may ask for: []trust.Facts
	noteSaid     = "rimelog.said"     // of all months: []saidRun
)

// A lack is a quantity that could not be worked out in samples or windows of a
// month.
type lack struct {
	Quantity string `json:"quantity"`
	Rows     int    `json:"rows"`
	First    int64  `json:"first"` // time of the first row, microseconds since 1970
	Reason   string `json:"reason"`
}

// An unused visit is one that cannot count for trends, and could if the register
// said more.
type unused struct {
	Start  time.Time `json:"start"`
	Reason string    `json:"reason"`
}

// context around a month is how far beyond it samples are looked at.
const around = 24 * time.Hour

// A monthly is what windows makes of a month of a system.
type monthly struct {
	stays   []steady.Stay
	windows []table.Window
	phases  []table.Phase
	lacks   []lack
	facts   []trust.Facts
	watches []condition.Watch
}

// makeWindows works out one month of one system, filling by filling.
func (s *Stage) makeWindows(ctx context.Context, p *systemPlan, m monthPlan) error {
	f, err := s.samples(ctx, m, append(cycle.Needed(), valveOpening)...)
	if err != nil {
		return err
	}
	if err := s.spans(ctx, m.sources); err != nil {
		return err
	}
	own, err := s.logged(ctx, m)
	if err != nil {
		return err
	}
	made := monthly{stays: []steady.Stay{}, windows: []table.Window{}, lacks: []lack{}, facts: []trust.Facts{}, watches: []condition.Watch{}}
	for _, part := range s.fillings(p.system, m.month) {
		earlier, err := s.earlier(ctx, part, m)
		if err != nil {
			return err
		}
		s.work(&made, part, f.Between("time", part.from, part.to), earlier, m.sources, own)
	}
	note, err := notes(map[string]any{noteStays: made.stays, noteLacks: made.lacks, noteFacts: made.facts, noteWatches: made.watches})
	if err != nil {
		return err
	}
	if err := stageRows(ctx, s.Dataset, m.running, table.Running(), made.phases); err != nil {
		return err
	}
	out, err := frame.FromRows(table.Windows(), made.windows)
	if err != nil {
		return err
	}
	_, err = s.Dataset.StageFrame(ctx, m.fp, m.step, m.path, out, note)
	return err
}

// work adds what the samples of one filling give.
func (s *Stage) work(to *monthly, p filling, f *frame.Frame, earlier steady.Earlier, sources []source, own []trust.Logged) {
	circuit, err := cycle.NewCircuit(p.system)
	if err != nil {
		circuit.Refrigerant = nil // the register's problem says so; every row's lack does too
	}
	columns, _ := s.columns.Get().(*cycle.Columns)
	columns = cycle.Read(f, columns)
	defer s.columns.Put(columns)
	screened := trust.Screen(columns, siteOf(circuit, sources))
	first, last := ownRows(columns.Time, p.month)
	to.lacks = append(to.lacks, lacksOf(columns, circuit.Derive(columns, first, last))...)
	stays, windows := steady.CutAfter(earlier, columns, p.system.Zone, s.Options.steady())
	known, events := newRoster(circuit.Generic(), sources), s.Register.Events(p.system.ID)
	to.windows = slices.Grow(to.windows, len(windows))
	for _, w := range windows {
		if w.Start < p.month.From || w.Start >= p.month.To {
			continue
		}
		in := known.at(w.Start)
		in.Blend = circuit.BlendDoubt(events, time.UnixMicro(w.Start))
		row, more := w.Row(circuit, in)
		to.windows = append(to.windows, row)
		to.lacks = addLacks(to.lacks, w.Start, more)
	}
	to.phases = append(to.phases, steady.Phases(columns, circuit, stays, p.month.From, p.month.To, s.Options.steady())...)
	stays = inMonth(stays, p.month)
	to.stays = append(to.stays, stays...)
	to.facts = append(to.facts, looked(circuit, columns, stays, sources, known, screened, own)...)
	to.watches = append(to.watches, s.watched(p.system, f, columns, stays)...)
}

// samples reads columns of a month and of a day on either side.
func (s *Stage) samples(ctx context.Context, m monthPlan, columns ...string) (*frame.Frame, error) {
	var parts []*frame.Frame
	for _, file := range m.samples {
		f, err := s.recent.read(file, columns, func() (*frame.Frame, error) { return s.Dataset.ReadFile(ctx, file, columns...) })
		if err != nil {
			return nil, err
		}
		parts = append(parts, f.Between("time", m.month.From-around.Microseconds(), m.month.To+around.Microseconds()))
	}
	return frame.Concat(parts...)
}

func inMonth(stays []steady.Stay, m dataset.Month) []steady.Stay {
	out := []steady.Stay{}
	for _, s := range stays {
		if s.Start >= m.From && s.Start < m.To {
			out = append(out, s)
		}
	}
	return out
}

// ownRows is the range of rows that lie in the month itself.
func ownRows(t []int64, m dataset.Month) (from, to int) {
	from, _ = slices.BinarySearch(t, m.From)
	to, _ = slices.BinarySearch(t, m.To)
	return from, to
}

func lacksOf(c *cycle.Columns, lacks []cycle.Lack) (out []lack) {
	for _, l := range lacks {
		out = append(out, lack{l.Quantity.String(), l.Rows, c.Time[l.First], l.Reason})
	}
	return out
}

// addLacks sums what was lacking in windows by quantity.
func addLacks(to []lack, at int64, more []cycle.Lack) []lack {
next:
	for _, l := range more {
		if l.Quantity == cycle.CarnotFraction {
			continue // left out by rule, not for want of anything
		}
		for i := range to {
			if to[i].Quantity == l.Quantity.String() {
				to[i].Rows += l.Rows
				continue next
			}
		}
		to = append(to, lack{l.Quantity.String(), l.Rows, at, l.Reason})
	}
	return to
}

// unusedOf lists the visits with windows that are not used all the same.
func unusedOf(visits []table.Visit) []unused {
	out := []unused{}
	for _, v := range visits {
		if v.Use == table.UseNone && v.Windows > 0 {
			out = append(out, unused{v.Start, v.Reason})
		}
	}
	return out
}

// read returns the rows of a file: of its columns those that a row has.
func read[Row any](ctx context.Context, d *dataset.Dataset, f dataset.File) ([]Row, error) {
	var columns []string
	for _, c := range table.ColumnsOf(reflect.TypeFor[Row]()) {
		columns = append(columns, c.Name)
	}
	fr, err := d.ReadFile(ctx, f, columns...)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.Path, err)
	}
	return frame.Rows[Row](fr)
}

// rowsOfResult reads what a job made of a system.
func rowsOfResult[Row any](ctx context.Context, s *Stage, g dataset.Generation, r result) ([]Row, error) {
	f, err := s.file(ctx, g, r)
	if err != nil {
		return nil, err
	}
	return read[Row](ctx, s.Dataset, f)
}
