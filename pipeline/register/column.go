package register

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimelog/pipeline/table"
)

// A column is one column of a register file: what it holds, how a filled cell is
// read into a row, and how a row's value is written. An unknown value is written
// as an empty cell.
type column[Row any] struct {
	name  string
	doc   string
	words vocabulary // where only certain words will do
	read  func(*Row, cell) *fault
	write func(*Row) string
}

// A form is a register file: its name and columns, and what its rows share.
type form[Row any] struct {
	name    string // such as "systems.csv"
	doc     string
	columns []column[Row]
	fresh   func(line int) Row // a row of which nothing is known
	line    func(*Row) int
	system  func(*Row) string // the system it is about; nil where there is none
}

func textColumn[Row any](name, doc string, field func(*Row) *string) column[Row] {
	return column[Row]{
		name: name, doc: doc,
		read:  func(r *Row, c cell) *fault { *field(r) = plain(c.text); return nil },
		write: func(r *Row) string { return guarded(*field(r)) },
	}
}

// guarded keeps a spreadsheet from taking text for a formula: an apostrophe in
// front makes it text. plain takes the apostrophe away.
func guarded(text string) string {
	if formula(text) {
		return "'" + text
	}
	return text
}

func plain(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && formula(rest) {
		return rest
	}
	return text
}

func formula(text string) bool {
	text = strings.TrimLeft(text, "'")
	return text != "" && strings.ContainsRune("=+-@", rune(text[0]))
}

func numberColumn[Row any](name, unit, doc string, lo, hi float64, field func(*Row) *float64) column[Row] {
	return column[Row]{
		name: name, doc: doc,
		read: func(r *Row, c cell) *fault {
			x, f := c.within(unit, lo, hi)
			if f == nil {
				*field(r) = x
			}
			return f
		},
		write: func(r *Row) string { return decimal(*field(r)) },
	}
}

// The largest refrigerant charge of one circuit that is believed: ammonia plants
// hold tens of tonnes (common practice, no source).
const mostCharge = 100e3

func massColumn[Row any](name, doc string, field func(*Row) *float64) column[Row] {
	return column[Row]{
		name: name, doc: doc,
		read: func(r *Row, c cell) *fault {
			x, f := c.mass(0, mostCharge)
			if f == nil {
				*field(r) = x
			}
			return f
		},
		write: func(r *Row) string { return decimal(math.Abs(*field(r))) },
	}
}

func wordColumn[Row any, Word ~uint8](name, doc string, words vocabulary, field func(*Row) *Word) column[Row] {
	return column[Row]{
		name: name, doc: doc, words: words,
		read: func(r *Row, c cell) *fault {
			i, f := words.read(c.text)
			*field(r) = Word(i)
			return f
		},
		write: func(r *Row) string { return words.write(int(*field(r))) },
	}
}

func stateColumn[Row any](name, doc string, field func(*Row) *table.State) column[Row] {
	return column[Row]{
		name: name, doc: doc, words: stateWords,
		read: func(r *Row, c cell) *fault {
			var f *fault
			*field(r), f = yesNo(c.text)
			return f
		},
		write: func(r *Row) string { return stateWords.write(int(*field(r))) },
	}
}

// dateColumn reads a date without its zone; the check of the row places it there.
func dateColumn[Row any](name, doc string, read func(*Row, time.Time, bool), write func(*Row) string) column[Row] {
	return column[Row]{
		name: name, doc: doc, write: write,
		read: func(r *Row, c cell) *fault {
			t, hasTime, f := c.date()
			if f == nil {
				read(r, t, hasTime)
			}
			return f
		},
	}
}

// refrigerantColumn holds a refrigerant by name; so says what an unknown one means.
func refrigerantColumn[Row any](doc, so string, field func(*Row) *string) column[Row] {
	return column[Row]{
		name: "refrigerant", doc: doc,
		read: func(r *Row, c cell) *fault {
			var f *fault
			if *field(r), f = readRefrigerant(c.text); f != nil {
				f.problem += so
			}
			return f
		},
		write: func(r *Row) string { return *field(r) },
	}
}

// known tells whether the form has a column of a name.
func (f form[Row]) known(name string) bool { return f.column(name) != nil }

func (f form[Row]) column(name string) *column[Row] {
	for i := range f.columns {
		if f.columns[i].name == name {
			return &f.columns[i]
		}
	}
	return nil
}

// cell is what a row has in a column; empty where the form has no such column.
func (f form[Row]) cell(r *Row, name string) string {
	if c := f.column(name); c != nil {
		return c.write(r)
	}
	return ""
}

func (f form[Row]) names() []string {
	names := make([]string, len(f.columns))
	for i, c := range f.columns {
		names[i] = c.name
	}
	return names
}

// canonical is a row as text that depends on its meaning alone: its filled
// columns by name, in the form's order. Without names, all columns count.
func (f form[Row]) canonical(r *Row, names ...string) string {
	var b strings.Builder
	b.WriteString(strings.TrimSuffix(f.name, ".csv"))
	for _, c := range f.columns {
		if v := c.write(r); v != "" && (len(names) == 0 || slices.Contains(names, c.name)) {
			b.WriteString(" " + c.name + "=" + strconv.Quote(v))
		}
	}
	b.WriteByte('\n')
	return b.String()
}
