package export

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"iter"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A Selection says which rows to copy. Its zero value is everything.
type Selection struct {
	// Systems are the IDs whose rows are copied; nil is all. Of tables of the whole
	// fleet, rows that name another system are left out, and tables whose rows name
	// none are left out whole: nobody gets to see whose figures are in them.
	Systems []string
	// From and To bound the rows by their table's first column of times, From <= t < To;
	// a zero time is no bound. Tables without times are copied whole.
	From, To time.Time
}

// Columns returns a table as it is copied: with the system before all other columns
// where the dataset has it in the path.
func Columns(t table.Table) table.Table {
	if t.Partition == table.ByFleet {
		return t
	}
	return frame.WithTextColumn(t, systemColumn, systemDoc)
}

const (
	systemColumn = "system"
	systemDoc    = "the system"
)

// Allows tells whether anything of a table is copied under the selection.
func (s Selection) Allows(t table.Table) bool {
	return s.Systems == nil || t.Partition != table.ByFleet || owner(t) != ""
}

// owner is the column of a fleet table that says whose a row is.
func owner(t table.Table) string {
	for _, name := range []string{"system", "systems"} {
		if t.Index(name) >= 0 {
			return name
		}
	}
	return ""
}

// Rows reads a table's selected rows, file by file: systems in order of their IDs, each
// in order of time. A table that was not made yet has none.
func (s Selection) Rows(ctx context.Context, d *dataset.Dataset, t table.Table) iter.Seq2[*frame.Frame, error] {
	return func(yield func(*frame.Frame, error) bool) {
		files, err := s.files(ctx, d, t)
		if err != nil {
			yield(nil, err)
			return
		}
		for _, f := range files {
			rows, err := d.ReadTable(ctx, f.Path)
			if errors.Is(err, fs.ErrNotExist) {
				err = fmt.Errorf("%s is not published: run again: %w", f.Path, err)
			}
			if err == nil {
				rows = s.cut(t, rows, f.Path)
			}
			if !yield(rows, err) || err != nil {
				return
			}
		}
	}
}

// files are the live files of a table that may hold selected rows.
func (s Selection) files(ctx context.Context, d *dataset.Dataset, t table.Table) ([]dataset.File, error) {
	units := []string{dataset.FleetUnit}
	if t.Partition != table.ByFleet {
		var err error
		if units, err = s.units(ctx, d); err != nil {
			return nil, err
		}
	}
	var files []dataset.File
	for _, u := range units {
		g, err := d.Newest(ctx, u)
		if err != nil {
			return nil, err
		}
		for _, f := range g.Files {
			if f.Table == t.Name && f.Rows > 0 && s.month(f.Path) {
				files = append(files, f)
			}
		}
	}
	return files, nil
}

func (s Selection) units(ctx context.Context, d *dataset.Dataset) ([]string, error) {
	all, err := d.Units(ctx)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(all, func(u string) bool {
		id, ok := strings.CutPrefix(u, dataset.SystemUnit(""))
		return !ok || !s.has(id)
	}), nil
}

func (s Selection) has(id string) bool { return s.Systems == nil || slices.Contains(s.Systems, id) }

// month tells whether a file's month, if it has one, meets the period.
func (s Selection) month(path string) bool {
	m, err := dataset.ParseMonth(inPath(path, "month"))
	return err != nil || (s.From.IsZero() || m.To > s.From.UnixMicro()) && (s.To.IsZero() || m.From < s.To.UnixMicro())
}

// inPath is what a path says for a key, as in key=value.
func inPath(path, key string) string {
	for _, step := range strings.Split(path, "/") {
		if v, ok := strings.CutPrefix(step, key+"="); ok {
			return v
		}
	}
	return ""
}

// cut leaves the selected rows of a file, with their system.
func (s Selection) cut(t table.Table, f *frame.Frame, path string) *frame.Frame {
	keep := s.rule(t, f)
	rows := make([]int, 0, f.Rows())
	for i := range f.Rows() {
		if keep(i) {
			rows = append(rows, i)
		}
	}
	if len(rows) < f.Rows() {
		f = f.Take(rows)
	}
	if t.Partition != table.ByFleet {
		f = f.WithText(systemColumn, systemDoc, inPath(path, "system"))
	}
	return f
}

// rule tells which rows of a file are selected.
func (s Selection) rule(t table.Table, f *frame.Frame) func(i int) bool {
	inTime := func(int) bool { return true }
	if c := timeColumn(t); c != "" && !(s.From.IsZero() && s.To.IsZero()) {
		times, valid := f.Times(c), f.Valid(c)
		inTime = func(i int) bool {
			return valid.At(i) && (s.From.IsZero() || times[i] >= s.From.UnixMicro()) && (s.To.IsZero() || times[i] < s.To.UnixMicro())
		}
	}
	if s.Systems == nil || t.Partition != table.ByFleet {
		return inTime
	}
	whose := f.Text(owner(t))
	return func(i int) bool { return s.mine(whose.At(i)) && inTime(i) }
}

// mine tells whether all systems that a cell names, separated by blanks, are selected.
func (s Selection) mine(cell string) bool {
	ids := strings.Fields(cell)
	return len(ids) > 0 && !slices.ContainsFunc(ids, func(id string) bool { return !s.has(id) })
}

func timeColumn(t table.Table) string {
	for _, c := range t.Columns {
		if c.Kind == table.Time {
			return c.Name
		}
	}
	return ""
}
