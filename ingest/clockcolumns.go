package ingest

import (
	"bytes"
	"slices"
	"strconv"

	"rimelog/ingest/clock"
	"rimelog/ingest/scan"
	"rimelog/thermo/units"
)

// A column of time is found by what its cells look like in the body of the sample.
type columnLook struct {
	full, dates, ordinals, times, dotted, compact, short, numbers, filled int

	shortDigits, longDigits int // cells of digits that can be date and time
	cut                     int // numbers that lack their last digits
	intervals               int // stamps with the end of an interval

	least, most     float64
	widths          [7]bool // how many digits its compact times have
	rising, falling bool
	first, last     scan.Decimal
	decimals        int
	over24          bool
	values          int
}

// looks are what the columns of a body look like, as far as somebody asked.
type looks struct {
	body []int
	of   map[int]columnLook
}

// look tells what the cells of a column look like in the body.
func (g grid) look(col int) columnLook {
	if !slices.Equal(g.looks.body, g.body) {
		*g.looks = looks{g.body, map[int]columnLook{}}
	}
	l, known := g.looks.of[col]
	if !known {
		l = lookAtColumn(g, col)
		g.looks.of[col] = l
	}
	return l
}

// lookAtColumn looks at the cells of one column.
func lookAtColumn(g grid, col int) columnLook {
	l := columnLook{rising: true, falling: true}
	var before float64
	apart := false // other lines stand between: a table may end there
	for k, i := range g.body {
		apart = apart || k > 0 && g.body[k-1] != i-1
		c := g.cells[i][col]
		if len(c) == 0 {
			continue
		}
		l.filled++
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
		d, ok := bareNumber(c)
		if !ok {
			apart = true
			continue
		}
		v := d.Float()
		if l.values == 0 {
			l.first, l.least, l.most = d, v, v
		}
		l.least, l.most = min(l.least, v), max(l.most, v)
		l.rising = l.rising && (l.values == 0 || v >= before || apart)
		l.falling = l.falling && (l.values == 0 || v <= before)
		before, l.last, l.values, apart = v, d, l.values+1, false
		l.decimals = max(l.decimals, d.Decimals)
		l.numbers++
	}
	return l
}

// bareNumber reads a number without a unit, with either decimal mark.
func bareNumber(cell []byte) (scan.Decimal, bool) {
	mark := pointOrComma(cell)
	if m, decimals, end, ok := scan.PlainNumber(cell, 0, mark, 0); ok && end == len(cell) {
		return scan.Decimal{Mantissa: m, Decimals: decimals}, true
	}
	d, _, rest, ok := scan.Number(cell, scan.Marks{Decimal: mark})
	return d, ok && len(rest) == 0
}

func pointOrComma(cell []byte) byte {
	if slices.Contains(cell, ',') {
		return ','
	}
	return '.'
}

func (l *columnLook) stamp(s clock.Stamp) {
	if s.Interval {
		l.intervals++
	}
	switch {
	case s.HasDate && !plausible(s):
	case s.HasDate && s.HasTime:
		l.full++
	case s.HasDate:
		l.dates++
		if s.Ordinal {
			l.ordinals++
		}
	case s.HasTime:
		l.times++
		l.over24 = l.over24 || s.Hour >= 24
	}
}

// mostly tells whether nearly all cells that hold something count.
func (l columnLook) mostly(n int) bool { return n > 0 && n*4 >= l.filled*3 }

// findTime finds the columns that tell the time, and how their cells are joined.
// Titles may be nil while the header is not known yet.
func findTime(g grid, titles []title) (kind timeKind, columns []int, how joint, why string) {
	g.body = g.timedLines()
	looks := make([]columnLook, g.columns)
	for i := range looks {
		if g.strip.holds(i) {
			looks[i] = g.look(i)
		}
	}
	date, hours, short := -1, -1, false
	for i, l := range looks {
		numeric := l.mostly(l.numbers) // 20250304 is a number too
		switch {
		case date < 0 && l.short > 0 && l.short == l.filled && named(titles, i, "date"):
			date, short = i, true
		case l.mostly(l.full) && (!numeric || i == 0):
			return stampTime, []int{i}, blankJoint, "its cells hold date and time"
		case l.mostly(l.dates) && date < 0 && (!numeric || i < 2 || named(titles, i, "date")) && (l.ordinals == 0 || dayNamed(titles, i)):
			date = i
		case l.isClock(titles, i, date >= 0) && hours < 0:
			hours = i
		}
	}
	if parts := findParts(looks, titles); parts != nil {
		return stampTime, parts, partsJoint, "year, month, day and time stand in columns of their own"
	}
	switch {
	case short && hours < 0:
	case short:
		return stampTime, []int{date, hours}, looks[hours].shortJoint(), "one column holds the date in six digits, another the time of day"
	case date >= 0 && hours >= 0 && findMillis(looks, titles, hours):
		return stampTime, []int{date, hours, hours + 1}, milliJoint, "one column holds the date, another the time of day, a third its milliseconds"
	case date >= 0 && hours >= 0:
		return stampTime, []int{date, hours}, looks[hours].joint(), "one column holds the date, another the time of day"
	case date >= 0 && sparse(looks[date], g):
		return noTime, nil, blankJoint, ""
	case date >= 0 && !looks[date].mostly(looks[date].numbers):
		return stampTime, []int{date}, blankJoint, "its cells hold a date"
	case hours >= 0 && (looks[hours].over24 || named(titles, hours, "elapsed")):
		return elapsedTime, []int{hours}, blankJoint, "its cells count hours, minutes and seconds"
	case hours >= 0 && looks[hours].times > 0:
		return dayTime, []int{hours}, blankJoint, "its cells hold the time of day"
	}
	for i, l := range looks {
		if how := l.digits(); how != blankJoint && timely(titles, i) {
			return stampTime, []int{i}, how, "its cells hold date and time in digits without marks"
		}
	}
	kind, columns, why = findNumericTime(looks, titles)
	return kind, columns, blankJoint, why
}

// enoughDigits is how many cells that can be a date and time in digits tell that none of
// them counts seconds since 1970: of those, four in ten have more than 59 in the last two
// digits, or three in four more than 23 in the two before.
const enoughDigits = 12

// digits tells by which joint all cells of a column are date and time in digits without
// marks, where there is one only.
func (l columnLook) digits() joint {
	short, long := l.shortDigits == l.filled, l.longDigits == l.filled
	switch {
	case l.filled == 0 || short == long:
		return blankJoint
	case long:
		return longDigitsJoint
	case perEpoch(l.least) != 0 && l.filled < enoughDigits:
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
	mark := bytes.IndexByte(cell[:i], pointOrComma(cell))
	return err == nil && mark > 0 && i-mark-1 < power
}

// timedLines leaves out of the body the lines of a summary: those without any date or
// time where most have one.
func (g grid) timedLines() []int {
	var timed []int
	for _, i := range g.body {
		if g.kinds[i].stamped || len(g.cells[i]) == 1 && kindOf(g.cells[i][0]) == stampCell {
			timed = append(timed, i)
		}
	}
	if 2*len(timed) < len(g.body) {
		return g.body
	}
	return timed
}

// isClock tells whether a column holds times of day; those without colons only where
// the header says so and a date stands before.
func (l columnLook) isClock(titles []title, i int, dated bool) bool {
	if l.mostly(l.times) {
		return true
	}
	if !dated || !named(titles, i, "time") || l.filled == 0 {
		return false
	}
	return l.dotted == l.filled || l.compact == l.filled && (l.widths[6] && !l.widths[4] && !l.widths[3] || l.widths[4] && !l.widths[5] && !l.widths[6])
}

func (l columnLook) joint() joint {
	switch {
	case l.dotted > 0:
		return dottedJoint
	case l.compact == l.filled:
		return compactJoint
	}
	return blankJoint
}

// shortJoint is joint behind a date of six digits.
func (l columnLook) shortJoint() joint {
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
func dayNamed(titles []title, i int) bool {
	return timely(titles, i) || titles != nil && titles[i].isWord(ordinalWords)
}

// ordinalWords head a column of the number of the day in its year, folded.
var ordinalWords = scan.WordSet("day doy julian yearday dayofyear tag jour dia giorno dag jourdelannee")

// countWords head a column that numbers the samples, folded.
var countWords = scan.WordSet("no nr num number nummer numero index sample record scan reading messung")

// countsSamples tells whether the first column numbers the samples from 0 or 1 on.
func countsSamples(g grid, titles []title) bool {
	l := g.look(0)
	words := titleWords(titles[0].text)
	return l.mostly(l.numbers) && l.rising && l.decimals == 0 && len(words) == 1 && countWords[words[0]]
}

func sparse(l columnLook, g grid) bool { return l.filled*10 < len(g.body)*9 }

// timely tells whether a column of numbers can be one of time by its header: it says
// so, or it is the first of a file without a header.
func timely(titles []title, i int) bool {
	if titles == nil || titles[i].text == "" {
		return i == 0
	}
	return titles[i].has("time") || titles[i].has("date")
}

func named(titles []title, i int, concept string) bool {
	return titles != nil && titles[i].has(concept)
}

// findNumericTime finds a column of numbers that only rise and that are seconds
// since 1970, days since 1900, or a duration by their unit.
func findNumericTime(looks []columnLook, titles []title) (timeKind, []int, string) {
	for i, l := range looks {
		oneWay := l.rising || l.falling || titles != nil && titles[i].text != "" // its name counts more than an overlap
		if !l.mostly(l.numbers) || l.cut > 0 || l.shortDigits == l.filled || !oneWay || l.values < 2 && titles == nil || !timely(titles, i) {
			continue
		}
		per := perEpoch(l.first.Float())
		switch {
		case per != 0 && per == perEpoch(l.least) && per == perEpoch(l.most):
			return epochTime, []int{i}, "its numbers are as large as time since 1970"
		case per != 0 && (l.rising || l.falling) && per == perEpoch(l.last.Float()):
			return epochTime, []int{i}, "its numbers run one way and are as large as time since 1970"
		case l.least > 36892 && l.most < 73051 && l.decimals > 0: // 2001 to 2100
			return serialTime, []int{i}, "its numbers are as large as days since 1900; the count of 1900 is taken, not that of 1904"
		}
	}
	for i, l := range looks {
		if titles == nil || !l.mostly(l.numbers) || !l.rising {
			continue
		}
		alone := i == 0 && titles[i].name == "" // "min" says both
		if u, err := units.Parse(titles[i].label); err == nil && u.Quantity == units.Duration && (alone || timely(titles, i) || titles[i].has("elapsed")) {
			return elapsedTime, []int{i}, "its numbers rise from the start, in " + u.Label
		}
	}
	if titles == nil && len(looks) > 0 && looks[0].mostly(looks[0].numbers) && looks[0].rising {
		return elapsedTime, []int{0}, "its numbers rise"
	}
	return noTime, nil, ""
}

// perEpoch is how many microseconds one is, of a number that counts time since
// 1970 in seconds, milliseconds or microseconds, or 0.
func perEpoch(v float64) int64 {
	for per := int64(clock.Second); per >= 1; per /= 1000 {
		if t := v * float64(per); t >= clock.Earliest && t < clock.Latest {
			return per
		}
	}
	return 0
}
