package merge

import (
	"errors"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A Sink takes what is read of each system, in frames of bounded size.
type Sink interface {
	// Put takes rows of samples or extras of a system, behind those before: in order
	// of time, samples with each time once. The frame must stay as it is until the
	// next call.
	Put(system int, f *frame.Frame) error
	// Restart forgets what was put: the file is read once more.
	Restart()
	// Shelf makes room for rows that are not in order yet.
	Shelf(t table.Table) (Shelf, error)
}

// A tableOfSystem is one of the tables that rows of a file go to.
type tableOfSystem struct {
	system int
	table  string
}

// A Shelf keeps sorted runs of rows until they are merged.
type Shelf interface {
	Append(f *frame.Frame) error
	End() error                 // of a run
	Drop() error                // the run under way
	Sources() ([]Source, error) // of the runs, in their order; as often as asked
	Close() error
}

// A Source gives rows in order of time, some at a time.
type Source interface {
	// First is the time of the first row that Next gives; false where none is left.
	First() (int64, bool)
	Next() (*frame.Frame, error)
}

// TimesOf is the first column of samples and extras.
func TimesOf(f *frame.Frame) []int64 { return f.Times(f.Table().Columns[0].Name) }

// ErrUnordered says that rows do not come in order of time.
var ErrUnordered = errors.New("rows are not in order of time")

// samples and extras are the tables whose rows are brought into order.
var samples, extras = table.Samples(), table.Extras()

// TableOf is the table of a name: samples, extras or refusals.
func TableOf(name string) table.Table {
	switch name {
	case samples.Name:
		return samples
	case extras.Name:
		return extras
	}
	return table.Refusals()
}
