package export

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"iter"
	"strconv"
	"time"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// CSV writes rows of a table as returned by [Columns]: UTF-8 with a byte order
// mark, which spreadsheets need, commas, a point as decimal mark, CRLF at line ends
// (RFC 4180). Null is an empty cell; times are UTC as 2025-03-01 12:00:00.
func CSV(w io.Writer, t table.Table, rows iter.Seq2[*frame.Frame, error]) error {
	buffered := bufio.NewWriter(w)
	if _, err := buffered.WriteString("\ufeff"); err != nil {
		return err
	}
	out := csv.NewWriter(buffered)
	out.UseCRLF = true
	header := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		header[i] = c.Name
	}
	if err := out.Write(header); err != nil {
		return err
	}
	for f, err := range rows {
		if err != nil {
			return err
		}
		if err := csvRows(out, t, f); err != nil {
			return fmt.Errorf("write %s: %w", t.Name, err)
		}
	}
	out.Flush()
	return errors.Join(out.Error(), buffered.Flush())
}

func csvRows(out *csv.Writer, t table.Table, f *frame.Frame) error {
	values := make([]value, len(t.Columns))
	for j, c := range t.Columns {
		values[j] = valueOf(f, c)
	}
	cells := make([]string, len(values))
	for i := range f.Rows() {
		for j, v := range values {
			cells[j] = csvCell(v(i))
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	return nil
}

func csvCell(v any) string {
	switch v := v.(type) {
	case time.Time:
		return v.Format("2006-01-02 15:04:05.999999")
	case fixed:
		return v.String()
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	case int64:
		return strconv.FormatInt(v, 10)
	case bool:
		return strconv.FormatBool(v)
	case string:
		return safe(v)
	}
	return ""
}

// parquetRows is about how many rows a row group of a copy has.
const parquetRows = 131_072

// Parquet writes rows of a table as returned by [Columns] as one Parquet file, with
// the types that the dataset has.
func Parquet(w io.Writer, t table.Table, rows iter.Seq2[*frame.Frame, error]) error {
	return dataset.WriteParquet(w, t, gathered(rows))
}

// gathered puts small pieces together, so that a month's file does not become a
// row group of its own.
func gathered(pieces iter.Seq2[*frame.Frame, error]) iter.Seq2[*frame.Frame, error] {
	return func(yield func(*frame.Frame, error) bool) {
		var held []*frame.Frame
		n := 0
		for f, err := range pieces {
			if err != nil {
				yield(nil, err)
				return
			}
			held, n = append(held, f), n+f.Rows()
			if n < parquetRows {
				continue
			}
			if !yield(frame.Concat(held...)) {
				return
			}
			held, n = nil, 0
		}
		if n > 0 {
			yield(frame.Concat(held...))
		}
	}
}
