package read

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"rimelog/ingest/answers"
	"rimelog/ingest/logtest"
	"rimelog/ingest/naming"
	"rimelog/ingest/pass"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// A logFile is one file of the corpus: how it was written, and what is true.
type logFile struct {
	seed   uint64
	recipe []string // the choices, for people
	bytes  []byte
	answer answers.Answers
	open   bool // it leaves something open that nothing in it settles: it must be refused
	truth  map[cellKey]int64
	times  map[int64]bool
}

type cellKey struct {
	utc    int64
	column string
}

// An outcome is what the reader made of a file.
type outcome int

const (
	readRight outcome = iota
	refusedSome
	silentlyWrong
)

// TestCorpus reads files that cross the ways in which loggers differ. Truth is
// exact. A file may be refused in part; no stored value may be another than the true
// one, ever.
func TestCorpus(t *testing.T) {
	testCorpus(t, 1, 300)
}

func testCorpus(t *testing.T, first uint64, n int) {
	var counts [3]int
	settled, settledRight, openTaken := 0, 0, 0
	for seed := first; seed < first+uint64(n); seed++ {
		f := writeLog(seed)
		r := readBytes(t, f.bytes, f.answer)
		got, why := f.judge(r)
		counts[got]++
		switch {
		case got == silentlyWrong:
			t.Errorf("seed %d silently wrong: %s\n%s\n%.1500s\n%+v", seed, why, strings.Join(f.recipe, ", "), f.bytes, r.Understanding)
		case f.open && got == readRight:
			openTaken++
		}
		if !f.open {
			settled++
			if got == readRight {
				settledRight++
			} else if testing.Verbose() {
				t.Logf("seed %d refused: %s (%s)", seed, why, strings.Join(f.recipe, ", "))
			}
		}
	}
	t.Logf("%d files: %d right, %d refused at least in part, %d silently wrong; of %d that leave nothing open %.1f %% right",
		n, counts[readRight], counts[refusedSome], counts[silentlyWrong], settled, 100*float64(settledRight)/float64(settled))
	if float64(settledRight) < 0.98*float64(settled) {
		t.Errorf("%d of %d right, want 98 %%", settledRight, settled)
	}
	if openTaken > 0 {
		t.Errorf("%d files that leave something open were taken as if nothing were", openTaken)
	}
}

// judge compares every stored value with the truth.
func (f *logFile) judge(r pass.Reading) (outcome, string) {
	seen := 0
	for _, part := range r.Parts {
		times := part.Samples.Times("time")
		for _, c := range sampleTable.Columns[1:] {
			if !part.Samples.Has(c.Name) {
				continue
			}
			v, valid := part.Samples.Fixed32(c.Name)
			for i, at := range times {
				if !valid.At(i) {
					continue
				}
				want, ok := f.truth[cellKey{at, c.Name}]
				if !ok || want != int64(v[i]) {
					return silentlyWrong, fmt.Sprintf("%s at %v is %d, true is %d (there: %v)", c.Name, time.UnixMicro(at).UTC(), v[i], want, ok)
				}
				seen++
			}
		}
	}
	if seen < len(f.truth) {
		return refusedSome, fmt.Sprintf("%d of %d values: %s %+v %+v", seen, len(f.truth), r.Understanding.Unreadable, r.Understanding.OpenQuestions, r.Understanding.Quarantined)
	}
	return readRight, ""
}

// A quantityIn is a channel as a file writes it.
type quantityIn struct {
	column   string
	names    []string // by language
	units    []string
	low      int64
	high     int64 // of the first decimals' mantissa in the canonical-like scale
	decimals int
}

var corpusChannels = []quantityIn{
	{"suction_pressure_kpa", []string{"Suction pressure", "Saugdruck", "Pression aspiration", "Presión de aspiración", "Pressione aspirazione", "Zuigdruk", "Pressão de sucção", "Sugtryck"}, []string{"bar(g)", "barg", "bar(a)", "psig", "kPa(a)", "MPa(g)", "kg/cm2(g)", "bar"}, 0, 0, 2},
	{"liquid_temp_c", []string{"Liquid temp", "Flüssigkeitstemperatur", "Température liquide", "Temperatura de líquido", "Temperatura liquido", "Vloeistoftemperatuur", "Temperatura do líquido", "Vätsketemperatur"}, []string{"°C", "°F", "K", "degC"}, 0, 0, 1},
	{"outdoor_temp_c", []string{"Outdoor temp", "Außentemperatur", "Température extérieure", "Temperatura exterior", "Temperatura esterna", "Buitentemperatuur", "Temperatura exterior", "Utetemperatur"}, []string{"°C", "°F", "K", "degC"}, 0, 0, 1},
	{"power_kw", []string{"Power", "Leistung", "Puissance", "Potencia", "Potenza", "Vermogen", "Potência", "Effekt"}, []string{"W", "kW"}, 0, 0, 0},
}

// A writer collects the choices of one file.
type writer struct {
	rng    *rand.Rand
	f      *logFile
	lang   int
	delim  string
	mark   string
	group  string
	place  string
	unit   []string
	layout string
	zone   *time.Location
	eol    string
	quote  string
	trail  bool
	shape  string
}

// shapeUp drops the choices that a shape of table does not go with.
func (w *writer) shapeUp() {
	switch w.shape {
	case "blanks": // laid out by runs of blanks: no blank within a cell
		w.delim, w.trail, w.quote, w.group = "   ", false, "none", ""
		w.place = "_"
		w.layout = []string{"2006-01-02T15:04:05", "2006-01-02|15:04:05", "epoch", "elapsed", "02.01.2006|15:04"}[w.rng.IntN(5)]
	case "no header":
		w.place = "none"
		rows := &w.f.answer.Systems[0].Rows
		first := 2 + strings.Count(w.layout, "|")
		for k, c := range corpusChannels {
			*rows = append(*rows, register.Channel{Column: fmt.Sprintf("#%d", first+k), Channel: naming.ShortName(c.column), Unit: "later"})
		}
		if w.layout == "elapsed" {
			w.layout = logtest.ISO
		}
	case "long":
		w.place = "[]"
	}
	w.f.recipe = append(w.f.recipe, "in the end place "+w.place+", delimiter "+w.delim+", layout "+w.layout)
}

func pick[T any](w *writer, what string, options ...T) T {
	v := options[w.rng.IntN(len(options))]
	w.f.recipe = append(w.f.recipe, fmt.Sprintf("%s %q", what, fmt.Sprint(v)))
	return v
}

func writeLog(seed uint64) *logFile {
	f := &logFile{seed: seed, truth: map[cellKey]int64{}, times: map[int64]bool{}}
	w := &writer{rng: rand.New(rand.NewPCG(seed, 77)), f: f}
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		panic(err)
	}
	f.answer = answers.Answers{Systems: []answers.System{{ID: "CR-01", Zone: berlin, Altitude: 540}}}
	w.zone = berlin
	w.lang = pick(w, "language", 0, 1, 2, 3, 4, 5, 6, 7)
	w.delim = pick(w, "delimiter", ";", ",", "\t", "|", ";", "\t")
	w.mark = pick(w, "decimal", ".", ",")
	w.group = pick(w, "thousands", "", "", "x", " ", "'")
	if w.group == "x" {
		w.group = map[string]string{".": ",", ",": "."}[w.mark]
	}
	w.eol = pick(w, "line end", "\n", "\r\n", "\r", "mixed")
	w.quote = pick(w, "quotes", "none", "none", "header", "all")
	if w.delim == "," && (w.mark == "," || w.group == ",") {
		w.quote = "all"
	}
	w.trail = pick(w, "trailing delimiter", false, false, true)
	w.shape = pick(w, "shape", "wide", "wide", "wide", "extra columns", "no header", "long", "blanks")
	w.place = pick(w, "unit place", "[]", "()", "/", ", ", "_", "row", "cell", "three rows", "preamble")
	w.layout = pick(w, "time", logtest.ISO, "2006-01-02T15:04:05", "2006-01-02T15:04:05-07:00", "02.01.2006 15:04:05", "02.01.06 15:04", "02/01/2006 15:04:05", "01/02/2006 15:04:05",
		"1/2/2006 3:04:05 PM", "02-Jan-2006 15:04:05", "2006/01/02 15:04:05.000", "20060102 150405", "epoch", "epoch ms", "serial", "elapsed", "2006-01-02|15:04:05", "02.01.2006|15:04",
		"2 Jan 2006 15:04:05", "Mon 02.01.2006 15:04:05,000", "2006-01-02T15:04:05Z07:00", "15:04:05 02.01.2006", "02.01.2006 03:04 PM", "2006-01-02 15:04:05 (utc+1)")
	w.shapeUp()
	w.write()
	return f
}

func (w *writer) write() {
	start := time.Date(2024+w.rng.IntN(2), time.Month(1+w.rng.IntN(12)), 1+w.rng.IntN(28), w.rng.IntN(20), 0, 0, 0, time.UTC)
	step := pick(w, "step", 60*time.Second, 60*time.Second, 600*time.Second)
	n := 80 + w.rng.IntN(200)
	w.chooseUnits()
	var lines []string
	lines = append(lines, w.preamble(start)...)
	lines = append(lines, w.header()...)
	mangled := pick(w, "trouble", "none", "none", "markers", "short line", "text line", "blank lines", "header again", "cut", "NUL")
	if w.shape == "long" && (mangled == "short line" || mangled == "cut" || mangled == "header again") || w.shape == "blanks" && mangled == "markers" {
		mangled = "none"
	}
	for i := range n {
		at := start.Add(time.Duration(i) * step)
		if i > 0 && mangled == "header again" && i == n/2 {
			lines = append(lines, w.header()...)
		}
		if mangled == "text line" && i == n/3 {
			lines = append(lines, "door open")
		}
		if mangled == "blank lines" && i%7 == 3 {
			lines = append(lines, "")
		}
		lines = append(lines, w.line(at, start, mangled, i, n))
	}
	lines = append(lines, w.footer(mangled)...)
	w.finish(lines, mangled)
	w.ambiguities(start, step, n)
}

func (w *writer) chooseUnits() {
	for _, c := range corpusChannels {
		u := pick(w, c.column, c.units...)
		w.unit = append(w.unit, u)
	}
	if w.place == "preamble" {
		w.unit[2] = w.unit[1]
	}
	if w.shape == "no header" {
		rows := w.f.answer.Systems[0].Rows
		for k := range rows {
			rows[k].Unit = w.unit[k]
		}
	}
}

func (w *writer) preamble(start time.Time) []string {
	lines := pick(w, "preamble", nil, nil, []string{"Logger: L-7", "Serial no.: 0815"}, []string{"Device = L-7", "Channels = 4", ""}, []string{"# L-7", "# plant room"}, []string{"sep=" + w.delim})
	if w.place == "preamble" {
		lines = append(slices.Clone(lines), "Pressure unit: "+w.unit[0], "Temperature unit: "+w.unit[1])
	}
	if strings.HasSuffix(w.layout, "(utc+1)") {
		lines = append(slices.Clone(lines), "Time zone: UTC+1")
	}
	if w.layout == "elapsed" {
		lines = append(slices.Clone(lines), "Start: "+start.In(w.zone).Format(logtest.ISO))
	}
	return slices.Clone(lines)
}

func (w *writer) header() []string {
	switch w.shape {
	case "no header":
		return nil
	case "long":
		names := []string{"Date Time", "Channel", "Value"}
		if strings.Contains(w.layout, "|") {
			names = []string{"Date", "Time", "Channel", "Value"}
		}
		if w.layout == "elapsed" {
			names[0] = "Elapsed [s]"
		}
		return []string{w.join(names, w.quote != "none")}
	}
	names := []string{[]string{"Date Time", "Datum Zeit", "Date heure", "Fecha hora", "Data ora", "Datum tijd", "Data hora", "Datum tid"}[w.lang]}
	if w.layout == "elapsed" {
		names[0] = "Elapsed [s]"
	}
	unitRow := []string{""}
	if strings.Contains(w.layout, "|") {
		names, unitRow = []string{"Date", "Time"}, []string{"", ""}
	}
	for k, c := range corpusChannels {
		n, u := c.names[w.lang], w.unit[k]
		switch w.place {
		case "[]":
			n += " [" + u + "]"
		case "()":
			n += " (" + u + ")"
		case "/", ", ", "_":
			n += w.place + u
		}
		if w.place == "preamble" && k == 3 {
			n += " [" + u + "]"
		}
		names, unitRow = append(names, n), append(unitRow, u)
	}
	if w.shape == "blanks" {
		for i := range names {
			names[i] = strings.ReplaceAll(names[i], " ", "_")
		}
	}
	if w.shape == "extra columns" {
		names, unitRow = append(names, "Mode", "T9"), append(unitRow, "", "")
	}
	rows := []string{w.join(names, w.quote != "none")}
	if w.place == "row" || w.place == "three rows" {
		rows = append(rows, w.join(unitRow, w.quote != "none"))
	}
	if w.place == "three rows" {
		avg := make([]string, len(names))
		for i := range avg {
			if i >= 1+strings.Count(w.layout, "|") && i <= strings.Count(w.layout, "|")+len(corpusChannels) {
				avg[i] = "Avg"
			}
		}
		rows = append(rows, w.join(avg, w.quote != "none"))
	}
	return rows
}

func (w *writer) join(cells []string, quoted bool) string {
	out := make([]string, len(cells))
	for i, c := range cells {
		if quoted || w.delim == "," && strings.Contains(c, ",") {
			c = `"` + c + `"`
		}
		out[i] = c
	}
	s := strings.Join(out, w.delim)
	if w.trail {
		s += w.delim
	}
	return s
}

// line writes one row, and puts down what is true.
func (w *writer) line(at, start time.Time, mangled string, i, n int) string {
	cells := w.clock(at, start)
	utc := at.UnixMicro()
	var values []cellKey
	var steps []int64
	for k, c := range corpusChannels {
		text, exact := w.value(k)
		if mangled == "markers" && w.rng.IntN(9) == 0 {
			text = []string{"", "---", "OL", "NaN", "-9999", "#N/A"}[w.rng.IntN(6)]
			cells = append(cells, text)
			continue
		}
		cells = append(cells, text)
		digits := sampleTable.Columns[sampleTable.Index(c.column)].Digits
		s, _ := units.Round(exact, digits)
		values, steps = append(values, cellKey{utc, c.column}), append(steps, s)
	}
	if mangled == "short line" && i == n/2 {
		cells = slices.Delete(cells, len(cells)-2, len(cells)-1)
		values = nil
	}
	if mangled == "cut" && i == n-1 {
		values = nil
	}
	for k, v := range values {
		w.f.truth[v] = steps[k]
	}
	switch w.shape {
	case "extra columns":
		cells = append(cells, []string{"cool", "off"}[w.rng.IntN(2)], w.number(int64(w.rng.IntN(900)), 1))
	case "long":
		return w.longLines(cells)
	}
	return w.join(cells, w.quote == "all")
}

// longLines writes a line for each value.
func (w *writer) longLines(cells []string) string {
	n := 1 + strings.Count(w.layout, "|")
	var lines []string
	for k, v := range cells[n:] {
		c := corpusChannels[k]
		lines = append(lines, w.join(append(slices.Clone(cells[:n]), c.names[w.lang]+" ["+w.unit[k]+"]", v), w.quote == "all"))
	}
	return strings.Join(lines, "\n")
}

func (w *writer) clock(at, start time.Time) []string {
	local := at.In(w.zone)
	switch w.layout {
	case "epoch":
		return []string{fmt.Sprint(at.Unix())}
	case "epoch ms":
		return []string{fmt.Sprint(at.UnixMilli())}
	case "serial":
		_, offset := local.Zone()
		days := big.NewRat(at.Unix()+int64(offset), 86400)
		return []string{strings.ReplaceAll(days.Add(days, big.NewRat(25569, 1)).FloatString(8), ".", w.mark)}
	case "elapsed":
		return []string{fmt.Sprintf("%d", int(at.Sub(start).Seconds()))}
	}
	if s, ok := strings.CutSuffix(w.layout, " (utc+1)"); ok {
		return []string{at.In(time.FixedZone("", 3600)).Format(s)}
	}
	text := local.Format(w.layout)
	if strings.Contains(w.layout, "Jan") && w.lang == 1 {
		text = germanMonths.Replace(text)
	}
	return strings.Split(text, "|")
}

var germanMonths = strings.NewReplacer("Mar", "Mrz", "May", "Mai", "Oct", "Okt", "Dec", "Dez")

// value writes a value in a column's unit and gives what it is in canonical units.
func (w *writer) value(k int) (string, *big.Rat) {
	c := corpusChannels[k]
	u, err := units.Parse(w.unit[k])
	if err != nil {
		panic(err)
	}
	var m int64
	decimals := c.decimals
	switch w.unit[k] {
	case "°F":
		m = 300 + w.rng.Int64N(900)
	case "K":
		m = 2600 + w.rng.Int64N(600)
	case "°C", "degC":
		m = -150 + w.rng.Int64N(600)
	case "psig":
		m = 1000 + w.rng.Int64N(9000)
	case "kPa(a)":
		m = 15000 + w.rng.Int64N(60000)
	case "MPa(g)":
		m, decimals = 200+w.rng.Int64N(900), 3
	case "W":
		m = 700 + w.rng.Int64N(3000)
	case "kW":
		m, decimals = 120+w.rng.Int64N(900), 2
	default:
		m = 120 + w.rng.Int64N(800)
	}
	exact := u.Exact(new(big.Rat).SetFrac64(m, int64(pow(10, decimals))))
	if u.Reference == units.Gauge {
		air, err := units.AirPressure(540)
		if err != nil {
			panic(err)
		}
		exact.Add(exact, air)
	}
	text := w.number(m, decimals)
	if w.place == "cell" {
		text += " " + w.unit[k]
	}
	return text, exact
}

func (w *writer) number(m int64, decimals int) string {
	s := fmt.Sprintf("%0*d", decimals+1, max(m, -m))
	whole, frac := s[:len(s)-decimals], s[len(s)-decimals:]
	if w.group != "" && len(whole) > 3 {
		whole = whole[:len(whole)-3] + w.group + whole[len(whole)-3:]
	}
	if decimals > 0 {
		whole += w.mark + frac
	}
	if m < 0 {
		whole = "-" + whole
	}
	return whole
}

func (w *writer) footer(mangled string) []string {
	if mangled == "cut" || mangled == "NUL" {
		return nil
	}
	switch pick(w, "footer", "none", "none", "statistics", "end") {
	case "statistics":
		row := []string{"Mean", "1", "2", "3", "4"}
		if w.shape == "extra columns" {
			row = append(row, "", "")
		}
		if w.shape == "long" {
			row = []string{"Mean", "", "4"}
		}
		if strings.Contains(w.layout, "|") {
			row = append([]string{"Mean"}, row...)
			row[1] = ""
		}
		return []string{w.join(row, w.quote == "all")}
	case "end":
		return []string{"End of data"}
	}
	return nil
}

func (w *writer) finish(lines []string, mangled string) {
	var b strings.Builder
	if w.shape == "long" {
		lines = strings.Split(strings.Join(lines, "\n"), "\n")
	}
	for i, l := range lines {
		if mangled == "cut" && i == len(lines)-1 {
			b.WriteString(l[:len(l)/2])
			break
		}
		b.WriteString(l)
		if w.eol == "mixed" {
			b.WriteString([]string{"\n", "\r\n"}[i%2])
		} else {
			b.WriteString(w.eol)
		}
	}
	if mangled == "NUL" {
		b.WriteString(strings.Repeat("\x00", 100))
	}
	text := b.String()
	var e encoding.Encoding
	switch pick(w, "encoding", "utf-8", "utf-8", "bom", "utf-16", "utf-16 without mark", "windows-1252", "ibm850", "ibm437", "macintosh") {
	case "bom":
		text = "\uFEFF" + text
	case "utf-16":
		e = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case "utf-16 without mark":
		e = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	case "windows-1252":
		e = charmap.Windows1252
	case "ibm850":
		e = charmap.CodePage850
	case "ibm437":
		if e = charmap.CodePage437; w.lang == 6 { // it has no ã and õ
			e = charmap.CodePage850
		}
	case "macintosh":
		e = charmap.Macintosh
	}
	w.f.bytes = []byte(text)
	if e != nil {
		out, err := encoding.ReplaceUnsupported(e.NewEncoder()).Bytes([]byte(text))
		if err != nil {
			panic(err)
		}
		w.f.bytes = out
	}
}

// ambiguities tells what the file leaves open, and lets the register settle it in
// half of the files.
func (w *writer) ambiguities(start time.Time, step time.Duration, n int) {
	settle := pick(w, "register answers", true, false)
	rows := &w.f.answer.Systems[0].Rows
	if w.unit[0] == "bar" {
		if settle {
			if w.shape == "no header" {
				(*rows)[0].Reference = register.Gauge
			} else {
				name := corpusChannels[0].names[w.lang]
				if w.shape == "blanks" {
					name = strings.ReplaceAll(name, " ", "_")
				}
				*rows = append(*rows, register.Channel{Column: name, Channel: "suction_pressure", Reference: register.Gauge})
			}
			w.addAir()
		} else {
			w.f.open = true
		}
	}
	first, last := start.In(w.zone), start.Add(time.Duration(n-1)*step).In(w.zone)
	short := strings.HasPrefix(w.layout, "02/01/2006") || strings.HasPrefix(w.layout, "01/02/2006") || strings.HasPrefix(w.layout, "1/2/2006") || strings.HasPrefix(w.layout, "02.01.06")
	if !short {
		return
	}
	dotted := strings.HasPrefix(w.layout, "02.01.06")
	if settle {
		unit := "day first"
		if w.layout[0] != '0' || w.layout[1] == '1' {
			unit = "month first"
		}
		*rows = append(*rows, register.Channel{Column: "#1", Channel: "time", Unit: unit})
		return
	}
	if dotted && w.lang >= 1 && w.lang <= 6 && w.shape != "no header" { // German to Portuguese: no date with points begins with its year
		return
	}
	if first.YearDay() == last.YearDay() && (dotted && first.Day() != first.Year()%100 || !dotted && first.Day() <= 12 && first.Day() != int(first.Month())) {
		w.f.open = true
	}
}

// addAir counts the first channel's truth from the air: its unit does not say that
// it is gauge, but it is.
func (w *writer) addAir() {
	air, err := units.AirPressure(540)
	if err != nil {
		panic(err)
	}
	pa, _ := units.Round(air, 3)
	for k := range w.f.truth {
		if k.column == corpusChannels[0].column {
			w.f.truth[k] += pa
		}
	}
}
