package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// The columns that a batch is read from, and the one for what went wrong.
const (
	refrigerantColumn = "refrigerant"
	pressureColumn    = "pressure_kpa"
	tempColumn        = "temp_c"
	errorColumn       = "error"
)

// A header says what a batch file asks, and where.
type header struct {
	line        int
	names       []string // as written
	comma       rune     // between columns
	form        form
	refrigerant int
	pressure    int // -1 when there is none
	temp        int // -1 when there is none
}

// readHeader reads the first line that is not blank, without a byte order mark.
func (b *batch) readHeader(r *rowReader) error {
	if mark, err := r.r.Peek(3); err == nil && string(mark) == "\ufeff" {
		if _, err := r.r.Discard(len(mark)); err != nil {
			return err
		}
	}
	l := r.take()
	for l.err == nil && strings.TrimSpace(l.text) == "" {
		l = r.take()
	}
	var long *rowFault
	switch {
	case l.err == io.EOF:
		return usagef("the file is empty; want a header such as refrigerant,pressure_kpa and a row for each state")
	case errors.As(l.err, &long), strings.ContainsRune(l.text, 0):
		return usagef("line %d is no text; save the sheet as CSV UTF-8", r.used)
	case l.err != nil:
		return l.err
	}
	h, err := newHeader(l.text, r.used)
	b.header, r.comma = h, h.comma
	return err
}

// newHeader finds the columns. What is wrong with them is a usage error, for no
// row could be answered.
func newHeader(text string, line int) (header, error) {
	h := header{}
	for _, comma := range ",;\t" {
		r := csv.NewReader(strings.NewReader(text))
		r.Comma = comma
		names, err := r.Read()
		if err != nil {
			continue
		}
		h = header{names: names, comma: comma, line: line}
		if slices.Contains(h.folded(), refrigerantColumn) {
			return h, h.locate()
		}
	}
	return h, usagef("line %d: no column %s in %q; want a header such as refrigerant,pressure_kpa", line, refrigerantColumn, text)
}

// folded are the names without regard to case and blanks.
func (h *header) folded() []string {
	var list []string
	for _, n := range h.names {
		list = append(list, strings.ToLower(strings.TrimSpace(n)))
	}
	return list
}

// locate finds the inputs and settles the form.
func (h *header) locate() error {
	names := h.folded()
	for _, c := range []struct {
		name string
		at   *int
	}{{refrigerantColumn, &h.refrigerant}, {pressureColumn, &h.pressure}, {tempColumn, &h.temp}} {
		*c.at = slices.Index(names, c.name)
		if *c.at >= 0 && slices.Contains(names[*c.at+1:], c.name) {
			return usagef("line %d: column %s is there twice; rename one", h.line, c.name)
		}
	}
	switch {
	case h.pressure < 0 && h.temp < 0:
		return usagef("line %d: no column %s or %s among %s; want one of them for saturation, both for gas or liquid",
			h.line, pressureColumn, tempColumn, strings.Join(names, ", "))
	case h.temp < 0:
		h.form = atPressure
	case h.pressure < 0:
		h.form = atTemperature
	default:
		h.form = singlePhase
	}
	for _, result := range append(h.form.columns(), errorColumn) {
		if slices.Contains(names, result) {
			return usagef("line %d: column %s is one that the results need; rename it or leave it out", h.line, result)
		}
	}
	return nil
}

// output is the header of the results.
func (h *header) output() []string {
	return append(append(slices.Clone(h.names), h.form.columns()...), errorColumn)
}

// count says what is wrong with a row of another length.
func (h *header) count(record []string, mark byte) string {
	s := fmt.Sprintf("%d columns where the header has %d", len(record), len(h.names))
	if len(record) > len(h.names) && h.comma == ',' && mark == '.' {
		s += "; is a decimal comma in it? Write a decimal point, or separate columns with semicolons and give -decimal-comma"
	}
	return s
}

// unreadable says why a cell is no number, and what helps.
func (h *header) unreadable(u *unread, mark byte) string {
	if strings.TrimSpace(u.cell) == "" {
		if h.form == singlePhase {
			return u.column + " is empty; a gas or liquid needs both, saturation a file of its own with one of the columns"
		}
		return u.column + " is empty"
	}
	s := fmt.Sprintf("%s %q %v", u.column, u.cell, u.why)
	if strings.ContainsRune(u.cell, ',') && mark == '.' {
		s += "; write a decimal point, or give -decimal-comma for the whole file"
	}
	return s
}
