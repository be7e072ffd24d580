package ingest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"

	"rimelog/ingest/clock"
	"rimelog/ingest/merge"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// maxTables is how many tables below each other a file has at most.
const maxTables = 64

// mostDecoded is how many bytes of a file whose characters take two bytes are decoded
// into memory to cut it into tables; a longer one is not cut.
const mostDecoded = 32 << 20

// titles is a line of words in mid-file that may name the columns of another table.
type titles struct {
	number int64 // of the line
	block  int64 // where the table begins: below the last blank line
	cells  int
}

// noteTitles remembers a line of words.
func (s *pass) noteTitles() {
	filled, names := 0, 0
	for _, c := range s.split {
		unit := isUnit(string(c))
		if k := kindOf(c); k != textCell && k != emptyCell && !unit {
			return
		}
		if len(c) > 0 {
			filled++
		}
		if len(c) > 0 && !unit {
			names++
		}
	}
	if filled > 1 && names > 0 {
		s.nameTable(len(s.split))
	}
}

// nameTable remembers a line as one that names columns; it belongs to the one before
// where that names some too.
func (s *pass) nameTable(cells int) {
	t := titles{number: s.number, block: s.number, cells: cells}
	switch {
	case s.titles.number == s.number-1 && s.number > 1:
		t.block = s.titles.block
	case s.blank > s.taken:
		t.block = s.blank + 1
	}
	s.titles = t
}

// noteTable remembers that a line of data stands below the names of other columns.
func (s *pass) noteTable(cells int) {
	t := s.titles
	if t.number <= s.taken || t.cells != cells || len(s.starts) >= maxTables || slices.Contains(s.starts, t.block) {
		return
	}
	s.starts = append(s.starts, t.block)
}

// A surrounding is what a table knows of the file that it is a part of.
type surrounding struct {
	charset charset
	above   []string // the first lines of the file
	orders  clock.OrderEvidence
	decimal byte // the mark that another table proves
}

// readStacked reads a file of several tables, one below the other, each as a file of
// its own, under what the lines at the file's beginning say. Starts are the lines at
// which tables begin. It gives the reading as it was where that holds more.
func readStacked(ctx context.Context, src Source, a Answers, o Options, whole Reading, to merge.Sink) (_ Reading, err error) {
	in, err := cutTables(src, whole, o)
	if err != nil || len(in) == 0 {
		return whole, err
	}
	pile := &merge.Pile{To: to}
	defer func() { err = errors.Join(err, pile.Close()) }()
	list, err := readTables(ctx, in, a, o, clock.OrderEvidence{}, pile)
	if err != nil {
		return Reading{}, err
	}
	orders, some := settledOrder(list)
	if mark := settledMark(list); some || mark != 0 {
		for i := range in {
			in[i].within.decimal = mark
		}
		if list, err = readTables(ctx, in, a, o, orders, pile); err != nil {
			return Reading{}, err
		}
	}
	if !slices.ContainsFunc(list, func(one Reading) bool { return one.Lines.Header == 0 }) {
		r, err := joinTables(list, whole.starts, pile)
		if err != nil {
			return Reading{}, err
		}
		if r.Values.Stored > whole.Values.Stored {
			return r, pile.Give()
		}
	}
	return whole, nil
}

// readTables reads each table onto the pile.
func readTables(ctx context.Context, in []Source, a Answers, o Options, orders clock.OrderEvidence, pile *merge.Pile) (list []Reading, err error) {
	if err := pile.Close(); err != nil {
		return nil, err
	}
	for _, src := range in {
		src.within.orders = orders
		r, err := readTo(ctx, src, a, o, pile)
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
func settledOrder(list []Reading) (e clock.OrderEvidence, some bool) {
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
func settledMark(list []Reading) (mark byte) {
	open := false
	for _, r := range list {
		switch {
		case r.decimal == 0:
			open = true
		case mark != 0 && mark != r.decimal:
			return 0
		default:
			mark = r.decimal
		}
	}
	if !open {
		return 0
	}
	return mark
}

// cutTables gives each table as a source of its own; none where the file is too long
// to be cut.
func cutTables(src Source, whole Reading, o Options) ([]Source, error) {
	c, outer := whole.charset, src.within
	body, err := c.open(io.NewSectionReader(src, 0, src.Size))
	if err != nil {
		return nil, err
	}
	from := int64(c.bom)
	if c.wide {
		if src.Size > mostDecoded {
			return nil, nil
		}
		text, err := io.ReadAll(body)
		if err != nil {
			return nil, err
		}
		src, body = Source{ReaderAt: bytes.NewReader(text), Size: int64(len(text))}, bytes.NewReader(text)
		c.decoder, c.wide, from = nil, false, 0
	}
	c.bom = 0
	ends, err := lineStarts(body, whole.starts, o)
	if err != nil {
		return nil, err
	}
	ends = append(ends, src.Size-from)
	var list []Source
	begin := int64(0)
	for i, end := range ends {
		one := Source{ReaderAt: io.NewSectionReader(src, from+begin, end-begin), Size: end - begin, within: &surrounding{charset: c}}
		if outer != nil {
			one.within.above = outer.above
		}
		if i > 0 {
			one.within.above = slices.Concat(one.within.above, whole.above)
		}
		list, begin = append(list, one), end
	}
	return list, nil
}

// lineStarts finds at which byte lines begin. The numbers are in order.
func lineStarts(body io.Reader, numbers []int64, o Options) ([]int64, error) {
	count := &counter{Reader: body}
	r := newLineReader(count, o.lineLimit())
	var at []int64
	for len(at) < len(numbers) {
		if r.number+1 == numbers[len(at)] {
			at = append(at, count.n-int64(r.end-r.start))
			continue
		}
		if _, err := r.next(); err != nil {
			return nil, fmt.Errorf("line %d: %w", r.number+1, err)
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
func joinTables(list []Reading, starts []int64, pile *merge.Pile) (Reading, error) {
	r := Reading{}
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
	if err := r.joinParts(list, pile); err != nil {
		return r, err
	}
	return r, nil
}

// moveDown counts the lines of a table from the beginning of its file.
func moveDown(r *Reading, shift int64) error {
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
		err := r.Parts[i].eachRefusal(func(row *table.Refusal) {
			row.FirstLine += shift
			row.LastLine += shift
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// joinParts puts together what several readings of a file say of each system, and how
// they understood it.
func (r *Reading) joinParts(list []Reading, pile *merge.Pile) error {
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
func joinSystem(list []Reading, system int, pile *merge.Pile) (part PartRows, lost int64, err error) {
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
		part.span(e)
		lost += n
	}
	return part, lost, nil
}

// joinUnderstandings tells how the file as a whole was understood: as its first table,
// with the columns of all.
func joinUnderstandings(list []Reading, r Reading) Understanding {
	u := list[0].Understanding
	for _, one := range list[1:] {
		o := one.Understanding
		u.Columns = append(u.Columns, o.Columns...)
		u.Quarantined = append(u.Quarantined, o.Quarantined...)
		u.Cells = append(u.Cells, o.Cells[:min(len(o.Cells), max(0, mostCells-len(u.Cells)))]...)
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
	u.Evidence = append(u.Evidence, Evidence{"tables", fmt.Sprintf("%d tables stand below each other, each with its own names of columns", u.Tables)})
	u.Lines, u.Values = r.Lines, r.Values
	u.PreambleLines, u.HeaderLines, u.FooterLines, u.BlankLines, u.DataRows = r.Lines.Preamble, r.Lines.Header, r.Lines.Footer, r.Lines.Blank, r.Lines.Data
	return u
}
