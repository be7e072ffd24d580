package register

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Records are corrected by later rows, never by edits: a row that names another in
// its column corrects takes that row's place, and both stay in the book.

// standing are the rows that count: whose place no other took, and which are more
// than the cancelling of another.
func standing(rows []Event) (out []Event) {
	for _, e := range rows {
		if e.CorrectedBy == 0 && e.Kind != Cancelled {
			out = append(out, e)
		}
	}
	return out
}

// Book returns all events of a system, corrected rows and corrections too, in time
// order; those without a date come first.
func (r *Register) Book(system string) []Event {
	return slices.Clone(r.events[foldID(system)])
}

// corrections finds the row that each correction takes the place of. Rows are gone
// through by line, so that a correction may be corrected in its turn.
func (c *checker) corrections() {
	for id, rows := range c.register.events {
		slices.SortFunc(rows, func(a, b Event) int { return cmp.Compare(a.Line, b.Line) })
		rows = c.once(rows)
		if c.numbers(rows) { // what is the same but for a number that does not count
			rows = c.once(rows)
		}
		var book []Event
		for _, e := range rows {
			if e.Corrects == "" && e.Kind != Cancelled {
				book = append(book, e)
				continue
			}
			found := corrected(book, e)
			if len(found) != 1 {
				c.report("events.csv", e.Line, correctionError(book, e, found))
				continue
			}
			book[found[0]].CorrectedBy = e.Line
			book = append(book, e)
		}
		c.register.events[id] = book
	}
}

// numbers reports record numbers that stand twice, takes them out, and tells whether there
// were any. A correction may bear the number of the row that it corrects.
func (c *checker) numbers(rows []Event) (refused bool) {
	lines := map[string]int{}
	for i := range rows {
		e := &rows[i]
		number := strings.ToLower(e.Record)
		if number == "" || sameText(e.Record, e.Corrects) {
			continue
		}
		if first, again := lines[number]; again {
			c.report("events.csv", e.Line, RowError{Column: "record", Value: e.Record, System: e.System,
				Problem: fmt.Sprintf("line %d of the system has this number already", first), Remedy: "give each line a number of its own"})
			e.Record, refused = "", true
			continue
		}
		lines[number] = e.Line
	}
	return refused
}

// corrected lists the earlier rows that a correction may mean and that still stand.
func corrected(rows []Event, by Event) (found []int) {
	for i, e := range rows {
		if e.CorrectedBy == 0 && e.Record != "" && sameText(e.Record, by.Corrects) {
			return []int{i}
		}
	}
	for i, e := range rows {
		if e.CorrectedBy == 0 && e.Kind != Cancelled && e.isOf(by.Corrects) {
			found = append(found, i)
		}
	}
	return found
}

func sameText(a, b string) bool { return a != "" && strings.EqualFold(a, b) }

// isOf tells whether a text is the day of an event, with its time or its word behind.
func (e Event) isOf(text string) bool {
	if e.Time.IsZero() {
		return false
	}
	day, rest, _ := strings.Cut(strings.TrimSpace(text), " ")
	if day != e.Time.Format(time.DateOnly) {
		return false
	}
	rest = strings.TrimSpace(rest)
	if clock := e.Time.Format("15:04"); e.HasTime && strings.HasPrefix(rest, clock) {
		rest = strings.TrimSpace(strings.TrimPrefix(rest, clock))
	}
	return rest == "" || normalName(rest) == normalName(e.Kind.String())
}

func correctionError(rows []Event, e Event, found []int) RowError {
	out := RowError{Column: "corrects", Value: e.Corrects, System: e.System, RowLost: true}
	switch {
	case e.Corrects == "":
		out.Problem, out.Remedy = "empty, so that nobody knows what is cancelled", "write the day or the record number of the line"
	case len(found) == 0:
		out.Problem, out.Remedy = "no earlier line of this system is of that day or has that number", "write the day of the line to correct, such as 2026-04-03, or its record number"
	default:
		var ways []string
		for _, i := range found {
			ways = append(ways, rows[i].Time.Format(time.DateOnly)+" "+rows[i].Kind.String())
		}
		out.Problem, out.Remedy = fmt.Sprintf("%d lines are of that day", len(found)), "write "+strings.Join(slices.Compact(ways), " or ")+"; or give the lines record numbers"
	}
	return out
}
