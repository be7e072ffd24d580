package demofleet

import (
	"archive/zip"
	"bytes"
	"fmt"
	"math/rand/v2"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/encoding/charmap"
)

// layouts are the quirks that lay a log out in another way than its logger does.
var layouts = []quirk{
	{"ff_fill", "0xFF at the end, as in memory that was set aside", 0.004, filled(0xFF, false)},
	{"nul_middle", "a block of zeros between two lines", 0.004, filled(0, true)},
	{"joined", "two sessions joined: byte order mark and header once more in the middle", 0.004, joined},
	{"dropped_cells", "lines in which a failed sensor leaves out its cell", 0.004, droppedCells},
	{"pipes", "cells parted by |", 0.004, plainLayout(func(s *sheet) []byte { s.delimiter = "|"; return s.text() })},
	{"aligned", "columns parted by runs of blanks", 0.004, oneNameRow((*sheet).aligned)},
	{"comma_blank", "cells parted by a comma and a blank", 0.004, commaBlank},
	{"comma_both", "commas between cells and in numbers, in quotes", 0.004, commaBoth},
	{"thousands", "marks between thousands", 0.004, thousands},
	{"trailing_header", "a delimiter at the end of the header only", 0.004, plainLayout(func(s *sheet) []byte {
		s.names = append(s.names, "")
		return s.text()
	})},
	{"empty_column", "an empty column without a name", 0.004, plainLayout(emptyColumn)},
	{"plus", "plus signs", 0.004, rewritten(withPlus)},
	{"bare_point", "numbers that begin or end with their decimal mark", 0.004, rewritten(barePoint)},
	{"exponents", "numbers with exponents of three digits", 0.004, rewritten(withExponent)},
	{"no_header", "no header", 0.004, noHeader},
	{"two_row_names", "names over two rows", 0.004, twoRowNames},
	{"statistics_row", "a row that says how values were made, below the header", 0.004, plainLayout(statisticsRow)},
	{"units_in_cells", "the unit in every cell", 0.004, unitsInCells},
	{"suffix_units", "units as suffixes of names", 0.004, suffixUnits},
	{"new_column", "the header once more in the middle, with another column", 0.004, plainLayout(newColumn)},
	{"other_order", "the header once more in the middle, in another order", 0.004, plainLayout(otherOrder)},
	{"zone_in_name", "the offset from UTC in the name of the time column", 0.004, zoneInName},
	{"date_on_change", "a date only where it changes", 0.004, dateApart(func(s *sheet) {
		for i := len(s.rows) - 1; i > 0; i-- {
			if s.rows[i][0] == s.rows[i-1][0] {
				s.rows[i][0] = ""
			}
		}
	})},
	{"date_in_preamble", "times of the day, the date above the table", 0.004, dateApart(func(s *sheet) {
		s.preamble = append([]string{"Date: " + s.rows[0][0]}, s.preamble...)
		s.dropDate()
	})},
	{"date_in_name", "times of the day, the date in the file's name", 0.004, dateApart((*sheet).dropDate)},
	{"elapsed", "seconds since a start that stands above the table", 0.004, sinceStart("Elapsed (s)", func(rec *recorder, i int) int { return i * int(rec.every/time.Second) })},
	{"numbered", "numbers of samples, start and interval above the table", 0.004, sinceStart("No", func(_ *recorder, i int) int { return i + 1 })},
	{"change_only", "cells only where the value changes", 0.004, plainLayout(changeOnly)},
	{"event_rows", "rows that tell of events", 0.004, plainLayout(eventRows)},
	{"remarks", "a column of remarks, with delimiters in quotes", 0.004, plainLayout(remarks)},
	{"long", "a row for each value: time, channel, value", 0.004, plainLayout(long)},
	{"side_by_side", "two tables side by side, each with its times", 0.004, sideBySide},
	{"stacked", "two tables one below the other", 0.004, plainLayout(stacked)},
	{"per_sensor", "a file for each sensor", 0.004, perSensor},
	{"overlapping", "two downloads that overlap", 0.004, overlapping},
	{"zip", "in an archive", 0.004, zipped},
	{"spreadsheet", "a spreadsheet that somebody named .csv: no table of text", 0.002, noText("a spreadsheet under the name of a CSV file", (*sheet).spreadsheet)},
	{"web_page", "a table of a web page, named .csv: no table of text", 0.002, noText("a web page under the name of a CSV file", (*sheet).webPage)},
}

// plainLayout is a quirk that any log may have.
func plainLayout(lay func(*sheet) []byte) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool { return rec.onSheet(lay) }
}

// oneNameRow is a quirk of logs with one plain row of names.
func oneNameRow(lay func(*sheet) []byte) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		return !rec.dialect.unitRow && !rec.dialect.quote && rec.onSheet(lay)
	}
}

// named is a layout for loggers whose names say what is measured: the register knows
// columns by the names they usually have.
func (rec *recorder) named() bool {
	return rec.dialect.names[suctionPressure] == plain[suctionPressure]
}

func filled(with byte, middle bool) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		if rec.encoded {
			return false
		}
		rec.encoded = true
		block := bytes.Repeat([]byte{with}, 512)
		return rec.onSheet(func(s *sheet) []byte {
			if !middle {
				return append(s.text(), block...)
			}
			lines := bytes.SplitAfter(s.text(), []byte(s.end))
			at := len(lines) / 2
			return bytes.Join([][]byte{bytes.Join(lines[:at], nil), block, bytes.Join(lines[at:], nil)}, nil)
		})
	}
}

func joined(_ *rand.Rand, rec *recorder) bool {
	if rec.dialect.footer {
		return false
	}
	return rec.onSheet(func(s *sheet) []byte {
		second := *s
		at := len(s.rows) / 2
		s.rows, second.rows = s.rows[:at], s.rows[at:]
		return append(append(s.text(), "\uFEFF"...), second.text()...)
	})
}

func droppedCells(r *rand.Rand, rec *recorder) bool {
	every := 25 + r.IntN(20)
	return rec.onSheet(func(s *sheet) []byte {
		for i := every; i < len(s.rows); i += every {
			s.rows[i] = append(s.rows[i][:s.times+1:s.times+1], s.rows[i][s.times+2:]...)
		}
		return s.text()
	})
}

func commaBlank(_ *rand.Rand, rec *recorder) bool {
	return rec.dialect.delimiter == ',' && rec.onSheet(func(s *sheet) []byte {
		s.delimiter = ", "
		return s.text()
	})
}

func commaBoth(_ *rand.Rand, rec *recorder) bool {
	return rec.dialect.delimiter == ',' && rec.onSheet(func(s *sheet) []byte {
		s.quote = true
		s.values(func(_ int, cell string) string { return `"` + strings.Replace(cell, ".", ",", 1) + `"` })
		return s.text()
	})
}

// thousands marks them where a logger prints numbers that large.
func thousands(r *rand.Rand, rec *recorder) bool {
	if u := rec.dialect.units[pressures]; u.truly != kilopascal.truly && u.truly != psi.truly {
		return false
	}
	mark := pick(r, []string{"'", " ", "\u00a0"})
	return rec.onSheet(func(s *sheet) []byte {
		s.values(func(_ int, cell string) string {
			whole, rest, _ := strings.Cut(cell, ".")
			if n := len(whole); n > 3 && strings.Trim(whole, "0123456789") == "" {
				cell = whole[:n-3] + mark + whole[n-3:]
				if rest != "" {
					cell += "." + rest
				}
			}
			return cell
		})
		return s.text()
	})
}

func emptyColumn(s *sheet) []byte {
	put := func(cells []string) []string {
		return append(append(append([]string{}, cells[:s.times+1]...), ""), cells[s.times+1:]...)
	}
	s.names = put(s.names)
	if s.units != nil {
		s.units = put(s.units)
	}
	for _, rows := range [][][]string{s.rows, s.footer} {
		for i, r := range rows {
			rows[i] = put(r)
		}
	}
	return s.text()
}

// rewritten is a quirk of the numbers; mark is the decimal mark.
func rewritten(f func(cell, mark string) string) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		mark := "."
		if rec.dialect.comma {
			mark = ","
		}
		return rec.onSheet(func(s *sheet) []byte {
			s.values(func(_ int, cell string) string {
				if _, err := strconv.ParseFloat(strings.Replace(cell, mark, ".", 1), 64); err != nil {
					return cell
				}
				return f(cell, mark)
			})
			return s.text()
		})
	}
}

func withPlus(cell, _ string) string {
	if cell[0] == '-' {
		return cell
	}
	return "+" + cell
}

func barePoint(cell, mark string) string {
	sign := ""
	if cell[0] == '-' {
		sign, cell = "-", cell[1:]
	}
	whole, rest, found := strings.Cut(cell, mark)
	switch {
	case !found:
		return sign + cell
	case whole == "0" && strings.Trim(rest, "0") != "":
		whole = ""
	case strings.Trim(rest, "0") == "":
		rest = ""
	}
	return sign + whole + mark + rest
}

// withExponent writes six digits and an exponent of three, as some systems print it.
func withExponent(cell, mark string) string {
	v, err := strconv.ParseFloat(strings.Replace(cell, mark, ".", 1), 64)
	if err != nil {
		return cell
	}
	text := strconv.FormatFloat(v, 'e', 5, 64)
	at := strings.IndexByte(text, 'e') + 2
	return strings.Replace(text[:at]+"0"+text[at:], ".", mark, 1)
}

func noHeader(_ *rand.Rand, rec *recorder) bool {
	return !rec.dialect.unitRow && rec.onSheet(func(s *sheet) []byte {
		_, rest, _ := bytes.Cut(s.table(), []byte(s.end))
		return rest
	})
}

func twoRowNames(_ *rand.Rand, rec *recorder) bool {
	if !rec.named() || rec.dialect.unitRow {
		return false
	}
	return rec.onSheet(func(s *sheet) []byte {
		s.units = make([]string, len(s.names))
		for i := s.times; i < len(s.names); i++ {
			s.names[i], s.units[i], _ = strings.Cut(s.names[i], " ")
		}
		return s.text()
	})
}

func statisticsRow(s *sheet) []byte {
	made := make([]string, len(s.names))
	for i := s.times; i < len(made); i++ {
		made[i] = "Avg"
	}
	s.rows = append([][]string{made}, s.rows...)
	return s.text()
}

// labels are the units of the visit's channels as the logger writes them.
func (rec *recorder) labels() (list []string) {
	for _, q := range rec.visit.channels {
		list = append(list, rec.dialect.units[q.class()].label)
	}
	return list
}

func unitsInCells(_ *rand.Rand, rec *recorder) bool {
	if !rec.named() || rec.dialect.unitRow || rec.dialect.footer {
		return false
	}
	return rec.onSheet(func(s *sheet) []byte {
		labels := rec.labels()
		for i, q := range rec.visit.channels {
			s.names[s.times+i] = rec.machine.name(&rec.dialect, q)
		}
		s.values(func(column int, cell string) string {
			if strings.Trim(cell, "0123456789.,-") != "" {
				return cell // a marker
			}
			return strings.TrimSpace(cell + " " + labels[column-s.times])
		})
		return s.text()
	})
}

// ascii is how units are written in names that may hold letters only.
var ascii = strings.NewReplacer("°C", "degC", "°F", "degF", "bar(g)", "barg", "bar abs", "bara", "%", "pct", " ", "_")

func suffixUnits(_ *rand.Rand, rec *recorder) bool {
	if !rec.named() || rec.dialect.unitRow || rec.dialect.units[pressures].label == "" {
		return false
	}
	return rec.onSheet(func(s *sheet) []byte {
		labels := rec.labels()
		for i, q := range rec.visit.channels {
			s.names[s.times+i] = ascii.Replace(strings.ToLower(rec.machine.name(&rec.dialect, q)) + " " + labels[i])
		}
		return s.text()
	})
}

func newColumn(s *sheet) []byte {
	at := len(s.rows) / 2
	second := *s
	second.preamble, second.names, second.rows = nil, append(append([]string{}, s.names...), "Door"), nil
	if s.units != nil {
		second.units = append(append([]string{}, s.units...), "")
	}
	for _, r := range s.rows[at:] {
		second.rows = append(second.rows, append(append([]string{}, r...), "0"))
	}
	s.rows, s.footer, second.footer = s.rows[:at], nil, nil
	return append(s.text(), second.text()...)
}

func otherOrder(s *sheet) []byte {
	at := len(s.rows) / 2
	turned := func(cells []string) []string {
		if cells == nil {
			return nil
		}
		out := append([]string{}, cells...)
		for i, j := s.times, len(out)-1; i < j; i, j = i+1, j-1 {
			out[i], out[j] = out[j], out[i]
		}
		return out
	}
	second := *s
	second.preamble, second.names, second.units, second.rows = nil, turned(s.names), turned(s.units), nil
	for _, r := range s.rows[at:] {
		second.rows = append(second.rows, turned(r))
	}
	s.rows, s.footer, second.footer = s.rows[:at], nil, nil
	return append(s.text(), second.text()...)
}

func zoneInName(_ *rand.Rand, rec *recorder) bool {
	if rec.dialect.utc || len(rec.dialect.timeNames) > 1 || rec.restamped {
		return false
	}
	offset := rec.visit.start.In(rec.zone()).Format("-07:00")
	return rec.onSheet(func(s *sheet) []byte {
		s.names[0] = "Date Time, GMT" + offset
		if !s.quote && s.delimiter == "," {
			s.names[0] = `"` + s.names[0] + `"`
		}
		return s.text()
	})
}

// dateApart puts date and time of the day into columns of their own.
func dateApart(then func(*sheet)) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		if rec.dialect.utc || rec.restamped || rec.clock != nil || rec.dialect.footer {
			return false
		}
		return rec.onSheet(func(s *sheet) []byte {
			if s.times == 1 {
				s.parted()
			}
			then(s)
			return s.text()
		})
	}
}

// parted parts the one column of time into date and time of the day.
func (s *sheet) parted() {
	first := func(cells []string, a, b string) []string { return append([]string{a, b}, cells[1:]...) }
	s.names, s.times = first(s.names, "Date", "Time"), 2
	if s.units != nil {
		s.units = first(s.units, "", "")
	}
	for i, r := range s.rows {
		date, clock, _ := strings.Cut(r[0], " ")
		s.rows[i] = first(r, date, clock)
	}
}

// dropDate leaves the time of the day only.
func (s *sheet) dropDate() {
	s.names, s.times = s.names[1:], 1
	if s.units != nil {
		s.units = s.units[1:]
	}
	for i, r := range s.rows {
		s.rows[i] = r[1:]
	}
}

// sinceStart counts from a start that stands above the table.
func sinceStart(name string, count func(rec *recorder, i int) int) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		d := &rec.dialect
		if d.preamble != nil || d.footer || rec.restamped || rec.clock != nil || d.delimiter == '\t' || !rec.gapFrom.IsZero() {
			return false
		}
		d.utc = false // the start is told by the clocks of the place
		start := rec.visit.start.In(rec.zone())
		return rec.onSheet(func(s *sheet) []byte {
			s.preamble = []string{"Start: " + start.Format("2006-01-02 15:04:05"), fmt.Sprintf("Interval: %d s", int(rec.every/time.Second))}
			s.names[0] = name
			for i := range s.rows {
				s.rows[i][0] = strconv.Itoa(count(rec, i))
			}
			return s.text()
		})
	}
}

func changeOnly(s *sheet) []byte {
	for i := len(s.rows) - 1; i > 0; i-- {
		for k := s.times; k < len(s.rows[i]); k++ {
			if s.rows[i][k] == s.rows[i-1][k] {
				s.rows[i][k] = ""
			}
		}
	}
	return s.text()
}

func eventRows(s *sheet) []byte {
	var rows [][]string
	for i, r := range s.rows {
		rows = append(rows, r)
		if i%40 == 20 {
			told := make([]string, len(r))
			copy(told, r[:s.times])
			told[s.times] = "door opened"
			rows = append(rows, told)
		}
	}
	s.rows = rows
	return s.text()
}

func remarks(s *sheet) []byte {
	s.names = append(s.names, "Remarks")
	if s.units != nil {
		s.units = append(s.units, "")
	}
	for i, r := range s.rows {
		text := ""
		if i%50 == 10 {
			text = `"goods came in` + s.delimiter + ` door open"`
		}
		s.rows[i] = append(r, text)
	}
	for i, r := range s.footer {
		s.footer[i] = append(r, "")
	}
	return s.text()
}

func long(s *sheet) []byte {
	t := *s
	t.names, t.units, t.rows, t.footer = append(append([]string{}, s.names[:s.times]...), "Channel", "Value"), nil, nil, nil
	for _, r := range s.rows {
		for i := s.times; i < len(r); i++ {
			name := s.names[i]
			if s.units != nil {
				name += " [" + s.units[i] + "]"
			}
			t.rows = append(t.rows, append(append([]string{}, r[:s.times]...), name, r[i]))
		}
	}
	return t.text()
}

// halves parts the columns of values.
func (s *sheet) halves() (a, b *sheet) {
	middle := (s.times + len(s.names)) / 2
	return s.columns(s.times, middle), s.columns(middle, len(s.names))
}

func sideBySide(_ *rand.Rand, rec *recorder) bool {
	return len(rec.dialect.timeNames) == 1 && rec.onSheet(func(s *sheet) []byte {
		a, b := s.halves()
		a.names = append(a.names, b.names...)
		if a.units != nil {
			a.units = append(a.units, b.units...)
		}
		for i := range a.rows {
			a.rows[i] = append(a.rows[i], b.rows[i]...)
		}
		return a.text()
	})
}

func stacked(s *sheet) []byte {
	a, b := s.halves()
	return bytes.Join([][]byte{a.text(), b.table()}, []byte(s.end))
}

// A part is one of several files that a log is exported to.
type part struct {
	tag  string // in its name
	file []byte
	from int // its columns
	to   int
}

// perSensor exports each column by itself.
func perSensor(_ *rand.Rand, rec *recorder) bool {
	return rec.onParts(func(s *sheet) (list []part) {
		for i := s.times; i < len(s.names); i++ {
			list = append(list, part{fmt.Sprintf(".%d", i-s.times+1), s.columns(i, i+1).text(), i - s.times, i - s.times + 1})
		}
		return list
	})
}

// overlapping exports the log twice, while it is not yet done and from later on.
func overlapping(_ *rand.Rand, rec *recorder) bool {
	return rec.onParts(func(s *sheet) []part {
		early, late := *s, *s
		n := len(s.rows)
		early.rows, late.rows = s.rows[:n*6/10], s.rows[n*4/10:]
		all := len(rec.visit.channels)
		return []part{{"", early.text(), 0, all}, {".2", late.text(), 0, all}}
	})
}

// onParts exports a log to several files, if it is not uploaded twice or misplaced.
func (rec *recorder) onParts(split func(*sheet) []part) bool {
	if rec.dialect.footer || len(rec.files) > 0 || rec.superheat || !rec.markChange.IsZero() || len(rec.mistakes) > 0 {
		return false
	}
	rec.split = func(file []byte) []part {
		list := split(rec.sheet(file))
		for i := range list {
			list[i].file = slices.Concat([]byte(rec.dialect.first), list[i].file)
		}
		return list
	}
	return true
}

func zipped(_ *rand.Rand, rec *recorder) bool {
	if rec.pack != nil {
		return false
	}
	rec.suffix = ".zip"
	name := path.Base(rec.machine.path(&rec.visit))
	rec.pack = func(file []byte) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w, err := z.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: rec.visit.end().UTC()})
		if err != nil {
			return file
		}
		if _, err := w.Write(file); err != nil || z.Close() != nil {
			return file
		}
		return b.Bytes()
	}
	return true
}

// twiceEncoded encodes text that is encoded already, as a program that takes it for
// Windows-1252 does.
func twiceEncoded(file []byte) ([]byte, error) { return charmap.Windows1252.NewDecoder().Bytes(file) }
