package read

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"rimelog/ingest/answers"
	"rimelog/ingest/clock"
	"rimelog/ingest/limits"
	"rimelog/ingest/merge"
	"rimelog/ingest/pass"
	"rimelog/ingest/raw"
	"rimelog/ingest/understood"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// mostDecoded is how many bytes of a file whose characters take two bytes are decoded
// into memory to cut it into tables; a longer one is not cut.
const mostDecoded = 32 << 20

// readStacked reads a file of several tables, one below the other, each as a file of
// its own, under what the lines at the file's beginning say. Starts are the lines at
// which tables begin. It gives the reading as it was where that holds more.
func readStacked(ctx context.Context, src raw.Source, a answers.Answers, o limits.Options, whole pass.Reading, to merge.Sink) (_ pass.Reading, err error) {
	in, err := cutTables(src, whole, o)
	if err != nil || len(in) == 0 {
		return whole, err
	}
	pile := &merge.Pile{To: to}
	defer func() { err = errors.Join(err, pile.Close()) }()
	list, err := readTables(ctx, in, a, o, clock.OrderEvidence{}, pile)
	if err != nil {
		return pass.Reading{}, err
	}
	orders, some := settledOrder(list)
	if mark := settledMark(list); some || mark != 0 {
		for i := range in {
			in[i].Within.Decimal = mark
		}
		if list, err = readTables(ctx, in, a, o, orders, pile); err != nil {
			return pass.Reading{}, err
		}
	}
	if !slices.ContainsFunc(list, func(one pass.Reading) bool { return one.Lines.Header == 0 }) {
		r, err := joinTables(list, whole.Starts, pile)
		if err != nil {
			return pass.Reading{}, err
		}
		if r.Values.Stored > whole.Values.Stored {
			return r, pile.Give()
		}
	}
	return whole, nil
}

// readTables reads each table onto the pile.
func readTables(ctx context.Context, in []raw.Source, a answers.Answers, o limits.Options, orders clock.OrderEvidence, pile *merge.Pile) (list []pass.Reading, err error) {
	if err := pile.Close(); err != nil {
		return nil, err
	}
	for _, src := range in {
		src.Within.Orders = orders
		r, err := To(ctx, src, a, o, pile)
		if err != nil {
			return nil, err
		}
		if err := pile.Next(); err != nil {
			return nil, err
		}
		list = append(list, r)
	}
	return list, nil
}

// settledOrder is the order of dates that some tables prove and others leave open.
func settledOrder(list []pass.Reading) (e clock.OrderEvidence, some bool) {
	open, known := false, ""
	for _, r := range list {
		switch o := r.Understanding.Time.Order; {
		case o == "open":
			open = true
		case o != "" && known == "":
			known = o
		case o != "" && known != o:
			return e, false
		}
	}
	o, named := clock.OrderOf(known)
	if !open || !named {
		return e, false
	}
	e.Only(o, "another table of the file is read "+known)
	return e, true
}

// settledMark is the decimal mark that some tables prove and others leave open.
func settledMark(list []pass.Reading) (mark byte) {
	open := false
	for _, r := range list {
		switch {
		case r.Decimal == 0:
			open = true
		case mark != 0 && mark != r.Decimal:
			return 0
		default:
			mark = r.Decimal
		}
	}
	if !open {
		return 0
	}
	return mark
}

// cutTables gives each table as a source of its own; none where the file is too long
// to be cut.
func cutTables(src raw.Source, whole pass.Reading, o limits.Options) ([]raw.Source, error) {
	c, outer := whole.Charset, src.Within
	body, err := c.Open(io.NewSectionReader(src, 0, src.Size))
	if err != nil {
		return nil, err
	}
	from := int64(c.Bom)
	if c.Wide {
		if src.Size > mostDecoded {
			return nil, nil
		}
		text, err := io.ReadAll(body)
		if err != nil {
			return nil, err
		}
		src, body = raw.Source{ReaderAt: bytes.NewReader(text), Size: int64(len(text))}, bytes.NewReader(text)
		c.Decoder, c.Wide, from = nil, false, 0
	}
	c.Bom = 0
	ends, err := lineStarts(body, whole.Starts, o)
	if err != nil {
		return nil, err
	}
	ends = append(ends, src.Size-from)
	var list []raw.Source
	begin := int64(0)
	for i, end := range ends {
		one := raw.Source{ReaderAt: io.NewSectionReader(src, from+begin, end-begin), Size: end - begin, Within: &raw.Surrounding{Charset: c}}
		if outer != nil {
			one.Within.Above = outer.Above
		}
		if i > 0 {
			one.Within.Above = slices.Concat(one.Within.Above, whole.Above)
		}
		list, begin = append(list, one), end
	}
	return list, nil
}

// lineStarts finds at which byte lines begin. The numbers are in order.
func lineStarts(body io.Reader, numbers []int64, o limits.Options) ([]int64, error) {
	count := &counter{Reader: body}
	r := raw.NewReader(count, o.Line())
	var at []int64
	for len(at) < len(numbers) {
		if r.Number+1 == numbers[len(at)] {
			at = append(at, count.n-int64(len(r.Ahead())))
			continue
		}
		if _, err := r.Next(); err != nil {
			return nil, fmt.Errorf("line %d: %w", r.Number+1, err)
		}
	}
	return at, nil
}

// A counter counts the bytes that are read from it.
type counter struct {
	io.Reader
	n int64
}

func (c *counter) Read(b []byte) (int, error) {
	n, err := c.Reader.Read(b)
	c.n += int64(n)
	return n, err
}

// joinTables makes one reading of those of several tables.
func joinTables(list []pass.Reading, starts []int64, pile *merge.Pile) (pass.Reading, error) {
	r := pass.Reading{}
	shift := int64(0)
	for i, one := range list {
		if i > 0 {
			shift = starts[i-1] - 1
		}
		r.Lines, r.Values = r.Lines.Add(one.Lines), r.Values.Add(one.Values)
		if err := moveDown(&list[i], shift); err != nil {
			return r, err
		}
	}
	if err := joinReadings(&r, list, pile); err != nil {
		return r, err
	}
	return r, nil
}

// moveDown counts the lines of a table from the beginning of its file.
func moveDown(r *pass.Reading, shift int64) error {
	for i := range r.Understanding.Quarantined {
		r.Understanding.Quarantined[i].Line += shift
		r.Understanding.Quarantined[i].Last += shift
	}
	for i := range r.Understanding.Time.Offsets {
		r.Understanding.Time.Offsets[i].Line += shift
	}
	for i := range r.Understanding.Cells {
		r.Understanding.Cells[i].Line += shift
		r.Understanding.Cells[i].Last += shift
	}
	for i := range r.Parts {
		err := r.Parts[i].EachRefusal(func(row *table.Refusal) {
			row.FirstLine += shift
			row.LastLine += shift
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// joinReadings puts together what several readings of a file say of each system, and how
// they understood it.
func joinReadings(r *pass.Reading, list []pass.Reading, pile *merge.Pile) error {
	for system := range list[0].Parts {
		part, lost, err := joinSystem(list, system, pile)
		if err != nil {
			return err
		}
		r.Parts = append(r.Parts, part)
		r.Values = r.Values.Shift(lost)
	}
	r.Understanding = joinUnderstandings(list, *r)
	return nil
}

// joinSystem puts what several tables say of one system together: of two values for
// one time that of the later table counts.
func joinSystem(list []pass.Reading, system int, pile *merge.Pile) (part pass.PartRows, lost int64, err error) {
	part.System = list[0].Parts[system].System
	var refusals []*frame.Frame
	for _, r := range list {
		refusals = append(refusals, r.Parts[system].Refusals)
	}
	if part.Refusals, err = frame.Concat(refusals...); err != nil {
		return part, 0, err
	}
	for _, t := range []table.Table{sampleTable, extrasTable} {
		e, n, err := pile.Measure(system, t)
		if err != nil {
			return part, 0, err
		}
		part.Span(e)
		lost += n
	}
	return part, lost, nil
}

// joinUnderstandings tells how the file as a whole was understood: as its first table,
// with the columns of all.
func joinUnderstandings(list []pass.Reading, r pass.Reading) understood.File {
	u := list[0].Understanding
	for _, one := range list[1:] {
		o := one.Understanding
		u.Columns = append(u.Columns, o.Columns...)
		u.Quarantined = append(u.Quarantined, o.Quarantined...)
		u.Cells = append(u.Cells, o.Cells[:min(len(o.Cells), max(0, understood.MostCells-len(u.Cells)))]...)
		for _, n := range o.Notes {
			if !slices.Contains(u.Notes, n) {
				u.Notes = append(u.Notes, n)
			}
		}
		for _, q := range o.OpenQuestions {
			if !slices.Contains(u.OpenQuestions, q) {
				u.OpenQuestions = append(u.OpenQuestions, q)
			}
		}
		if o.Time.FirstUTC != "" && (u.Time.FirstUTC == "" || o.Time.FirstUTC < u.Time.FirstUTC) {
			u.Time.FirstUTC = o.Time.FirstUTC
		}
		u.Time.LastUTC = max(u.Time.LastUTC, o.Time.LastUTC)
		for _, run := range o.Time.Offsets {
			if n := len(u.Time.Offsets); n == 0 || u.Time.Offsets[n-1].OffsetS != run.OffsetS {
				u.Time.Offsets = append(u.Time.Offsets, run)
			}
		}
		u.Passes += o.Passes
		u.Tables += o.Tables
	}
	u.Evidence = append(u.Evidence, understood.Evidence{Decision: "tables", Evidence: fmt.Sprintf("%d tables stand below each other, each with its own names of columns", u.Tables)})
	u.Lines, u.Values = r.Lines, r.Values
	u.PreambleLines, u.HeaderLines, u.FooterLines, u.BlankLines, u.DataRows = r.Lines.Preamble, r.Lines.Header, r.Lines.Footer, r.Lines.Blank, r.Lines.Data
	return u
}
