package demofleet

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// A quirk is a way in which an export differs from what the logger usually
// writes: another program, another setting, a battery that failed. The values
// stay what they are. turn sets it up and reports whether it applies.
type quirk struct {
	id, doc string
	usual   float64 // share of visit logs
	turn    func(r *rand.Rand, rec *recorder) bool
}

// Quirks is the share of visit logs with each quirk, by its name.
type Quirks map[string]float64

// quirks are the ways in which real exports are known to differ.
var quirks = slices.Concat(marks, layouts)

// marks are those of bytes, lines, cells and times.
var marks = []quirk{
	{"utf16_bare", "UTF-16 without byte order mark", 0.004, reencode(unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewEncoder().Bytes)},
	{"cp850", "code page 850", 0.004, reencode(charmap.CodePage850.NewEncoder().Bytes)},
	{"cp1250", "Windows-1250", 0.004, reencode(charmap.Windows1250.NewEncoder().Bytes)},
	{"twice_encoded", "UTF-8 taken for Windows-1252 and encoded once more", 0.004, reencode(twiceEncoded)},
	{"utf16", "UTF-16 with byte order mark", 0.02, reencode(unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes)},
	{"windows1252", "Windows-1252", 0.04, reencode(charmap.Windows1252.NewEncoder().Bytes)},
	{"bom", "byte order mark before UTF-8", 0.05, func(_ *rand.Rand, rec *recorder) bool {
		rec.dialect.first = "\uFEFF"
		return true
	}},
	{"cr", "lines end with a carriage return alone", 0.01, replaceEnds("\r")},
	{"mixed_ends", "line ends of both kinds", 0.01, mixEnds},
	{"blank_lines", "a blank line after every few", 0.01, blankLines},
	{"cut", "the last line is cut off", 0.02, cutOff},
	{"nul", "zeros at the end, as after a power failure", 0.01, padded},
	{"sep", "a first line that names the delimiter", 0.03, separatorLine},
	{"status_lines", "status messages between the data", 0.02, statusLines},
	{"hash_preamble", "comment lines above the header", 0.02, hashPreamble},
	{"header_again", "the header repeated within the file", 0.02, headerAgain},
	{"quoted", "every cell in quotes", 0.02, quoted},
	{"trailing", "a delimiter at the end of each line", 0.03, trailing},
	{"minus", "the minus sign of typography", 0.01, minus},
	{"padded_cells", "blanks before the numbers", 0.02, paddedCells},
	{"short_year", "years of two digits", 0.02, stampAs("06-01-02 15:04:05")},
	{"month_names", "names of months", 0.02, stampAs("02-Jan-2006 15:04:05")},
	{"month_words", "months of another language", 0.004, monthWords},
	{"dotted_noon", "a.m. and p.m.", 0.004, dottedNoon},
	{"minutes", "times to the minute, several rows in each", 0.004, stampAs("2006-01-02 15:04")},
	{"comma_fractions", "fractions of seconds behind a comma", 0.004, commaFractions},
	{"unix_ms", "milliseconds since 1970", 0.004, stampedBy(func(t time.Time) string { return strconv.FormatInt(t.UnixMilli(), 10) })},
	{"iso_offset", "times with their offset from UTC", 0.03, stampAs("2006-01-02T15:04:05-07:00")},
	{"fractions", "fractions of seconds", 0.02, stampAs("2006-01-02 15:04:05.000")},
	{"unix", "seconds since 1970", 0.01, stampedBy(func(t time.Time) string { return strconv.FormatInt(t.Unix(), 10) })},
	{"serial_days", "days since 1900 as spreadsheets count them", 0.01, serialDays},
	{"repeated_rows", "some rows twice", 0.02, repeatedRows},
	{"descending", "the newest row first", 0.01, descending},
	{"jitter", "samples some tenths of a second, at times seconds, beside their time", 0.02, jittered},
	{"gaps", "missing markers in one channel", 0.03, gaps},
	{"state_column", "a column with words", 0.03, stateColumn},
	{"gzip", "packed", 0.01, packed},
}

// defaultQuirks is how often each usually occurs (guesses).
func defaultQuirks() Quirks {
	q := Quirks{}
	for _, k := range quirks {
		q[k.id] = k.usual
	}
	return q
}

// draw chooses the quirks of one log.
func (q Quirks) draw(r *rand.Rand) []quirk {
	var list []quirk
	for _, k := range quirks {
		if r.Float64() < q[k.id] {
			list = append(list, k)
		}
	}
	return list
}

// onFile changes the whole file when it is written.
func (rec *recorder) onFile(f func(file []byte) []byte) { rec.files = append(rec.files, f) }

// reencode writes the file in another encoding.
func reencode(encode func([]byte) ([]byte, error)) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		if rec.encoded {
			return false
		}
		rec.encoded = true
		rec.dialect.first = ""
		rec.last = func(file []byte) []byte {
			if b, err := encode(file); err == nil {
				return b
			}
			return file
		}
		return true
	}
}

func packed(_ *rand.Rand, rec *recorder) bool {
	rec.suffix = ".gz"
	rec.pack = func(file []byte) []byte {
		var b bytes.Buffer
		w := gzip.NewWriter(&b)
		if _, err := w.Write(file); err != nil || w.Close() != nil {
			return file
		}
		return b.Bytes()
	}
	return true
}

func replaceEnds(end string) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		rec.dialect.lineEnd = end
		return true
	}
}

// lines splits a file at its line ends and keeps them.
func (rec *recorder) lines(file []byte) [][]byte {
	list := bytes.SplitAfter(file, []byte(rec.dialect.lineEnd))
	if len(list[len(list)-1]) == 0 {
		list = list[:len(list)-1]
	}
	return list
}

// eachLine rebuilds a file line by line.
func (rec *recorder) eachLine(f func(i int, line []byte) []byte) {
	rec.onFile(func(file []byte) []byte {
		var out []byte
		for i, l := range rec.lines(file) {
			out = append(out, f(i, l)...)
		}
		return out
	})
}

func mixEnds(_ *rand.Rand, rec *recorder) bool {
	if rec.dialect.lineEnd == "\r" {
		return false
	}
	rec.eachLine(func(i int, line []byte) []byte {
		body := bytes.TrimRight(line, "\r\n")
		if i%7 == 3 {
			return append(bytes.Clone(body), '\n')
		}
		return append(bytes.Clone(body), "\r\n"...)
	})
	return true
}

func blankLines(_ *rand.Rand, rec *recorder) bool {
	rec.eachLine(func(i int, line []byte) []byte {
		if i%9 == 8 {
			return append(bytes.Clone(line), rec.dialect.lineEnd...)
		}
		return line
	})
	return true
}

func cutOff(_ *rand.Rand, rec *recorder) bool {
	if rec.dialect.footer {
		return false
	}
	rec.onFile(func(file []byte) []byte { return file[:len(file)-9] })
	return true
}

func padded(_ *rand.Rand, rec *recorder) bool {
	if rec.encoded {
		return false
	}
	rec.encoded = true
	rec.onFile(func(file []byte) []byte { return append(file, make([]byte, 512)...) })
	return true
}

func separatorLine(_ *rand.Rand, rec *recorder) bool {
	d := &rec.dialect
	if d.preamble != nil || d.delimiter == '\t' {
		return false
	}
	d.preamble = func(fileInfo) []string { return []string{"sep=" + string(d.delimiter)} }
	return true
}

func hashPreamble(_ *rand.Rand, rec *recorder) bool {
	d := &rec.dialect
	if d.preamble != nil {
		return false
	}
	d.preamble = func(i fileInfo) []string {
		return []string{"# " + d.logger + " " + i.serial, "# interval " + i.interval.String()}
	}
	return true
}

func statusLines(r *rand.Rand, rec *recorder) bool {
	at := 12 + r.IntN(20)
	rec.eachLine(func(i int, line []byte) []byte {
		if i == at {
			return append([]byte("-- battery low, sensor bus restarted --"+rec.dialect.lineEnd), line...)
		}
		return line
	})
	return true
}

func headerAgain(r *rand.Rand, rec *recorder) bool {
	at := 15 + r.IntN(20)
	rec.onFile(func(file []byte) []byte {
		lines := rec.lines(file)
		if at >= len(lines) {
			return file
		}
		header := bytes.Clone(lines[rec.headerLine()])
		return bytes.Join(append(append(lines[:at:at], header), lines[at:]...), nil)
	})
	return true
}

// headerLine is the line of the channels' names, from 0.
func (rec *recorder) headerLine() int {
	if rec.dialect.preamble == nil {
		return 0
	}
	return len(rec.dialect.preamble(fileInfo{}))
}

// body changes the lines below the header.
func (rec *recorder) body(f func(line string) string) {
	rec.eachLine(func(i int, line []byte) []byte {
		first := rec.headerLine()
		if rec.dialect.unitRow {
			first++
		}
		if i <= first {
			return line
		}
		text := strings.TrimRight(string(line), "\r\n")
		return []byte(f(text) + rec.dialect.lineEnd)
	})
}

// eachCell changes the cells below the header.
func (rec *recorder) eachCell(f func(column int, cell string) string) {
	delimiter := string(rec.dialect.delimiter)
	rec.body(func(line string) string {
		cells := strings.Split(line, delimiter)
		for i := range cells {
			cells[i] = f(i, cells[i])
		}
		return strings.Join(cells, delimiter)
	})
}

func quoted(_ *rand.Rand, rec *recorder) bool {
	rec.dialect.quote = true
	rec.eachCell(func(_ int, cell string) string { return `"` + cell + `"` })
	return true
}

func trailing(_ *rand.Rand, rec *recorder) bool {
	delimiter := string(rec.dialect.delimiter)
	rec.body(func(line string) string { return line + delimiter })
	return true
}

func minus(_ *rand.Rand, rec *recorder) bool {
	columns := len(rec.dialect.timeNames)
	rec.eachCell(func(i int, cell string) string {
		if i < columns {
			return cell
		}
		return strings.Replace(cell, "-", "\u2212", 1)
	})
	return !rec.encoded
}

func paddedCells(_ *rand.Rand, rec *recorder) bool {
	columns := len(rec.dialect.timeNames)
	rec.eachCell(func(i int, cell string) string {
		if i < columns {
			return cell
		}
		return fmt.Sprintf("%9s", cell)
	})
	return true
}

// stampAs writes times in another layout.
func stampAs(form string) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		if rec.restamped || len(rec.dialect.timeNames) > 1 {
			return false
		}
		rec.restamped, rec.dialect.utc = true, false
		rec.dialect.stamp = layout(form)
		return true
	}
}

// stampedBy writes times as a text without blanks.
func stampedBy(text func(time.Time) string) func(*rand.Rand, *recorder) bool {
	return func(_ *rand.Rand, rec *recorder) bool {
		if rec.restamped || len(rec.dialect.timeNames) > 1 {
			return false
		}
		rec.restamped, rec.dialect.utc = true, false
		rec.dialect.stamp = func(buf []byte, t time.Time, _ byte) []byte { return append(buf, text(t)...) }
		return true
	}
}

// words are the months' short names in another language of the world's loggers.
var words = []string{"Jan", "Feb", "Mrz", "Apr", "Mai", "Jun", "Jul", "Aug", "Sep", "Okt", "Nov", "Dez"}

func monthWords(r *rand.Rand, rec *recorder) bool {
	return stampedBy(func(t time.Time) string {
		return t.Format("02. ") + words[t.Month()-1] + t.Format(" 2006 15:04:05")
	})(r, rec)
}

func dottedNoon(r *rand.Rand, rec *recorder) bool {
	return stampedBy(func(t time.Time) string {
		half := " a.m."
		if t.Hour() >= 12 {
			half = " p.m."
		}
		return t.Format("2006-01-02 03:04:05") + half
	})(r, rec)
}

func commaFractions(r *rand.Rand, rec *recorder) bool {
	return rec.dialect.delimiter != ',' && stampAs("2006-01-02 15:04:05,000")(r, rec)
}

// serialDays counts days as spreadsheets do: 1 January 1900 is day 1, and 1900 is
// taken for a leap year, so that day 25569 is 1 January 1970 (common practice).
func serialDays(_ *rand.Rand, rec *recorder) bool {
	if rec.restamped || len(rec.dialect.timeNames) > 1 {
		return false
	}
	rec.restamped, rec.dialect.utc = true, false
	rec.dialect.stamp = func(buf []byte, t time.Time, _ byte) []byte {
		_, offset := t.Zone()
		days := 25569 + float64(t.Unix()+int64(offset))/86400
		text := strconv.FormatFloat(math.Round(days*1e8)/1e8, 'f', 8, 64)
		if rec.dialect.comma {
			text = strings.Replace(text, ".", ",", 1)
		}
		return append(buf, text...)
	}
	return true
}

func repeatedRows(r *rand.Rand, rec *recorder) bool {
	every := 10 + r.IntN(20)
	n := 0
	rec.body(func(line string) string {
		if n++; n%every == 0 {
			return line + rec.dialect.lineEnd + line
		}
		return line
	})
	return !rec.dialect.footer
}

func descending(_ *rand.Rand, rec *recorder) bool {
	if rec.dialect.footer {
		return false
	}
	rec.onFile(func(file []byte) []byte {
		lines := rec.lines(file)
		first := rec.headerLine() + 1
		if rec.dialect.unitRow {
			first++
		}
		body := lines[first:]
		for i, j := 0, len(body)-1; i < j; i, j = i+1, j-1 {
			body[i], body[j] = body[j], body[i]
		}
		return bytes.Join(lines, nil)
	})
	return true
}

func gaps(r *rand.Rand, rec *recorder) bool {
	q := pick(r, rec.visit.channels)
	marker := pick(r, []string{"---", "NaN", "n/a", "-"})
	every := 5 + r.IntN(30)
	rows := 0
	rec.onCell(func(_ time.Time, k quantity) string {
		if k != q {
			return ""
		}
		if rows++; rows%every == 0 {
			return marker
		}
		return ""
	})
	return true
}

// Samples of a logger that has other things to do come late.
const (
	oftenLate  = 0.4 // s at most, mostly
	seldomLate = 2.5 // s at most, of one in ten
)

func jittered(r *rand.Rand, rec *recorder) bool {
	if rec.every < 5*time.Second {
		return false
	}
	rec.late = func() time.Duration {
		most := oftenLate
		if r.Float64() < 0.1 {
			most = seldomLate
		}
		return time.Duration(r.Float64() * most * float64(time.Second))
	}
	return true
}

func stateColumn(_ *rand.Rand, rec *recorder) bool {
	delimiter := string(rec.dialect.delimiter)
	if rec.dialect.footer || rec.dialect.unitRow {
		return false
	}
	rec.onFile(func(file []byte) []byte {
		var out []byte
		for i, l := range rec.lines(file) {
			text := strings.TrimRight(string(l), "\r\n")
			switch {
			case i < rec.headerLine():
			case i == rec.headerLine():
				text += delimiter + "Status"
			default:
				text += delimiter + "running"
			}
			out = append(out, text+rec.dialect.lineEnd...)
		}
		return out
	})
	return true
}
