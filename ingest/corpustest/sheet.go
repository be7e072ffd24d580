package corpustest

import (
	"fmt"
	"strconv"
	"strings"
)

// write prints the lines and turns them into bytes.
func (m *maker) write() {
	m.file.Path = m.file.System.ID + "/log.csv"
	if m.is("time columns", "date in file name") {
		m.file.Path = m.file.System.ID + "/" + m.times[0].In(m.zone).Format("2006-01-02") + " log.csv"
	}
	switch m.Recipe["layout"] {
	case "long", "long with unit":
		m.writeLong()
	case "side by side":
		m.writeSideBySide()
	case "stacked":
		m.writeStacked()
	default:
		m.writeWide()
	}
	m.addFooter()
	lines := append(m.preamble(), m.lines...)
	if m.is("joints", "sep line") {
		lines = append([]line{{"sep=" + m.delim(), -1}}, lines...)
	}
	m.encode(lines)
}

// writeWide prints a row for each time, with what disturbs it.
func (m *maker) writeWide() {
	if m.is("sequence", "clock unset") {
		defer func(n int) {
			for i := range 3 {
				m.lines = append(m.lines[:n+i], append([]line{m.unsetLine(i)}, m.lines[n+i:]...)...)
			}
		}(m.headerLines())
	}
	m.addHeader()
	for i := range m.rows {
		m.disturb(i)
		m.addRow(i)
	}
	if m.is("sequence", "overlap") {
		m.addHeader()
		for i := len(m.rows) / 2; i < len(m.rows); i++ {
			m.addRow(i)
		}
	}
}

// unsetLine is a row from before the logger's clock was set.
func (m *maker) unsetLine(i int) line {
	set := m.times[0]
	m.times[0] = set.AddDate(1970-set.Year(), 1-int(set.Month()), 1-set.Day())
	text := m.join(m.cells(0, m.stamps(0)))
	m.times[0] = set
	return line{text, -1}
}

// disturb puts what is no data before row i.
func (m *maker) disturb(i int) {
	middle := i == len(m.rows)/2
	switch {
	case m.is("disturbance", "status lines") && i%11 == 5:
		m.lines = append(m.lines, line{[]string{"*** battery low", "INFO: sensor 2 restarted", "link lost"}[i%3], -1})
	case m.is("states", "event rows") && i%9 == 4:
		m.lines = append(m.lines, line{m.join(append(m.stamps(i), "door open")), -1})
	}
	switch {
	case middle && m.is("names", "repeated"):
		m.addHeader()
	case middle && m.is("joints", "mark in the middle"):
		n := len(m.lines)
		m.addHeader()
		if len(m.lines) > n {
			m.lines[n].text = "\uFEFF" + m.lines[n].text
		}
	case middle && m.is("names", "changed order") && len(m.columns) > 1:
		a, b := len(m.columns)-1, len(m.columns)-2
		m.columns[a], m.columns[b] = m.columns[b], m.columns[a]
		for k := range m.rows {
			m.rows[k][a], m.rows[k][b] = m.rows[k][b], m.rows[k][a]
		}
		m.addHeader()
	}
}

// addRow prints a row and notes its truth.
func (m *maker) addRow(i int) {
	cells := m.cells(i, m.stamps(i))
	if m.is("disturbance", "lost field") && i%13 == 6 && len(m.columns) > 1 {
		k := m.place(m.rng.IntN(len(m.columns)))
		cells = append(cells[:k], cells[k+1:]...)
		m.lines = append(m.lines, line{m.join(cells), -1})
		return
	}
	m.lines = append(m.lines, line{m.join(cells) + m.trail("data"), i})
	for k := range m.columns {
		m.note(i, k)
	}
	if m.is("states", "on off") {
		m.file.Values = append(m.file.Values, Value{UTC: m.shown(i).UnixMicro(), Local: m.local(i), Column: "running", Steps: int64(i / 5 % 2), Number: float64(i / 5 % 2)})
	}
}

// note adds the truth of a cell.
func (m *maker) note(i, k int) {
	r, c := m.rows[i][k], m.columns[k]
	if n, err := strconv.ParseFloat(r.marker, 64); err == nil {
		m.file.AsFound = append(m.file.AsFound, n)
	}
	if r.marker != "" || r.unlogged {
		return
	}
	v := Value{UTC: m.shown(i).UnixMicro(), Local: m.local(i), Column: c.column, Steps: m.truth(c, r)}
	v.Number, _ = strconv.ParseFloat(plainNumber(r.mantissa, c.decimals, "."), 64)
	if m.is("decimal mark", "open") && m.openMark() == "point" { // 1.200 W, as its last digits say
		v.Steps, v.Number = thousandths(c.canonical(r.mantissa, 3)), v.Number/1000
	}
	m.file.Values = append(m.file.Values, v)
}

// cells prints time and values of row i, in the order of the columns.
func (m *maker) cells(i int, stamps []string) []string {
	var values []string
	for k := range m.columns {
		values = append(values, m.number(i, k))
	}
	switch m.Recipe["states"] {
	case "on off":
		values = append(values, []string{"off", "on"}[i/5%2])
	case "mode text":
		values = append(values, []string{"auto", "manual"}[i/7%2])
	case "comment column", "comment of lines":
		note, joint := "", m.delim()
		if m.is("states", "comment of lines") {
			joint = "\n"
		}
		if i%8 == 3 {
			note = `"checked` + joint + ` fine"`
		}
		values = append(values, note)
	}
	return m.arrange(stamps, values)
}

// arrange puts time columns and values into their order, in quotes where needed.
func (m *maker) arrange(stamps, values []string) []string {
	cells := append(append([]string{}, stamps...), values...)
	if m.is("time columns", "two apart") && len(stamps) == 2 && len(values) > 0 {
		cells = append([]string{stamps[0], values[0], stamps[1]}, values[1:]...)
	}
	for k, c := range cells {
		cells[k] = m.quote(c)
	}
	return cells
}

func (m *maker) quote(cell string) string {
	if strings.HasPrefix(cell, `"`) {
		return cell
	}
	bare := m.is("decimal mark", "comma unquoted")
	if m.is("quotes", "all") || strings.Contains(cell, strings.TrimSpace(m.delim())) && !bare && !m.is("delimiter", "blanks", "tab") {
		return `"` + strings.ReplaceAll(cell, `"`, `""`) + `"`
	}
	return cell
}

func (m *maker) delim() string {
	switch d := m.Recipe["delimiter"]; d {
	case "tab":
		return "\t"
	case "blanks":
		return " "
	default:
		return d
	}
}

// join puts cells into a line. Blanks lay a table out in columns.
func (m *maker) join(cells []string) string {
	if !m.is("delimiter", "blanks") {
		return strings.Join(cells, m.delim())
	}
	var b strings.Builder
	for _, c := range cells {
		fmt.Fprintf(&b, "%-22s  ", c)
	}
	return strings.TrimRight(b.String(), " ")
}

func (m *maker) trail(where string) string {
	switch {
	case m.is("trailing", "both", where):
		return m.delim()
	case m.is("trailing", "three columns"):
		return strings.Repeat(strings.TrimSpace(m.delim()), 3)
	}
	return ""
}

// number prints one cell of values.
func (m *maker) number(i, k int) string {
	r, c := m.rows[i][k], m.columns[k]
	switch {
	case r.unlogged:
		return ""
	case r.marker != "":
		return m.decimalMark(r.marker)
	case m.is("decimal mark", "open"):
		mark := map[string]string{"comma": ".", "point": "."}[m.openMark()]
		return plainNumber(r.mantissa, 3, mark)
	}
	text := m.decimalMark(m.shaped(r.mantissa, c.decimals))
	if m.is("unit place", "cell") {
		text += " " + m.unitText(c)
	}
	return text
}

// shaped prints a number with a decimal point in the form of the recipe.
func (m *maker) shaped(mantissa int64, decimals int) string {
	s := plainNumber(mantissa, decimals, ".")
	switch m.Recipe["numbers"] {
	case "padded":
		return fmt.Sprintf("%9s", s)
	case "plus":
		if mantissa >= 0 {
			return "+" + s
		}
	case "minus sign":
		return strings.Replace(s, "-", "\u2212", 1)
	case "bare point":
		return strings.Replace(strings.Replace(s, "-0.", "-.", 1), "0.", ".", btoi(strings.HasPrefix(s, "0.")))
	case "point behind":
		if decimals == 0 {
			return s + "."
		}
	case "exponent":
		f, _ := strconv.ParseFloat(s, 64)
		return strconv.FormatFloat(f, 'E', -1, 64)
	case "negative zero":
		if mantissa == 0 {
			return "-" + s
		}
	}
	return m.grouped(s)
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

func plainNumber(mantissa int64, decimals int, mark string) string {
	sign := ""
	if mantissa < 0 {
		sign, mantissa = "-", -mantissa
	}
	s := fmt.Sprintf("%0*d", decimals+1, mantissa)
	if decimals == 0 {
		return sign + s
	}
	return sign + s[:len(s)-decimals] + mark + s[len(s)-decimals:]
}

// grouped parts thousands with "_", which decimalMark turns into the file's mark.
func (m *maker) grouped(s string) string {
	if m.is("thousands", "none") {
		return s
	}
	whole, rest, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0 && isDigit(whole[i-1]); i -= 3 {
		whole = whole[:i] + "_" + whole[i:]
	}
	if rest != "" {
		return whole + "." + rest
	}
	return whole
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// decimalMark turns a number with a decimal point into the marks of the file.
func (m *maker) decimalMark(s string) string {
	mark, group := ".", ","
	if !m.is("decimal mark", "point", "open") {
		mark, group = ",", "."
	}
	if m.is("decimal mark", "Arabic") {
		mark, group = "\u066B", "\u066C"
	}
	switch m.Recipe["thousands"] {
	case "thin":
		group = "\u2009"
	case "blank":
		group = " "
	case "no-break":
		group = "\u00A0"
	case "narrow":
		group = "\u202F"
	case "apostrophe":
		group = "'"
	}
	return strings.NewReplacer(".", mark, "_", group).Replace(s)
}
