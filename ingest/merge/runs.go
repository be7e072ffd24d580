package merge

import (
	"errors"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// MostMerged is how many runs are merged at once: each holds a row group in memory
// while it is read.
const MostMerged = 16

// Runs brings the runs of a shelf into one order. Where too many overlap, it
// merges neighbours into longer runs first.
func Runs(t table.Table, from Shelf, room func(table.Table) (Shelf, error), lost func(int, string, Lost), to func(*frame.Frame) error) (err error) {
	runs, err := from.Sources()
	if err != nil {
		return err
	}
	if len(runs) <= MostMerged || !crowded(runs) {
		return Join(t, runs, lost, to)
	}
	next, err := room(t)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, next.Close()) }()
	for len(runs) > 0 {
		n := min(MostMerged, len(runs))
		if err := Join(t, runs[:n], lost, next.Append); err != nil {
			return err
		}
		if err := next.End(); err != nil {
			return err
		}
		runs = runs[n:]
	}
	return Runs(t, next, room, lost, to)
}

// crowded tells whether more runs overlap at some time than are merged at once.
func crowded(runs []Source) bool {
	type bounded interface{ Last() (int64, bool) }
	for _, r := range runs {
		begin, _ := r.First()
		open := 0
		for _, o := range runs {
			b, ok := o.(bounded)
			if !ok {
				return false // in memory already
			}
			first, _ := o.First()
			if last, _ := b.Last(); first <= begin && last >= begin {
				open++
			}
		}
		if open > MostMerged {
			return true
		}
	}
	return false
}
