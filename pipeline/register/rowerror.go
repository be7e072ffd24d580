package register

import (
	"fmt"
	"strings"
)

// A RowError is a mistake in the register: where it is, what was found, and what
// to write instead.
type RowError struct {
	File    string // the file as users see it, such as "register/systems.csv"
	Line    int    // physical line from 1; 0 where the file as a whole is meant
	Column  string // the column's name; empty where the row or file is meant
	Value   string // the cell as found
	System  string // the system the row is about, where it could be read
	Problem string // what is wrong
	Remedy  string // what to write or do instead
	RowLost bool   // the whole row was left out; otherwise only the cell or the column was
}

// Error gives place, value, problem and remedy on one line.
func (e *RowError) Error() string {
	text := e.Place() + ": " + e.What()
	if e.Remedy != "" {
		text += "; " + e.Remedy
	}
	return text
}

// Place is the file, with the line where there is one: "register/events.csv:12".
func (e *RowError) Place() string {
	if e.Line == 0 {
		return e.File
	}
	return fmt.Sprintf("%s:%d", e.File, e.Line)
}

// What is the problem with the column and the value as found.
func (e *RowError) What() string {
	var b strings.Builder
	if e.Column != "" {
		b.WriteString(e.Column + " ")
	}
	if e.Value != "" {
		fmt.Fprintf(&b, "%q: ", e.Value)
	}
	return b.String() + e.Problem
}
