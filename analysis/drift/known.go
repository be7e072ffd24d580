package drift

import (
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A Known is what was decided of a system. A decision rests on the visits and events up to
// it alone, so that it stands, whatever comes later; going through more visits takes it
// over.
type Known struct {
	Trends []table.Trend
	Causes []table.Cause
	Leaks  time.Time // the first decision at which charge seemed to be lost; zero: none yet
	Until  time.Time // decisions before it stand; zero: none do
}

// Decide works out trends and causes after each visit of a system (see Judge and Causes),
// those after visits whose decisions stand taken over.
func (k Known) Decide(s register.System, events []register.Event, visits []table.Visit, o Options) Known {
	var out Known
	out.Trends = judgeAfter(k, s, events, visits, o)
	out.Causes, out.Leaks = causesAfter(k, s, events, visits, o)
	return out
}

// stands tells whether a decision stands.
func (k Known) stands(on time.Time) bool { return on.Before(k.Until) }

// trends are the rows of a decision.
func (k Known) trends(on time.Time) []table.Trend {
	return decidedOn(k.Trends, on, func(t table.Trend) time.Time { return t.DecidedOn })
}

// causes are the rows of a decision.
func (k Known) causes(on time.Time) []table.Cause {
	return decidedOn(k.Causes, on, func(c table.Cause) time.Time { return c.DecidedOn })
}

// decidedOn are the rows of a day, of rows in time order.
func decidedOn[Row any](rows []Row, on time.Time, day func(Row) time.Time) []Row {
	from, _ := slices.BinarySearchFunc(rows, on, func(r Row, t time.Time) int { return day(r).Compare(t) })
	to := from
	for to < len(rows) && day(rows[to]).Equal(on) {
		to++
	}
	return rows[from:to]
}
