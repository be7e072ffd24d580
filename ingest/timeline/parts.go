package timeline

import (
	"bytes"
	"slices"

	"rimelog/ingest/clock"
	"rimelog/ingest/naming"
	"rimelog/ingest/scan"
)

// A joint is how the cells of several columns of time make one stamp.
type joint uint8

const (
	blankJoint        joint = iota // one behind the other
	dottedJoint                    // the time of day is written 13.05
	compactJoint                   // the time of day is written 1305 or 130520
	milliJoint                     // a column of milliseconds stands behind
	partsJoint                     // year, month, day, hour, minute and second stand apart
	shortJoint                     // the date is written 250314, in whichever order
	shortDottedJoint               // and the time of day 13.05
	shortCompactJoint              // and the time of day 1305 or 130520
	shortDigitsJoint               // one cell of 10 or 12 digits: a date of six, in whichever order, and the time of day
	longDigitsJoint                // one cell of 12 or 14 digits: a date of eight with the year last, and the time of day
)

// The words that head the columns of a date and time in parts, folded.
var (
	yearWords   = scan.WordSet("year yyyy yy jahr jjjj annee ano anno jaar ar")
	monthWords  = scan.WordSet("month mm mon monat mois mes mese maand manad")
	dayWords    = scan.WordSet("day dd tag tt jour jj dia giorno gg dag")
	HourWords   = scan.WordSet("hour hours hr hh h stunde heure hora ora uur timme")
	minuteWords = scan.WordSet("minute minutes min mm mi m minuto minuti minuut minut")
	secondWords = scan.WordSet("second seconds sec ss s sekunde seconde segundo secondo sekund")
	milliWords  = scan.WordSet("ms msec millis millisecond milliseconds millisekunde millisekunden millisecondes milisegundos millisecondi")
)

// findParts finds the columns of a date in parts, with those of the time of day behind.
func findParts(looks []ColumnLook, titles []naming.Title) []int {
	var found []int
	after := -1
	for k, words := range []map[string]bool{yearWords, monthWords, dayWords, HourWords, minuteWords, secondWords} {
		i := slices.IndexFunc(titles, func(t naming.Title) bool { return t.IsWord(words) })
		if words["mm"] { // the month stands behind the year, the minute behind the hour
			i = after + 1
			if i >= len(titles) || !titles[i].IsWord(words) {
				i = -1
			}
		}
		if i < 0 || slices.Contains(found, i) || !looks[i].Mostly(looks[i].Numbers) || !looks[i].between(partRanges[k]) {
			break
		}
		found, after = append(found, i), i
	}
	if len(found) < 3 {
		return nil
	}
	if len(found) == 3 {
		for i, l := range looks {
			if l.Mostly(l.Times) {
				return append(found, i)
			}
		}
	}
	return found
}

// partRanges is what year, month, day, hour, minute and second can be.
var partRanges = [...][2]float64{{1900, 2100}, {1, 12}, {1, 31}, {0, 24}, {0, 59}, {0, 60}}

func (l ColumnLook) between(r [2]float64) bool { return l.least >= r[0] && l.most <= r[1] }

// findMillis finds a column of milliseconds right behind the time of day.
func findMillis(looks []ColumnLook, titles []naming.Title, hours int) bool {
	i := hours + 1
	return titles != nil && i < len(looks) && titles[i].IsWord(milliWords) && looks[i].Numbers == looks[i].filled && looks[i].decimals == 0 && looks[i].between([2]float64{0, 999})
}

// join makes one stamp of the cells of a line.
func (j joint) join(dst []byte, cells [][]byte) []byte {
	switch j {
	case partsJoint:
		return joinParts(dst, cells)
	case shortDigitsJoint, longDigitsJoint:
		return j.markDigits(dst, cells[0])
	}
	for i, c := range cells {
		switch {
		case i == 0 && j >= shortJoint && shortDate(c):
			dst = append(dst, c[0], c[1], '-', c[2], c[3], '-', c[4], c[5])
			continue
		case i == 0:
			dst = append(dst, c...)
			continue
		case j == milliJoint && i == len(cells)-1:
			dst = append(append(dst, '.'), padded(c, 3)...)
			continue
		}
		dst = append(append(dst, ' '), c...)
		if (j == dottedJoint || j == shortDottedJoint) && hourAndMinute(c) {
			dst[len(dst)-3] = ':'
		}
		if (j == compactJoint || j == shortCompactJoint) && compactTime(c) {
			dst = append(dst[:len(dst)-len(c)], colons(padded(c, len(c)+len(c)%2))...)
		}
	}
	return dst
}

// markDigits puts marks between the digits of a date and a time of day; other cells it
// leaves as they are.
func (j joint) markDigits(dst, c []byte) []byte {
	date, ok := j.dateDigits(c)
	if !ok {
		return append(dst, c...)
	}
	dst = append(dst, c[0], c[1], '-', c[2], c[3], '-')
	return append(append(append(dst, c[4:date]...), ' '), colons(c[date:])...)
}

// dateDigits tells how many digits of a cell are its date, and whether the cell is of
// digits for a date and a time of day only.
func (j joint) dateDigits(c []byte) (date int, ok bool) {
	date = len("yymmdd")
	if j == longDigitsJoint {
		date = len("ddmmyyyy")
	}
	if n := len(c) - date; n != len("hhmm") && n != len("hhmmss") || !compactTime(c[date:]) || c[date] == '2' && c[date+1] > '3' {
		return 0, false
	}
	if j == longDigitsJoint {
		return date, c[4] == '2' && c[5] == '0' && shortDate([]byte{c[0], c[1], c[2], c[3], c[6], c[7]})
	}
	return date, shortDate(c[:date])
}

// joinParts writes year-month-day hour:minute:second.
func joinParts(dst []byte, cells [][]byte) []byte {
	for i, c := range cells {
		if i > 0 {
			dst = append(dst, " -- ::"[i])
		}
		if whole, zeros, ok := bytes.Cut(c, []byte{'.'}); ok && i < 5 && len(bytes.Trim(zeros, "0")) == 0 {
			c = whole
		}
		dst = append(dst, padded(c, 2)...)
	}
	if len(cells) == 4 && bytes.IndexByte(cells[3], ':') < 0 { // the hour alone
		dst = append(dst, ":00"...)
	}
	return dst
}

// padded puts zeros before digits.
func padded(digits []byte, size int) []byte {
	for len(digits) < size {
		digits = append([]byte{'0'}, digits...)
	}
	return digits
}

// shortDate tells whether a cell is a date of six digits in some order.
func shortDate(c []byte) bool {
	if len(c) != 6 {
		return false
	}
	s := clock.Stamp{HasDate: true, Mark: '-', Digits: [3]int{2, 2, 2}}
	for k := range 3 {
		v, ok := twoDigits(c[2*k], c[2*k+1])
		if !ok {
			return false
		}
		s.Date[k] = int(v)
	}
	return clock.Plausible(s)
}

// compactTime tells whether a cell is a time of day written without marks.
func compactTime(c []byte) bool {
	if len(c) < 3 || len(c) > 6 {
		return false
	}
	for _, d := range c {
		if !scan.IsDigit(d) {
			return false
		}
	}
	p := padded(c, len(c)+len(c)%2)
	return p[0] < '3' && p[2] < '6' && (len(p) == 4 || p[4] < '6')
}

func colons(digits []byte) []byte {
	out := append([]byte{}, digits[:2]...)
	for i := 2; i+1 < len(digits); i += 2 {
		out = append(append(out, ':'), digits[i:i+2]...)
	}
	return out
}
