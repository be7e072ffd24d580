package ingest

import (
	"fmt"
	"strings"

	"rimelog/ingest/plan"
	"rimelog/ingest/timeline"
	"rimelog/ingest/understood"
	"rimelog/pipeline/table"
)

// The rules about mistakes of those who log that a reading speaks of.
const (
	ruleUnit         = "D4"  // a pressure without its unit
	ruleClock        = "D15" // the logger's clock is off
	ruleMixedNumbers = "D31" // numbers written in two ways
)

// ruleOf is the rule that a reason for not taking something comes from, or empty.
func ruleOf(reason string) string {
	switch {
	case strings.HasPrefix(reason, plan.UnitMissing):
		return ruleUnit
	case reason == timeline.UnsetReason:
		return ruleClock
	}
	return ""
}

// A complaint lists what is wrong with one file.
type complaint struct {
	place  string // where the file lies in the workspace
	system string // the first that claims it, or empty
	file   understood.File
	list   []table.Problem
}

// problemsOf lists what is wrong with one file, with what to do.
func problemsOf(path string, systems []string, u understood.File) []table.Problem {
	c := complaint{place: uploadsFolder + path, system: first(systems), file: u}
	if u.Unreadable != "" {
		c.leftOut(0, "", u.Unreadable, u.Remedy)
		return c.list
	}
	c.questions()
	c.lines()
	for _, column := range u.Columns {
		if column.Refused > 0 && column.Why == "" {
			c.cells(column)
		}
	}
	c.notes()
	return c.list
}

// leftOut adds what was not taken, on a line of the file or, at 0, in all of it.
func (c *complaint) leftOut(line int64, rule, problem, remedy string) {
	place := c.place
	if line > 0 {
		place = fmt.Sprintf("%s:%d", place, line)
	}
	c.list = append(c.list, table.Problem{Place: place, System: c.system, Problem: problem, Remedy: remedy, Weight: weightLeftOut, Rule: rule})
}

// questions adds what waits for an answer; what is only in doubt is among the notes.
func (c *complaint) questions() {
	for _, q := range c.file.OpenQuestions {
		if q.Waits {
			c.leftOut(0, ruleOf(q.Question), q.Question, "write in register/channels.csv: "+q.RegisterLine)
		}
	}
}

// lines adds the lines that were not taken, but for those that a question is about.
func (c *complaint) lines() {
	asked := map[string]bool{}
	for _, q := range c.file.OpenQuestions {
		asked[q.Question] = true
	}
	for _, l := range byReason(c.file.Quarantined) {
		if !asked[l.Reason] {
			c.leftOut(l.Line, ruleOf(l.Reason), notTaken(l.Last)+": "+l.Reason, "look at the line; if it should count, mend the file or the logger's export")
		}
	}
}

// cells adds the cells of a column that were not taken, by what they have in common.
func (c *complaint) cells(column understood.Column) {
	if word, ok := c.file.RemarkIn(column.Name); ok {
		c.leftOut(0, "", fmt.Sprintf("%d times %q holds words such as %q in place of a number", column.Refused, column.Name, word), "nothing to do; write remarks into a column of their own")
		return
	}
	if cell, why, ok := tooMuch(c.file, column.Name); ok {
		c.leftOut(cell.Line, "", fmt.Sprintf("values of %q are %s: %d of them, the first %s", column.Name, why, column.Refused, cell.Text), strings.TrimPrefix(cell.Reason, why+"; ")+"; rimelog explain shows which")
		return
	}
	if _, ok := c.file.AllFor(column.Name, understood.BelowVacuum); ok {
		c.leftOut(0, "", fmt.Sprintf("%d values of %q lie below vacuum as it is read", column.Refused, column.Name), "rimelog explain shows which; hoses in the air with a sensor that is off do, and so does a wrong reference of the pressure")
		return
	}
	c.leftOut(0, ruleMixedNumbers, fmt.Sprintf("%d cells of %q not taken", column.Refused, column.Name), "rimelog explain shows which")
}

// notes adds what is in doubt.
func (c *complaint) notes() {
	for _, n := range c.file.Notes {
		place := n.Place
		if place == "" {
			place = c.place
		}
		c.list = append(c.list, table.Problem{Place: place, System: c.system, Problem: n.Note, Remedy: n.Remedy, Weight: weightDoubt})
	}
}

// tooMuch tells where every cell of a column that was not taken is beyond what a machine can
// have: the first of them, and what it is.
func tooMuch(u understood.File, column string) (cell understood.CellProblem, why string, ok bool) {
	for _, why := range []string{understood.TooHot, understood.TooHigh, understood.TooStrong} {
		if cell, ok := u.AllFor(column, why); ok {
			return cell, why, true
		}
	}
	return cell, "", false
}

// notTaken says how many lines were not taken.
func notTaken(lines int64) string {
	if lines == 1 {
		return "1 line not taken"
	}
	return fmt.Sprintf("%d lines not taken", lines)
}

func first(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

// byReason sums runs of lines: the first line of each reason, and in Last how many
// lines there are.
func byReason(runs []understood.LineProblem) []understood.LineProblem {
	var sums []understood.LineProblem
	at := map[string]int{}
	for _, r := range runs {
		i, ok := at[r.Reason]
		if !ok {
			i = len(sums)
			at[r.Reason] = i
			sums = append(sums, understood.LineProblem{Line: r.Line, Reason: r.Reason})
		}
		sums[i].Last += r.Last - r.Line + 1
	}
	return sums
}
