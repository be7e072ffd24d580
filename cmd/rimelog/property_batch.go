package main

import (
	"bufio"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"

	"rimelog/thermo"
)

// answerBatch writes the CSV of states back with their properties, row by row.
func (q *question) answerBatch(ctx context.Context, out *console) error {
	in, name, err := openBatch(q.batch)
	if err != nil {
		return err
	}
	defer in.Close()
	b := &batch{exact: q.exact, datum: q.datum.Datum, mark: '.', known: map[string]fluid{}}
	if q.decimalComma {
		b.mark = ','
	}
	if err := b.run(ctx, in, out.out); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	if b.leftOut > 0 {
		fmt.Fprintf(out.err, "%s: %d of %d rows have no result; the column error says why\n", name, b.leftOut, b.rows)
		return errLeftOut
	}
	return nil
}

func openBatch(path string) (io.ReadCloser, string, error) {
	if path == "-" {
		return io.NopCloser(os.Stdin), "standard input", nil
	}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, "", usagef("-batch %s: no such file", path)
	}
	return f, path, err
}

// A batch turns a CSV of states into one of their properties. It holds one row
// at a time, and the refrigerants met so far.
type batch struct {
	exact bool
	datum thermo.Datum
	mark  byte // decimal mark, in and out

	header        header
	known         map[string]fluid // by the name as written
	rows, leftOut int

	values []float64
	text   []byte
	cells  []string
}

// run reads states from in and writes them with their properties to out. Only
// trouble with the files themselves, or with the header, is an error; a bad row
// says so in its last column.
func (b *batch) run(ctx context.Context, in io.Reader, out io.Writer) error {
	r := &rowReader{r: bufio.NewReaderSize(in, 1<<16)}
	if err := b.readHeader(r); err != nil {
		return err
	}
	w := csv.NewWriter(out)
	w.Comma = b.header.comma
	if err := w.Write(b.header.output()); err != nil {
		return err
	}
	err := b.copyRows(ctx, r, w)
	w.Flush()
	return errors.Join(err, w.Error())
}

func (b *batch) copyRows(ctx context.Context, r *rowReader, w *csv.Writer) error {
	for ctx.Err() == nil {
		record, line, err := r.next()
		var bad *rowFault
		switch {
		case err == io.EOF:
			return nil
		case errors.As(err, &bad):
			b.refuse(record, line, bad.problem)
		case err != nil:
			return fmt.Errorf("after line %d: %w", line, err)
		default:
			b.row(record, line)
		}
		if err := w.Write(b.cells); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// row fills the cells of one row.
func (b *batch) row(record []string, line int) {
	fault := ""
	if len(record) != len(b.header.names) {
		fault = b.header.count(record, b.mark)
	} else {
		fault = b.answer(record)
	}
	if fault != "" {
		b.refuse(record, line, fault)
		return
	}
	b.rows++
}

// refuse fills the cells of a row without results.
func (b *batch) refuse(record []string, line int, fault string) {
	b.rows++
	b.leftOut++
	n := len(b.header.names)
	b.cells = append(b.cells[:0], record[:min(len(record), n)]...)
	for len(b.cells) < n+len(b.header.form.columns()) {
		b.cells = append(b.cells, "")
	}
	b.cells = append(b.cells, fmt.Sprintf("line %d: %s", line, fault))
}

// answer fills the cells of a row, or says why it cannot.
func (b *batch) answer(record []string) (fault string) {
	fl := b.fluid(record[b.header.refrigerant])
	if fl.fault != "" {
		return fl.fault
	}
	in, bad := b.given(record)
	values, err := b.header.form.results(b.values[:0], fl.properties, in)
	switch {
	case bad != nil:
		return fl.of.Name() + ": " + b.header.unreadable(bad, b.mark) + valid(bad, err)
	case err != nil:
		return sentence(err, fl.of)
	}
	b.values = values
	b.cells = append(b.cells[:0], record...)
	b.text = b.text[:0]
	for _, v := range values {
		b.text = appendNumber(b.text, v, b.mark)
		b.text = append(b.text, ' ')
	}
	b.cells = appendWords(b.cells, string(b.text))
	b.cells = append(b.cells, "")
	return ""
}

// An unread is an input that is no number, and why.
type unread struct {
	column, unit, cell string // the unit is that of package thermo
	why                error
}

// given reads the inputs of a row. One that is no number is NaN, which has no
// properties; the first such is returned too.
func (b *batch) given(record []string) (in given, bad *unread) {
	in = given{math.NaN(), math.NaN()}
	read := func(at int, into *float64, column, unit string) {
		if at < 0 {
			return
		}
		v, err := readNumber(record[at], b.mark)
		if err != nil && bad == nil {
			bad = &unread{column, unit, record[at], err}
		}
		*into = v
	}
	read(b.header.pressure, &in.kPa, pressureColumn, "Pa")
	read(b.header.temp, &in.celsius, tempColumn, "K")
	return in, bad
}

// valid adds the range in which an unreadable value should have been.
func valid(bad *unread, err error) string {
	var e *thermo.RangeError
	if errors.As(err, &e) && e.Unit == bad.unit {
		return "; valid are " + span(e)
	}
	return ""
}
