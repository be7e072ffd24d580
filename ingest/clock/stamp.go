package clock

import (
	"bytes"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/scan"
)

// A Stamp is what the digits of a date, a time of day or both say, before
// anybody decided which number is the day.
type Stamp struct {
	Date    [3]int // as printed; a month's name is its number
	Digits  [3]int // how many digits each had; 0 for a month's name
	HasDate bool
	Mark    byte // what parts the date: '.', '/', '-', ' ', or 0 for none
	DateEnd int  // bytes up to the end of the date
	Ordinal bool // it says the day of the year

	HasTime  bool
	Hour     int
	Micros   int64 // minutes, seconds and fraction
	Seconds  bool  // the seconds were printed
	ClockEnd int   // bytes up to the end of the time of day
	Half     byte  // 'a' or 'p' of a 12-hour clock, or 0
	Offset   int   // seconds east of UTC
	HasShift bool
	Zone     string // an abbreviation such as CET, as printed
	Interval bool   // another time follows: what was read is the beginning
}

// Spans of time, in microseconds.
const (
	microsecond = 1
	Second      = 1_000_000 * microsecond
	Minute      = 60 * Second
	Hour        = 60 * Minute
	Day         = 24 * Hour
)

// TimeOfDay is the time since midnight in microseconds. It reports false for a
// time that no clock shows.
func (s Stamp) TimeOfDay() (int64, bool) {
	h := s.Hour
	switch {
	case s.Half == 'a' && h == 12:
		h = 0
	case s.Half == 'p' && h < 12:
		h += 12
	case s.Half == 'a' && h > 12:
		return 0, false
	}
	if h > 24 || h == 24 && s.Micros > 0 {
		return 0, false
	}
	return int64(h)*Hour + s.Micros, true
}

// ParseStamp reads a date, a time of day, or both in either order: 2025-03-04
// 12:00:05, 04.03.25 12:00, 3/4/2025 1:00:05 PM, 04-Mär-25, Mar 4, 2025 13:00,
// 2025-03-04T12:00:05.25+01:00, 20250304T120005, 2025-063. A weekday's name is skipped.
func ParseStamp(b []byte) (s Stamp, ok bool) {
	if shortNumber(b) {
		return Stamp{}, false
	}
	if s, ok = ParseStampFrom(b, 0); ok || len(b) == 0 || scan.IsDigit(b[0]) {
		return s, ok
	}
	p := scanner{b: b}
	p.skipWeekday()
	return ParseStampFrom(b, p.i)
}

// shortNumber tells whether a cell holds up to seven digits, a sign before and one mark
// among them, as most of a log do: too few for a date without marks, and too few marks for
// another, or for a time of day.
func shortNumber(b []byte) bool {
	if len(b) > 7 {
		return false
	}
	marks := 0
	for i, c := range b {
		switch {
		case scan.IsDigit(c), c == '-' && i == 0:
		case c == '.' || c == ',':
			marks++
		default:
			return false
		}
	}
	return marks <= 1
}

// ParseStampFrom reads a stamp from b[i:] on, up to the end.
func ParseStampFrom(b []byte, i int) (s Stamp, ok bool) {
	p := scanner{b: b, i: i}
	for p.i < len(b) {
		at := p.i
		switch {
		case !s.HasTime && p.clock(&s):
			s.ClockEnd = p.i
		case !s.HasDate && p.calendar(&s):
		case !s.HasDate && !s.HasTime && p.calendarAround(&s):
		case s.HasTime && p.suffix(&s):
		case s.HasTime && p.end(&s, at):
		default:
			return Stamp{}, false
		}
		p.joint(s.HasTime)
	}
	return s, s.HasDate || s.HasTime
}

// A scanner walks over a cell.
type scanner struct {
	b []byte
	i int
}

func (p *scanner) peek() byte {
	if p.i < len(p.b) {
		return p.b[p.i]
	}
	return 0
}

// number reads digits.
func (p *scanner) number() (v, digits int) {
	start := p.i
	for p.i < len(p.b) && scan.IsDigit(p.b[p.i]) && p.i-start < 18 {
		v = v*10 + int(p.b[p.i]-'0')
		p.i++
	}
	return v, p.i - start
}

// word reads letters, in any script that UTF-8 holds, and points between them.
func (p *scanner) word() string {
	start := p.i
	for p.i < len(p.b) && (scan.IsLetter(p.b[p.i]) || p.b[p.i] >= 0x80 && blankSize(p.b[p.i:]) == 0 || p.i > start && p.b[p.i] == '.') {
		p.i++
	}
	return string(p.b[start:p.i])
}

// blanks skips blanks of any kind: some write a no-break one before PM.
func (p *scanner) blanks() bool {
	start := p.i
	for n := blankSize(p.b[p.i:]); n > 0; n = blankSize(p.b[p.i:]) {
		p.i += n
	}
	return p.i > start
}

// blankSize is how many bytes the blank at the start of b takes; 0 where none stands.
func blankSize(b []byte) int {
	if len(b) == 0 || b[0] != ' ' && b[0] < 0x80 {
		return 0
	}
	if b[0] == ' ' {
		return 1
	}
	for _, s := range [...]string{"\u00A0", "\u202F", "\u2009"} {
		if bytes.HasPrefix(b, []byte(s)) {
			return len(s)
		}
	}
	return 0
}

// joint skips what may stand between date, time and zone. Behind a time a dash is
// the sign of an offset.
func (p *scanner) joint(timed bool) {
	p.blanks()
	if c := p.peek(); c == ',' || c == ';' || c == '_' {
		p.i++
	} else if c == 'T' && p.i+1 < len(p.b) && scan.IsDigit(p.b[p.i+1]) {
		p.i++
	} else if c == '-' && (!timed || p.i > 0 && p.b[p.i-1] == ' ' && p.i+1 < len(p.b) && p.b[p.i+1] == ' ') {
		p.i++
	}
	p.blanks()
	for !timed && p.jointWord() {
		p.blanks()
	}
}

// jointWords stand between a date and a time of day, folded: 14 mars 2025 à 12h30.
var jointWords = scan.WordSet("a at um om alle ore las kl")

func (p *scanner) jointWord() bool {
	at := p.i
	if jointWords[scan.FoldWord(p.word())] && p.peek() == ' ' {
		return true
	}
	p.i = at
	return false
}

// untilWords stand between the beginning and the end of an interval, folded.
var untilWords = scan.WordSet("to until till bis a au hasta al fino tot ate")

// untilMarks stand there too.
var untilMarks = [...]string{"-", "–", "—", "/"}

// IsUntil tells whether a cell stands between the beginning and the end of an interval.
func IsUntil(cell string) bool {
	return slices.Contains(untilMarks[:], cell) || untilWords[scan.Fold(cell)]
}

// end reads, from a place on, the end of an interval behind its beginning: 12:00 - 12:15,
// 2025-03-14 12:00/2025-03-14 12:15. It is the last of a cell.
func (p *scanner) end(s *Stamp, at int) bool {
	p.i = at
	mark := bytes.HasSuffix(bytes.TrimRight(p.b[:p.i], " "), []byte{'-'}) // skipped as a joint
	for _, m := range untilMarks {
		if !mark && bytes.HasPrefix(p.b[p.i:], []byte(m)) {
			p.i, mark = p.i+len(m), true
		}
	}
	if !mark {
		mark = untilWords[scan.FoldWord(p.word())]
	}
	if !mark {
		return false
	}
	p.blanks()
	if end, ok := ParseStampFrom(p.b, p.i); ok && end.HasTime && !end.Interval && (s.HasDate || !end.HasDate) {
		p.i, s.Interval = len(p.b), true
		return true
	}
	return false
}

func (p *scanner) skipWeekday() {
	at := p.i
	if w := p.word(); weekdays[scan.FoldWord(w)] {
		p.joint(false)
	} else {
		p.i = at
	}
}

// clock reads hh:mm, hh:mm:ss and hh:mm:ss with a fraction after '.', ',' or a
// third colon.
func (p *scanner) clock(s *Stamp) bool {
	at := p.i
	h, n := p.number()
	if n > 0 && n <= 2 && p.peek() == '.' && s.HasDate {
		p.i = at
		return p.dottedClock(s)
	}
	if n > 0 && n <= 2 && p.peek()|0x20 == 'h' {
		p.i = at
		return p.letteredClock(s)
	}
	if n == 0 || n > 6 || p.peek() != ':' {
		p.i = at
		return s.HasDate && s.Mark == 0 && p.compactClock(s)
	}
	p.i++
	m, n := p.number()
	if n < 1 || n > 2 || m > 59 {
		p.i = at
		return false
	}
	s.HasTime, s.Hour, s.Micros = true, h, int64(m)*Minute
	if p.peek() != ':' || p.i+1 == len(p.b) || !scan.IsDigit(p.b[p.i+1]) {
		return true
	}
	p.i++
	sec, n := p.number()
	if n < 1 || n > 2 || sec > 59 {
		p.i = at
		return false
	}
	s.Seconds = true
	s.Micros += int64(sec)*Second + p.fraction()
	return true
}

// dottedClock reads hh.mm.ss behind a date, as some countries write it.
func (p *scanner) dottedClock(s *Stamp) bool {
	at := p.i
	var v [3]int
	for k := range v {
		n := 0
		if v[k], n = p.number(); n < 1 || n > 2 || k < 2 && p.peek() != '.' {
			p.i = at
			return false
		}
		if k < 2 {
			p.i++
		}
	}
	if v[1] > 59 || v[2] > 59 {
		p.i = at
		return false
	}
	s.HasTime, s.Seconds, s.Hour = true, true, v[0]
	s.Micros = int64(v[1])*Minute + int64(v[2])*Second + p.fraction()
	return true
}

// letteredClock reads 13h05, 13h05m20s and 13 h 05.
func (p *scanner) letteredClock(s *Stamp) bool {
	at := p.i
	h, _ := p.number()
	p.i++
	p.blanks()
	m, n := p.number()
	if n != 2 || m > 59 || h > 24 {
		p.i = at
		return false
	}
	s.HasTime, s.Hour, s.Micros = true, h, int64(m)*Minute
	for _, unit := range [...]string{"min", "mn", "m", ":"} {
		if rest := p.b[p.i:]; bytes.HasPrefix(rest, []byte(unit)) {
			p.i += len(unit)
			p.blanks()
			if sec, n := p.number(); n == 2 && sec <= 59 {
				s.Seconds = true
				s.Micros += int64(sec)*Second + p.fraction()
				if p.peek() == 's' {
					p.i++
				}
			} else if n > 0 || unit == ":" {
				p.i, s.HasTime = at, false
				return false
			}
			break
		}
	}
	return true
}

// calendarAround reads a date with the time between the day and the year: Mar 5
// 10:15:00 2021.
func (p *scanner) calendarAround(s *Stamp) bool {
	at := p.i
	if c := p.peek(); c < 0x80 && !scan.IsLetter(c) { // as all numbers
		return false
	}
	month, named := months[scan.FoldWord(p.word())]
	blank := p.blanks()
	d, n := p.number()
	if !named || !blank || n < 1 || n > 2 || !p.blanks() || !p.clock(s) || !p.blanks() {
		p.i = at
		*s = Stamp{}
		return false
	}
	year, digits := p.number()
	if digits != 4 {
		p.i = at
		*s = Stamp{}
		return false
	}
	s.Date, s.Digits = [3]int{month, d, year}, [3]int{0, n, 4}
	s.HasDate, s.Mark, s.DateEnd = true, ' ', 0
	return true
}

// compactClock reads hhmm and hhmmss behind a date without marks.
func (p *scanner) compactClock(s *Stamp) bool {
	at := p.i
	v, n := p.number()
	if n == 4 {
		v *= 100
	}
	h, m, sec := v/10000, v/100%100, v%100
	if n != 4 && n != 6 || h > 24 || m > 59 || sec > 59 {
		p.i = at
		return false
	}
	s.HasTime, s.Seconds, s.Hour, s.Micros = true, n == 6, h, int64(m)*Minute+int64(sec)*Second
	return true
}

// fraction reads the digits of a second, rounded half to even to microseconds.
func (p *scanner) fraction() int64 {
	c := p.peek()
	if c != '.' && c != ',' && c != ':' || p.i+1 == len(p.b) || !scan.IsDigit(p.b[p.i+1]) {
		return 0
	}
	p.i++
	v, n := p.number()
	for ; n < 6; n++ {
		v *= 10
	}
	unit := 1
	for ; n > 6; n-- {
		unit *= 10
	}
	q, r := v/unit, v%unit
	if 2*r > unit || 2*r == unit && q%2 == 1 {
		q++
	}
	return int64(q)
}

// calendar reads a date of three numbers, of a month's name and two numbers, or
// of eight digits.
func (p *scanner) calendar(s *Stamp) bool {
	at := p.i
	if p.compactDate(s) || p.ordinalDate(s) || p.weekDate(s) || p.shortCompactDate(s) {
		return true
	}
	for k := range 3 {
		if !p.dateField(s, k) {
			p.i = at
			return false
		}
		if k < 2 && !p.dateMark(s) {
			p.i = at
			return false
		}
	}
	if s.Mark == '.' && p.peek() == '.' {
		p.i++ // 2025. 03. 04.
	}
	if c := p.peek(); scan.IsDigit(c) || c == ':' { // Mar 4 12:00:05 2025
		p.i = at
		return false
	}
	s.HasDate, s.DateEnd = true, p.i
	return true
}

func (p *scanner) dateField(s *Stamp, k int) bool {
	v, n := p.number()
	if n > 0 {
		s.Date[k], s.Digits[k] = v, n
		return n <= 4 && n != 3 // no year has three digits
	}
	month, ok := months[scan.FoldWord(p.word())]
	s.Date[k], s.Digits[k] = month, 0
	return ok
}

func (p *scanner) dateMark(s *Stamp) bool {
	blank := p.blanks()
	c := p.peek()
	switch {
	case c == '.' || c == '/' || c == '-':
		s.Mark = c
		p.i++
		p.blanks()
	case c == ',' && !blank:
		p.i++
		p.blanks()
		s.Mark = ' '
	case blank:
		s.Mark = ' '
		p.linkWord()
	case s.Digits[0] == 0 || scan.IsLetter(c) || c >= 0x80 || p.i > 0 && !scan.IsDigit(p.b[p.i-1]): // 04Mar2025
		s.Mark = ' '
	default:
		return false
	}
	return true
}

// linkWord skips the word between day, month and year: 4 de marzo de 2025.
func (p *scanner) linkWord() {
	at := p.i
	if w := scan.FoldWord(p.word()); w != "de" && w != "del" && w != "of" || !p.blanks() {
		p.i = at
	}
}

// compactDate reads yyyymmdd, also with hhmm or hhmmss right behind.
func (p *scanner) compactDate(s *Stamp) bool {
	at := p.i
	v, n := p.number()
	if n == 14 || n == 12 {
		p.i = at + 8
		v /= tenTo(n - 8)
	} else if n != 8 {
		p.i = at
		return false
	}
	if y, m, d := v/10000, v/100%100, v%100; y < 1970 || y > 2100 || m < 1 || m > 12 || d < 1 || d > 31 {
		p.i = at
		return false
	}
	s.Date, s.Digits = [3]int{v / 10000, v / 100 % 100, v % 100}, [3]int{4, 2, 2}
	s.HasDate, s.Mark, s.DateEnd = true, 0, p.i
	return true
}

// ordinalDate reads yyyy-ddd, the year and the number of the day in it: ISO 8601-1:2019,
// 5.2.3.
func (p *scanner) ordinalDate(s *Stamp) bool {
	at := p.i
	y, n := p.number()
	if n == 4 && y >= 1970 && y <= 2100 && p.peek() == '-' {
		p.i++
		d, n := p.number()
		t := time.Date(y, 1, d, 0, 0, 0, 0, time.UTC)
		if n == 3 && d > 0 && t.Year() == y && p.peek() != '-' {
			s.Date, s.Digits = [3]int{y, int(t.Month()), t.Day()}, [3]int{4, 2, 2}
			s.HasDate, s.Ordinal, s.Mark, s.DateEnd = true, true, '-', p.i
			return true
		}
	}
	p.i = at
	return false
}

// weekDate reads yyyy-Www-d and yyyyWwwd, the week of the year and the day of the week,
// Monday first: ISO 8601-1:2019, 5.2.4.
func (p *scanner) weekDate(s *Stamp) bool {
	at := p.i
	y, n := p.number()
	extended := p.peek() == '-'
	if extended {
		p.i++
	}
	if n == 4 && y >= 1970 && y <= 2100 && p.peek() == 'W' {
		p.i++
		v, n := p.number()
		if extended {
			if n != 2 || p.peek() != '-' {
				p.i = at
				return false
			}
			p.i++
			d, k := p.number()
			v, n = v*10+d, n+k
		}
		week, d := v/10, v%10
		monday := time.Date(y, 1, 4, 0, 0, 0, 0, time.UTC) // week 1 holds 4 January
		monday = monday.AddDate(0, 0, -(int(monday.Weekday())+6)%7+7*(week-1))
		if iso, w := monday.ISOWeek(); n == 3 && d >= 1 && d <= 7 && iso == y && w == week {
			t := monday.AddDate(0, 0, d-1)
			s.Date, s.Digits = [3]int{t.Year(), int(t.Month()), t.Day()}, [3]int{4, 2, 2}
			s.HasDate, s.Mark, s.DateEnd = true, '-', p.i
			return true
		}
	}
	p.i = at
	return false
}

// shortCompactDate reads a date of six digits where a blank and a time of six follow: an
// order of day, month and year that others must settle.
func (p *scanner) shortCompactDate(s *Stamp) bool {
	b := p.b[p.i:]
	if len(b) != len("250304 120005") || b[6] != ' ' && b[6] != '_' {
		return false
	}
	for i, c := range b {
		if i != 6 && !scan.IsDigit(c) {
			return false
		}
	}
	v, _ := p.number()
	s.Date, s.Digits = [3]int{v / 10000, v / 100 % 100, v % 100}, [3]int{2, 2, 2}
	s.HasDate, s.Mark, s.DateEnd = true, 0, p.i
	return true
}

func tenTo(n int) int {
	v := 1
	for range n {
		v *= 10
	}
	return v
}

// suffix reads AM or PM, an offset from UTC, or the abbreviation of a zone.
func (p *scanner) suffix(s *Stamp) bool {
	if c := p.peek(); c == '+' || c == '-' || strings.HasPrefix(string(p.b[p.i:]), "\u2212") {
		return (!s.HasShift || s.Zone != "") && p.shift(s)
	}
	at := p.i
	w := scan.FoldWord(p.word())
	if name, ok := strings.CutSuffix(w, "\u2212"); ok { // UTC−3
		w, p.i = name, at+len(name)
	}
	switch {
	case w == "a" || w == "p": // a. m.
		p.blanks()
		if scan.FoldWord(p.word()) != "m" {
			return false
		}
		s.Half = w[0]
	case slices.Contains(morning, w):
		s.Half = 'a'
	case slices.Contains(afternoon, w):
		s.Half = 'p'
	case untilWords[w]:
		return false
	case slices.Contains(clockWords, w):
	case w == "z" || w == "utc" || w == "gmt":
		s.HasShift, s.Zone = true, strings.ToUpper(w)
		if c := p.peek(); c == '+' || c == '-' || strings.HasPrefix(string(p.b[p.i:]), "\u2212") {
			return p.shift(s)
		}
	case len(w) >= 2 && len(w) <= 5 && scan.IsASCII([]byte(w)):
		s.Zone = strings.ToUpper(w)
	default:
		return false
	}
	return true
}

// What marks the halves of a day of twelve hours, and what only says that a time of
// day was meant, in the eight languages, folded.
var (
	morning    = []string{"am", "vorm", "vm", "fm"}
	afternoon  = []string{"pm", "nachm", "nm", "em"}
	clockWords = []string{"uhr", "h", "hs", "hrs", "uur", "heures", "horas", "ore", "kl"}
)

// isOffset tells whether some place's clocks are so far from UTC: from 12 hours behind to
// 14 ahead, in half hours or, ahead, quarters (IANA time zone database 2024a).
func isOffset(h, m int, behind bool) bool {
	if behind {
		return h*60+m <= 12*60 && m%30 == 0
	}
	return h*60+m <= 14*60 && m%15 == 0
}

// shift reads +01:00, -0500 or +1.
func (p *scanner) shift(s *Stamp) bool {
	neg := p.peek() != '+'
	if p.peek() >= 0x80 {
		p.i += len("\u2212")
	} else {
		p.i++
	}
	v, n := p.number()
	h, m := v, 0
	if n > 2 {
		h, m = v/100, v%100
	} else if p.peek() == ':' {
		p.i++
		m, _ = p.number()
	}
	if n == 0 || n > 4 || !isOffset(h, m, neg) || p.peek() == ':' {
		return false
	}
	s.Offset, s.HasShift = h*3600+m*60, true
	if neg {
		s.Offset = -s.Offset
	}
	return true
}

// months holds the names of the months and their short forms in English, German,
// French, Spanish, Italian, Dutch, Portuguese and Swedish, folded.
var months = monthTable([12]string{
	"jan january januar janv janvier ene enero gen gennaio januari janeiro",
	"feb february februar fev fevr fevrier febrero febbraio febr februari fevereiro",
	"mar march marz mrz maerz mars marzo mrt maart marco",
	"apr april avr avril abr abril aprile",
	"may mai mayo mag maggio mei maio maj",
	"jun june juni juin junio giu giugno junho",
	"jul july juli juil juillet julio lug luglio julho",
	"aug august aout ago agosto augustus augusti",
	"sep sept september septembre septiembre set settembre setembro",
	"oct october okt oktober octobre octubre ott ottobre out outubro",
	"nov november novembre noviembre novembro",
	"dec december dez dezember decembre dic diciembre dicembre dezembro",
})

func monthTable(names [12]string) map[string]int {
	m := map[string]int{}
	for i, list := range names {
		for _, n := range strings.Fields(list) {
			m[n] = i + 1
		}
	}
	return m
}

// weekdays holds the names of the days and their short forms in the same languages.
var weekdays = scan.WordSet(`mon tue wed thu fri sat sun monday tuesday wednesday thursday friday saturday sunday
	mo di mi do fr sa so montag dienstag mittwoch donnerstag freitag samstag sonnabend sonntag
	lun mar mer jeu ven sam dim lundi mardi mercredi jeudi vendredi samedi dimanche
	mie jue vie sab dom lunes martes miercoles jueves viernes sabado domingo
	gio lunedi martedi mercoledi giovedi venerdi sabato domenica
	ma wo za zo maandag dinsdag woensdag donderdag vrijdag zaterdag zondag
	seg ter qua qui sex segunda terca quarta quinta sexta
	man tis ons tor fre lor son mandag tisdag onsdag torsdag fredag lordag sondag`)
