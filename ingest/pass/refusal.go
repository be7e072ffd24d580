package pass

import (
	"cmp"
	"slices"

	"rimelog/pipeline/table"
)

// maxRuns is how many runs of refusals are kept apart for one file; beyond, a run
// also spans lines that were taken, and only its count of cells is exact.
const maxRuns = 10_000

// refusals collects what is not taken, by runs.
type refusals struct {
	runs []refusalRun
	open map[*column]int // the last run of each column, by place in runs; nil is for lines
}

type refusalRun struct {
	table.Refusal
	system int
	row    int64 // which line of data the run ended in, to know neighbours
}

// line adds a line that is not taken.
func (r *refusals) line(number int64, text, reason string) {
	if run := r.last(nil, reason); run != nil && (run.LastLine+1 == number || len(r.runs) >= maxRuns) {
		run.LastLine = number
		return
	}
	r.add(nil, refusalRun{Refusal: table.Refusal{FirstLine: number, LastLine: number, Reason: reason, Text: text}})
}

// cell adds a cell that is not taken. Row counts the lines of data.
func (r *refusals) cell(c *column, number, row int64, text, reason string) {
	if run := r.last(c, reason); run != nil && (run.row+1 >= row || len(r.runs) >= maxRuns) {
		run.LastLine, run.row = number, row
		run.Cells++
		return
	}
	r.add(c, refusalRun{
		Refusal: table.Refusal{FirstLine: number, LastLine: number, Channel: c.Header, Reason: reason, Text: text, Cells: 1},
		system:  c.System, row: row,
	})
}

func (r *refusals) last(c *column, reason string) *refusalRun {
	i, ok := r.open[c]
	if !ok || r.runs[i].Reason != reason && len(r.runs) < maxRuns {
		return nil
	}
	return &r.runs[i]
}

func (r *refusals) add(c *column, run refusalRun) {
	if r.open == nil {
		r.open = map[*column]int{}
	}
	r.open[c] = len(r.runs)
	r.runs = append(r.runs, run)
}

// of lists the runs of one system; lines of the file as a whole are the first
// system's.
func (r *refusals) of(system int) []table.Refusal {
	var rows []table.Refusal
	for _, run := range r.runs {
		if run.system == system {
			rows = append(rows, run.Refusal)
		}
	}
	slices.SortStableFunc(rows, func(a, b table.Refusal) int {
		return cmp.Or(cmp.Compare(a.FirstLine, b.FirstLine), cmp.Compare(a.Channel, b.Channel))
	})
	return rows
}
