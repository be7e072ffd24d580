package records

import (
	"bytes"
	"encoding/csv"
	"math"
	"reflect"
	"strconv"
	"strings"
	"time"

	"rimelog/pipeline/table"
)

// BookCSV writes the record book for spreadsheets: UTF-8 with a byte order mark, commas, a
// point as decimal mark, the columns of the table record_book. No cell is taken for a
// formula: an apostrophe stands before what would be.
func BookCSV(rows []table.RecordRow) ([]byte, error) {
	b := bytes.NewBufferString("\ufeff")
	w := csv.NewWriter(b)
	w.UseCRLF = true
	var cells []string
	for _, c := range table.RecordBook().Columns {
		cells = append(cells, c.Name)
	}
	if err := w.Write(cells); err != nil {
		return nil, err
	}
	for _, row := range rows {
		v := reflect.ValueOf(row)
		for i := range cells {
			cells[i] = cell(v.Field(i).Interface())
		}
		if err := w.Write(cells); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

// cell writes one value of the record book.
func cell(v any) string {
	switch v := v.(type) {
	case time.Time:
		return day(v)
	case float64:
		if math.IsNaN(v) {
			return ""
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	case string:
		return guarded(v)
	}
	return ""
}

// guarded keeps a spreadsheet from taking text for a formula.
func guarded(text string) string {
	if text != "" && strings.ContainsAny(text[:1], "=+-@\t\r'") {
		return "'" + text
	}
	return text
}
