package main

import (
	"bufio"
	"encoding/csv"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
)

func newRows(text string) *rowReader {
	return &rowReader{r: bufio.NewReaderSize(strings.NewReader(text), 64), comma: ','}
}

// A readRow is what a rowReader makes of a row.
type readRow struct {
	line  int
	cells string // joined by |
	fault string
}

func allRows(t testing.TB, r *rowReader) (rows []readRow) {
	t.Helper()
	for {
		cells, line, err := r.next()
		var bad *rowFault
		switch {
		case err == io.EOF:
			return rows
		case errors.As(err, &bad):
			rows = append(rows, readRow{line, strings.Join(cells, "|"), bad.problem})
		case err != nil:
			t.Fatal(err)
		default:
			rows = append(rows, readRow{line, strings.Join(cells, "|"), ""})
		}
	}
}

// TestRows: a row that is no CSV costs its own line alone.
func TestRows(t *testing.T) {
	long := strings.Repeat("x", longestRow+1)
	for _, c := range []struct {
		name, text string
		want       []readRow
	}{
		{"plain", "a,b\n\nc,\r\n", []readRow{{1, "a|b", ""}, {3, "c|", ""}}},
		{"quotes", "\"a,1\",\"say \"\"b\"\"\"\nc", []readRow{{1, "a,1|say \"b\"", ""}, {2, "c", ""}}},
		{"line end in quotes", "\"a\r\n\nb\",1\nc,2", []readRow{{1, "a\n\nb|1", ""}, {4, "c|2", ""}}},
		{"quote never closed", "a,\"b\nc,d\ne,f", []readRow{{1, "a", "a quote is not closed"}, {2, "c|d", ""}, {3, "e|f", ""}}},
		{"two never closed", "a,\"b\nc,\"d\ne,f", []readRow{{1, "a", "a quote is not closed"}, {2, "c", "a quote is not closed"}, {3, "e|f", ""}}},
		{"inch mark", "a,5\" pipe\nb,6", []readRow{{1, "a", "bare \" in non-quoted-field, at character 4; put a cell with quotes in it between quotes, and write them twice"}, {2, "b|6", ""}}},
		{"quote not closed for many lines", "a,\"b\n" + strings.Repeat("c\n", mostLines+5) + "\"\n",
			append(append([]readRow{{1, "a", "a quote is not closed"}}, numbered(2, mostLines+5, "c")...), readRow{mostLines + 7, "", "a quote is not closed"})},
		{"line without end", "a\n" + long + "\nb", []readRow{{1, "a", ""}, {2, "", "a line of more than 1048576 bytes"}, {3, "b", ""}}},
	} {
		if got := allRows(t, newRows(c.text)); !slices.Equal(got, c.want) {
			t.Errorf("%s:\n got %v\nwant %v", c.name, got, c.want)
		}
	}
}

func numbered(from, n int, cells string) (rows []readRow) {
	for i := range n {
		rows = append(rows, readRow{from + i, cells, ""})
	}
	return rows
}

// FuzzRows: what the standard library reads as CSV is read the same here, line
// numbers included; nothing else stops the reading.
func FuzzRows(f *testing.F) {
	f.Add("a,b\n\"c\nd\",e\r\n\n\"f\"\"g\",\n")
	f.Add("\"a\"b\n\"c\n\"")
	f.Add("\"\",\r\r")
	f.Add("\"a\r\r\n\"")
	f.Fuzz(func(t *testing.T, text string) {
		got := allRows(t, newRows(text))
		std := csv.NewReader(strings.NewReader(text))
		std.FieldsPerRecord = -1
		var want []readRow
		for {
			record, err := std.Read()
			if err == io.EOF {
				break
			}
			if err != nil {
				return // no CSV: only that reading ends was to be shown
			}
			line, _ := std.FieldPos(0)
			if last := strings.Count(strings.Join(record, ""), "\n"); last >= mostLines {
				return
			}
			want = append(want, readRow{line, strings.Join(record, "|"), ""})
		}
		if !slices.Equal(got, want) {
			t.Errorf("got %v\nwant %v", got, want)
		}
	})
}

func TestReadNumber(t *testing.T) {
	for _, c := range []struct {
		text  string
		mark  byte
		want  float64
		fault string
	}{
		{"12.5", '.', 12.5, ""},
		{" -0.5e3 ", '.', -500, ""},
		{"\u22125", '.', -5, ""},
		{"12,5", ',', 12.5, ""},
		{"12", ',', 12, ""},
		{"", '.', 0, "is empty"},
		{"12,5", '.', 0, "has a ',' where the decimal mark is '.'"},
		{"1.013", ',', 0, "has a '.' where the decimal mark is ','"},
		{"1,013.25", '.', 0, "has a ',' where the decimal mark is '.'"},
		{"1,2,3", ',', 0, "is not a number"},
		{"NaN", '.', 0, "is not a number"},
		{"Inf", '.', 0, "is not a number"},
		{"0x10", '.', 0, "is not a number"},
		{"1_000", '.', 0, "is not a number"},
		{"5 bar", '.', 0, "is not a number"},
		{"e", '.', 0, "is not a number"},
		{"1e999", '.', 0, "is too large"},
	} {
		got, err := readNumber(c.text, c.mark)
		fault := ""
		if err != nil {
			fault = err.Error()
		}
		if fault != c.fault || fault == "" && got != c.want || fault != "" && !math.IsNaN(got) {
			t.Errorf("%q with %q: %g, %q; want %g, %q", c.text, c.mark, got, fault, c.want, c.fault)
		}
	}
}

// FuzzReadNumber: a number read is finite, and printed and read again the same.
func FuzzReadNumber(f *testing.F) {
	f.Add("-12.5", true)
	f.Add("1e-3", false)
	f.Fuzz(func(t *testing.T, text string, point bool) {
		mark := byte(',')
		if point {
			mark = '.'
		}
		v, err := readNumber(text, mark)
		if err != nil {
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%q is %g", text, v)
		}
		printed := string(appendNumber(nil, v, mark))
		again, err := readNumber(printed, mark)
		if err != nil || again != significant(v) {
			t.Fatalf("%q is %g, printed %q, read %g, %v", text, v, printed, again, err)
		}
	})
}

func TestDigits(t *testing.T) {
	for _, c := range []struct {
		value float64
		n     int
		want  string
	}{
		{0.03969353, 5, "0.039694"}, {1582.394, 5, "1582.4"}, {123456, 5, "123456"}, {-10.0763, 6, "-10.0763"},
		{0, 5, "0"}, {1e-12, 5, "0"}, {200, 6, "200.000"},
	} {
		if got := digits(c.value, c.n); got != c.want {
			t.Errorf("digits(%g, %d) = %q, want %q", c.value, c.n, got, c.want)
		}
	}
}
