package export

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A Workbook is a spreadsheet file (Office Open XML) being written: a sheet for each
// table, its header frozen and with units, times as real dates, and a last sheet that
// explains the columns. A table with more rows than a sheet holds goes on in the next.
type Workbook struct {
	file         *excelize.File
	head, dates  int // styles
	tables       []table.Table
	rowsPerSheet int
}

// sheetRows is how many rows a sheet may have (ECMA-376 readers stop at 2^20).
const sheetRows = 1 << 20

// NewWorkbook makes an empty workbook. Close it when done.
func NewWorkbook() (*Workbook, error) {
	b := &Workbook{file: excelize.NewFile(), rowsPerSheet: sheetRows}
	var errs [2]error
	format := "yyyy-mm-dd hh:mm:ss"
	b.dates, errs[0] = b.file.NewStyle(&excelize.Style{CustomNumFmt: &format})
	b.head, errs[1] = b.file.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	return b, errors.Join(errs[:]...)
}

// Add writes rows of a table as returned by [Columns].
func (b *Workbook) Add(t table.Table, rows iter.Seq2[*frame.Frame, error]) error {
	b.tables = append(b.tables, t)
	s, err := b.sheet(t, 1)
	if err != nil {
		return err
	}
	for f, err := range rows {
		if err != nil {
			return err
		}
		if s, err = b.rows(s, t, f); err != nil {
			return fmt.Errorf("write %s: %w", t.Name, err)
		}
	}
	return s.out.Flush()
}

// A sheet is one sheet being written, row by row.
type sheet struct {
	out    *excelize.StreamWriter
	number int // of the table's sheets, from 1
	row    int // the last row written, from 1
}

func (b *Workbook) sheet(t table.Table, number int) (*sheet, error) {
	name := t.Name
	if number > 1 {
		name = fmt.Sprintf("%s (%d)", t.Name, number)
	}
	s, err := b.newSheet(name)
	if err != nil {
		return nil, err
	}
	s.number = number
	header := make([]any, len(t.Columns))
	for i, c := range t.Columns {
		header[i] = excelize.Cell{StyleID: b.head, Value: heading(c)}
	}
	return s, s.write(header)
}

func (b *Workbook) newSheet(name string) (*sheet, error) {
	if _, err := b.file.NewSheet(name); err != nil {
		return nil, err
	}
	out, err := b.file.NewStreamWriter(name)
	if err != nil {
		return nil, err
	}
	frozen := &excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}
	return &sheet{out: out}, errors.Join(out.SetColWidth(1, 64, 19), out.SetPanes(frozen))
}

// heading is a column's name with its unit. Times say that they are UTC.
func heading(c table.Column) string {
	unit := c.Unit
	if c.Kind == table.Time {
		unit = "UTC"
	}
	if unit == "" || unit == "1" {
		return c.Name
	}
	return c.Name + " [" + unit + "]"
}

func (s *sheet) write(cells []any) error {
	s.row++
	at, err := excelize.CoordinatesToCellName(1, s.row)
	if err != nil {
		return err
	}
	return s.out.SetRow(at, cells)
}

// rows writes a piece, and gives the sheet to go on with.
func (b *Workbook) rows(s *sheet, t table.Table, f *frame.Frame) (*sheet, error) {
	values := make([]value, len(t.Columns))
	for j, c := range t.Columns {
		values[j] = valueOf(f, c)
	}
	cells := make([]any, len(values))
	for i := range f.Rows() {
		for j, v := range values {
			cells[j] = b.cell(v(i))
		}
		if s.row == b.rowsPerSheet {
			next, err := b.sheet(t, s.number+1)
			if err = errors.Join(s.out.Flush(), err); err != nil {
				return nil, err
			}
			s = next
		}
		if err := s.write(cells); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func (b *Workbook) cell(v any) any {
	switch v := v.(type) {
	case time.Time:
		return excelize.Cell{StyleID: b.dates, Value: v}
	case fixed:
		return frame.Decimal(v.mantissa, v.digits)
	case string:
		return safe(v)
	}
	return v
}

// Write adds the sheet that explains the columns and writes the file.
func (b *Workbook) Write(w io.Writer) error {
	if err := b.explain(); err != nil {
		return err
	}
	if err := b.file.DeleteSheet("Sheet1"); err != nil { // the empty one that a new file has
		return err
	}
	var archive bytes.Buffer
	if _, err := b.file.WriteTo(&archive); err != nil {
		return err
	}
	return inOrder(w, archive.Bytes())
}

// inOrder writes a zip archive with its members by name: the library lets them fall in
// any order, and the same rows should give the same bytes.
func inOrder(w io.Writer, archive []byte) error {
	from, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	if err != nil {
		return err
	}
	slices.SortFunc(from.File, func(a, b *zip.File) int { return strings.Compare(a.Name, b.Name) })
	to := zip.NewWriter(w)
	for _, f := range from.File {
		if err := to.Copy(f); err != nil {
			return err
		}
	}
	return to.Close()
}

func (b *Workbook) explain() error {
	s, err := b.newSheet("columns")
	if err != nil {
		return err
	}
	var errs []error
	line := func(cells ...any) { errs = append(errs, s.write(cells)) }
	line("table", "column", "unit", "meaning", "method", "uncertainty", "source")
	for _, t := range b.tables {
		for _, c := range t.Columns {
			line(t.Name, c.Name, c.Unit, c.Doc, c.Method, c.Uncertainty, c.Source)
		}
	}
	return errors.Join(append(errs, s.out.Flush())...)
}

// Close removes what the workbook kept on disk while it was written.
func (b *Workbook) Close() error { return b.file.Close() }
