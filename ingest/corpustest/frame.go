package corpustest

import (
	"fmt"
	"strings"
	"time"
)

// headerLines is how many lines a header has.
func (m *maker) headerLines() int {
	switch m.Recipe["header"] {
	case "none":
		return 0
	case "units below", "groups", "units and pattern":
		return 2
	case "units and processing":
		return 3
	}
	return 1
}

// addHeader prints the header.
func (m *maker) addHeader() {
	if m.is("header", "none") {
		return
	}
	var names, units []string
	for _, c := range m.columns {
		names, units = append(names, c.header), append(units, m.unitText(c))
	}
	if state := map[string]string{"on off": "Running", "mode text": "Mode", "comment column": "Note", "comment of lines": "Note"}[m.Recipe["states"]]; state != "" {
		names, units = append(names, state), append(units, "")
	}
	times := m.timeHeader()
	blank := make([]string, len(times))
	if m.is("header", "groups") {
		group := make([]string, len(names))
		group[0] = "Circuit 1"
		m.headerLine(blank, group)
	}
	m.headerLine(times, names)
	switch m.Recipe["header"] {
	case "units below":
		m.headerLine(blank, units)
	case "units and pattern":
		for k, u := range units {
			units[k] = "[" + u + "]"
		}
		m.headerLine([]string{"[YYYY-MM-DD hh:mm:ss]"}, units)
	case "units and processing":
		m.headerLine(blank, units)
		m.headerLine(blank, strings.Split(strings.Repeat("Avg,", len(names)-1)+"Avg", ","))
	}
}

func (m *maker) headerLine(times, names []string) {
	cells := m.arrange(times, names)
	for k, c := range cells {
		if (m.is("quotes", "header") || m.is("quotes", "doubled") && strings.Contains(c, `"`) || strings.Contains(c, "\n")) && !strings.HasPrefix(c, `"`) {
			cells[k] = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
		}
	}
	m.lines = append(m.lines, line{m.join(cells) + m.trail("header"), -1})
}

// preamble prints the lines above the header.
func (m *maker) preamble() []line {
	style := m.Recipe["preamble"]
	if style == "none" {
		return nil
	}
	entries := [][2]string{{"Logger", "KA-3"}, {"Serial", "100234"}, {"Place", "plant room"}}
	if m.is("zone", "preamble") {
		entries = append(entries, [2]string{"Time zone", m.offsetText("UTC")})
	}
	if m.is("reference", "preamble") {
		for _, c := range m.columns {
			if c.kind == "pressure" {
				entries = append(entries, [2]string{"Pressures", map[bool]string{true: "gauge", false: "absolute"}[c.gauge]})
				break
			}
		}
	}
	entries = append(entries, m.preambleUnits()...)
	entries = append(entries, m.preambleTimes()...)
	if style == "long" {
		for i := range 20 {
			entries = append(entries, [2]string{fmt.Sprintf("Setting %d", i+1), fmt.Sprint(i * 3)})
		}
	}
	sign := map[string]string{"equals": " = ", "delimiter": m.delim(), "tab": "\t"}[style]
	if sign == "" {
		sign = ": "
	}
	var lines []line
	for _, e := range entries {
		text := e[0] + sign + e[1]
		if style == "hash" {
			text = "# " + text
		}
		lines = append(lines, line{text, -1})
	}
	if style == "blank below" {
		lines = append(lines, line{"", -1})
	}
	return lines
}

func (m *maker) preambleUnits() (entries [][2]string) {
	if !m.is("unit place", "preamble") {
		return nil
	}
	seen := map[string]bool{}
	for _, c := range m.columns {
		if name := map[string]string{"pressure": "Pressure unit", "temperature": "Temperature unit"}[c.kind]; name != "" && !seen[name] {
			seen[name] = true
			entries = append(entries, [2]string{name, m.unitText(c)})
		}
	}
	return entries
}

func (m *maker) preambleTimes() (entries [][2]string) {
	local := m.times[0].In(m.zone)
	switch {
	case m.is("time columns", "date in preamble"):
		entries = append(entries, [2]string{"Date", local.Format(time.DateOnly)})
	case m.is("time kind", "elapsed s", "elapsed clock", "sample number"):
		entries = append(entries, [2]string{"Start", local.Format(time.DateTime)})
	}
	if m.is("time kind", "serial 1904") {
		entries = append(entries, [2]string{"Date base", "1904"})
	}
	if m.is("time kind", "sample number") {
		entries = append(entries, [2]string{"Interval", fmt.Sprintf("%d s", int(m.times[1].Sub(m.times[0]).Seconds()))})
	}
	return entries
}

// addFooter prints what stands behind the data.
func (m *maker) addFooter() {
	if m.is("footer", "summary below blank") {
		m.lines = append(m.lines, line{"", -1})
	}
	switch m.Recipe["footer"] {
	case "summary", "summary below blank":
		for _, name := range []string{"Min", "Max", "Mean"} {
			stamps := make([]string, len(m.stamps(0)))
			stamps[0] = name
			m.lines = append(m.lines, line{m.join(m.cells(1, stamps)) + m.trail("data"), -1})
		}
	case "extremes": // of a column each, with when it was
		for _, name := range []string{"Min", "Max"} {
			m.lines = append(m.lines, line{m.join(append([]string{name}, m.cells(2, m.stamps(2))...)), -1})
		}
	case "end mark":
		m.lines = append(m.lines, line{"End of data", -1})
	}
}

// writeLong prints a line for each value.
func (m *maker) writeLong() {
	names := []string{"Channel", "Value"}
	if m.is("layout", "long with unit") {
		names = append(names, "Unit")
	}
	m.lines = append(m.lines, line{m.join(m.arrange(m.timeHeader(), names)), -1})
	for i := range m.rows {
		for k, c := range m.columns {
			stamps := m.stamps(i)
			if k > 0 && m.is("time columns", "date on change") {
				stamps[0] = ""
			}
			values := []string{c.header, m.number(i, k)}
			if m.is("layout", "long with unit") {
				values = []string{c.name, m.number(i, k), m.unitText(c)}
			}
			m.lines = append(m.lines, line{m.join(m.arrange(stamps, values)), i})
			m.note(i, k)
		}
	}
}

// writeSideBySide prints tables beside each other, each with its own times.
func (m *maker) writeSideBySide() {
	row := func(cells func(k int) []string) {
		var all []string
		for k := range m.columns {
			all = append(all, cells(k)...)
		}
		m.lines = append(m.lines, line{m.join(all), -1})
	}
	row(func(k int) []string { return m.arrange(m.timeHeader(), []string{m.columns[k].header}) })
	for i := range m.rows {
		row(func(k int) []string { return m.arrange(m.stamps(i), []string{m.number(i, k)}) })
		m.lines[len(m.lines)-1].row = i
		for k := range m.columns {
			m.note(i, k)
		}
	}
}

// writeStacked prints a table for each column, one below the other.
func (m *maker) writeStacked() {
	for k, c := range m.columns {
		if k > 0 {
			m.lines = append(m.lines, line{"", -1})
		}
		m.lines = append(m.lines, line{m.join(m.arrange(m.timeHeader(), []string{c.header})), -1})
		for i := range m.rows {
			m.lines = append(m.lines, line{m.join(m.arrange(m.stamps(i), []string{m.number(i, k)})), i})
			m.note(i, k)
		}
	}
}
