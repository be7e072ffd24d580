package timeline

import (
	"bytes"
	"slices"
	"strconv"

	"rimelog/ingest/clock"
	"rimelog/ingest/dialect"
	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
	"rimelog/thermo/units"
)

// A ColumnLook is what the cells of a column look like in the body of the sample: by that a
// column of time is found.
type ColumnLook struct {
	Full, Dates, ordinals, Times, dotted, compact, short, Numbers, filled int

	shortDigits, longDigits int // cells of digits that can be date and time
	cut                     int // numbers that lack their last digits
	Intervals               int // stamps with the end of an interval

	least, most     float64
	widths          [7]bool // how many digits its compact times have
	rising, falling bool
	First, last     scan.Decimal
	decimals        int
	over24          bool
	values          int
}

// Looks are what the columns of a body look like, as far as somebody asked. The zero
// value is ready.
type Looks struct {
	body []int
	of   map[int]ColumnLook
}

// At tells what the cells of a column look like in the body of a grid.
func (k *Looks) At(g dialect.Grid, col int) ColumnLook {
	if k.of == nil || !slices.Equal(k.body, g.Body) {
		*k = Looks{g.Body, map[int]ColumnLook{}}
	}
	l, known := k.of[col]
	if !known {
		l = lookAtColumn(g, col)
		k.of[col] = l
	}
	return l
}

// lookAtColumn looks at the cells of one column.
func lookAtColumn(g dialect.Grid, col int) ColumnLook {
	l := ColumnLook{rising: true, falling: true}
	apart := false // other lines stand between: a table may end there
	for k, i := range g.Body {
		apart = apart || k > 0 && g.Body[k-1] != i-1
		c := g.Cells[i][col]
		if len(c) == 0 {
			continue
		}
		l.filled++
		l.forms(c)
		d, ok := bareNumber(c)
		if ok {
			l.number(d, apart)
		}
		apart = !ok
	}
	return l
}

// forms counts in which forms a cell can be a time.
func (l *ColumnLook) forms(c []byte) {
	if s, ok := clock.ParseStamp(c); ok {
		l.stamp(s)
	}
	if hourAndMinute(c) {
		l.dotted++
	}
	if shortDate(c) {
		l.short++
	}
	if _, ok := shortDigitsJoint.dateDigits(c); ok {
		l.shortDigits++
	}
	if _, ok := longDigitsJoint.dateDigits(c); ok {
		l.longDigits++
	}
	if cutDigits(c) {
		l.cut++
	}
	if compactTime(c) {
		l.compact++
		l.widths[len(c)] = true
	}
}

// number takes the next number of a column; one that stands apart from those before may fall.
func (l *ColumnLook) number(d scan.Decimal, apart bool) {
	v, before := d.Float(), l.last.Float()
	if l.values == 0 {
		l.First, l.least, l.most, before = d, v, v, v
	}
	l.least, l.most = min(l.least, v), max(l.most, v)
	l.rising = l.rising && (v >= before || apart)
	l.falling = l.falling && v <= before
	l.decimals = max(l.decimals, d.Decimals)
	l.last = d
	l.values++
	l.Numbers++
}

// bareNumber reads a number without a unit, with either decimal mark.
func bareNumber(cell []byte) (scan.Decimal, bool) {
	mark := scan.PointOrComma(cell)
	if m, decimals, end, ok := scan.PlainNumber(cell, 0, mark, 0); ok && end == len(cell) {
		return scan.Decimal{Mantissa: m, Decimals: decimals}, true
	}
	d, _, rest, ok := scan.Number(cell, scan.Marks{Decimal: mark})
	return d, ok && len(rest) == 0
}

func (l *ColumnLook) stamp(s clock.Stamp) {
	if s.Interval {
		l.Intervals++
	}
	switch {
	case s.HasDate && !clock.Plausible(s):
	case s.HasDate && s.HasTime:
		l.Full++
	case s.HasDate:
		l.Dates++
		if s.Ordinal {
			l.ordinals++
		}
	case s.HasTime:
		l.Times++
		l.over24 = l.over24 || s.Hour >= 24
	}
}

// Mostly tells whether nearly all cells that hold something count.
func (l ColumnLook) Mostly(n int) bool { return n > 0 && n*4 >= l.filled*3 }

// Find finds the columns that tell the time, and how their cells are joined.
// Titles may be nil while the header is not known yet.
func Find(k *Looks, g dialect.Grid, titles []naming.Title) (kind Kind, columns []int, how joint, why string) {
	g.Body = timedLines(g)
	f := finder{Grid: g, titles: titles, looks: make([]ColumnLook, g.Columns)}
	for i := range f.looks {
		if g.Strip.Holds(i) {
			f.looks[i] = k.At(g, i)
		}
	}
	if i := f.search(); i >= 0 {
		return StampTime, []int{i}, blankJoint, "its cells hold date and time"
	}
	if parts := findParts(f.looks, titles); parts != nil {
		return StampTime, parts, partsJoint, "year, month, day and time stand in columns of their own"
	}
	if kind, columns, how, why, ok := f.dateAndClock(); ok {
		return kind, columns, how, why
	}
	for i, l := range f.looks {
		if how := l.digits(); how != blankJoint && timely(titles, i) {
			return StampTime, []int{i}, how, "its cells hold date and time in digits without marks"
		}
	}
	kind, columns, why = findNumericTime(f.looks, titles)
	return kind, columns, blankJoint, why
}

// A finder looks for the columns of a grid that tell the time.
type finder struct {
	dialect.Grid
	titles      []naming.Title // nil while the header is not known
	looks       []ColumnLook   // by column
	date, hours int            // the first column of a date, and of a time of day; -1 where there is none
	short       bool           // the date has six digits
}

// search finds the first column of a date and that of a time of day; where one holds both, it
// gives that, else -1.
func (f *finder) search() int {
	f.date, f.hours = -1, -1
	for i, l := range f.looks {
		numeric := l.Mostly(l.Numbers) // 20250304 is a number too
		switch {
		case f.date < 0 && l.short > 0 && l.short == l.filled && named(f.titles, i, "date"):
			f.date, f.short = i, true
		case l.Mostly(l.Full) && (!numeric || i == 0):
			return i
		case l.Mostly(l.Dates) && f.date < 0 && (!numeric || i < 2 || named(f.titles, i, "date")) && (l.ordinals == 0 || dayNamed(f.titles, i)):
			f.date = i
		case l.isClock(f.titles, i, f.date >= 0) && f.hours < 0:
			f.hours = i
		}
	}
	return -1
}

// dateAndClock tells the time by the columns that were found of a date and of a time of day.
func (f *finder) dateAndClock() (kind Kind, columns []int, how joint, why string, ok bool) {
	date, hours := f.date, f.hours
	switch {
	case f.short && hours < 0:
	case f.short:
		return StampTime, []int{date, hours}, f.looks[hours].shortJoint(), "one column holds the date in six digits, another the time of day", true
	case date >= 0 && hours >= 0 && findMillis(f.looks, f.titles, hours):
		return StampTime, []int{date, hours, hours + 1}, milliJoint, "one column holds the date, another the time of day, a third its milliseconds", true
	case date >= 0 && hours >= 0:
		return StampTime, []int{date, hours}, f.looks[hours].joint(), "one column holds the date, another the time of day", true
	case date >= 0 && sparse(f.looks[date], f.Grid):
		return NoTime, nil, blankJoint, "", true
	case date >= 0 && !f.looks[date].Mostly(f.looks[date].Numbers):
		return StampTime, []int{date}, blankJoint, "its cells hold a date", true
	case hours >= 0 && (f.looks[hours].over24 || named(f.titles, hours, "elapsed")):
		return ElapsedTime, []int{hours}, blankJoint, "its cells count hours, minutes and seconds", true
	case hours >= 0 && f.looks[hours].Times > 0:
		return DayTime, []int{hours}, blankJoint, "its cells hold the time of day", true
	}
	return NoTime, nil, blankJoint, "", false
}

// enoughDigits is how many cells that can be a date and time in digits tell that none of
// them counts seconds since 1970: of those, four in ten have more than 59 in the last two
// digits, or three in four more than 23 in the two before.
const enoughDigits = 12

// digits tells by which joint all cells of a column are date and time in digits without
// marks, where there is one only.
func (l ColumnLook) digits() joint {
	short, long := l.shortDigits == l.filled, l.longDigits == l.filled
	switch {
	case l.filled == 0 || short == long:
		return blankJoint
	case long:
		return longDigitsJoint
	case PerEpoch(l.least) != 0 && l.filled < enoughDigits:
		return blankJoint
	}
	return shortDigitsJoint
}

// cutDigits tells whether a number is written with an exponent that stands for digits
// which are not printed: 1.74195E+12, as a spreadsheet shows a long number in a narrow
// column.
func cutDigits(cell []byte) bool {
	i := bytes.IndexAny(cell, "eE")
	if i < 0 {
		return false
	}
	power, err := strconv.Atoi(string(bytes.TrimPrefix(cell[i+1:], []byte{'+'})))
	mark := bytes.IndexByte(cell[:i], scan.PointOrComma(cell))
	return err == nil && mark > 0 && i-mark-1 < power
}

// timedLines leaves out of the body the lines of a summary: those without any date or
// time where most have one.
func timedLines(g dialect.Grid) []int {
	var timed []int
	for _, i := range g.Body {
		if g.Kinds[i].Stamped || len(g.Cells[i]) == 1 && dialect.KindOf(g.Cells[i][0]) == dialect.StampCell {
			timed = append(timed, i)
		}
	}
	if 2*len(timed) < len(g.Body) {
		return g.Body
	}
	return timed
}

// isClock tells whether a column holds times of day; those without colons only where
// the header says so and a date stands before.
func (l ColumnLook) isClock(titles []naming.Title, i int, dated bool) bool {
	if l.Mostly(l.Times) {
		return true
	}
	if !dated || !named(titles, i, "time") || l.filled == 0 {
		return false
	}
	return l.dotted == l.filled || l.compact == l.filled && (l.widths[6] && !l.widths[4] && !l.widths[3] || l.widths[4] && !l.widths[5] && !l.widths[6])
}

func (l ColumnLook) joint() joint {
	switch {
	case l.dotted > 0:
		return dottedJoint
	case l.compact == l.filled:
		return compactJoint
	}
	return blankJoint
}

// shortJoint is joint behind a date of six digits.
func (l ColumnLook) shortJoint() joint {
	switch l.joint() {
	case dottedJoint:
		return shortDottedJoint
	case compactJoint:
		return shortCompactJoint
	}
	return shortJoint
}

// dayNamed tells whether a column may hold a year and the number of a day in it: a
// running number of orders or batches looks the same.
func dayNamed(titles []naming.Title, i int) bool {
	return timely(titles, i) || titles != nil && titles[i].IsWord(OrdinalWords)
}

// OrdinalWords head a column of the number of the day in its year, folded.
var OrdinalWords = scan.WordSet("day doy julian yearday dayofyear tag jour dia giorno dag jourdelannee")

// countWords head a column that numbers the samples, folded.
var countWords = scan.WordSet("no nr num number nummer numero index sample record scan reading messung")

// CountsSamples tells whether the first column numbers the samples from 0 or 1 on.
func CountsSamples(k *Looks, g dialect.Grid, titles []naming.Title) bool {
	l := k.At(g, 0)
	words := naming.Words(titles[0].Text)
	return l.Mostly(l.Numbers) && l.rising && l.decimals == 0 && len(words) == 1 && countWords[words[0]]
}

func sparse(l ColumnLook, g dialect.Grid) bool { return l.filled*10 < len(g.Body)*9 }

// timely tells whether a column of numbers can be one of time by its header: it says
// so, or it is the first of a file without a header.
func timely(titles []naming.Title, i int) bool {
	if titles == nil || titles[i].Text == "" {
		return i == 0
	}
	return titles[i].Has("time") || titles[i].Has("date")
}

func named(titles []naming.Title, i int, concept string) bool {
	return titles != nil && titles[i].Has(concept)
}

// findNumericTime finds a column of numbers that only rise and that are seconds
// since 1970, days since 1900, or a duration by their unit.
func findNumericTime(looks []ColumnLook, titles []naming.Title) (Kind, []int, string) {
	for i, l := range looks {
		oneWay := l.rising || l.falling || titles != nil && titles[i].Text != "" // its name counts more than an overlap
		if !l.Mostly(l.Numbers) || l.cut > 0 || l.shortDigits == l.filled || !oneWay || l.values < 2 && titles == nil || !timely(titles, i) {
			continue
		}
		per := PerEpoch(l.First.Float())
		switch {
		case per != 0 && per == PerEpoch(l.least) && per == PerEpoch(l.most):
			return EpochTime, []int{i}, "its numbers are as large as time since 1970"
		case per != 0 && (l.rising || l.falling) && per == PerEpoch(l.last.Float()):
			return EpochTime, []int{i}, "its numbers run one way and are as large as time since 1970"
		case l.least > 36892 && l.most < 73051 && l.decimals > 0: // 2001 to 2100
			return SerialTime, []int{i}, "its numbers are as large as days since 1900; the count of 1900 is taken, not that of 1904"
		}
	}
	for i, l := range looks {
		if titles == nil || !l.Mostly(l.Numbers) || !l.rising {
			continue
		}
		alone := i == 0 && titles[i].Name == "" // "min" says both
		if u, err := units.Parse(titles[i].Label); err == nil && u.Quantity == units.Duration && (alone || timely(titles, i) || titles[i].Has("elapsed")) {
			return ElapsedTime, []int{i}, "its numbers rise from the start, in " + u.Label
		}
	}
	if titles == nil && len(looks) > 0 && looks[0].Mostly(looks[0].Numbers) && looks[0].rising {
		return ElapsedTime, []int{0}, "its numbers rise"
	}
	return NoTime, nil, ""
}

// PerEpoch is how many microseconds one is, of a number that counts time since
// 1970 in seconds, milliseconds or microseconds, or 0.
func PerEpoch(v float64) int64 {
	for per := int64(clock.Second); per >= 1; per /= 1000 {
		if t := v * float64(per); t >= clock.Earliest && t < clock.Latest {
			return per
		}
	}
	return 0
}
