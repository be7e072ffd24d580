package corpustest

import (
	"fmt"
	"strings"

	"rimelog/pipeline/register"
)

// answer names the columns and writes the register's rows, where the recipe wants
// answers and the file leaves something open.
func (m *maker) answer() {
	m.nameColumns()
	for k := range m.columns {
		m.columns[k].header = m.columnHeader(m.columns[k])
	}
	if !m.answers {
		return
	}
	m.answerTime()
	for k, c := range m.columns {
		if row, needed := m.channelRow(k, c); needed {
			m.file.Channels = append(m.file.Channels, row)
		}
	}
}

func (m *maker) nameColumns() {
	gauge := m.rng.IntN(2) == 0
	for k := range m.columns {
		c := &m.columns[k]
		if c.kind != "pressure" {
			continue
		}
		if m.is("reference", "preamble") {
			c.gauge = gauge
		}
		if m.is("reference", "header") {
			word := absoluteWords[m.lang]
			if c.gauge {
				word = gaugeWords[m.lang]
			}
			c.name += " " + word
		}
	}
	for k := range m.columns {
		if m.is("averages", "in names") {
			m.columns[k].name += " avg"
		}
		switch {
		case m.is("names", "duplicate") && k < 2:
			m.columns[k].name = "Value"
		case m.is("names", "empty") && k == 0:
			m.columns[k].name = ""
		case m.is("quotes", "doubled"):
			m.columns[k].name += ` "N"`
		case m.is("quotes", "inch"):
			m.columns[k].name += ` E"`
		}
	}
}

// unitText is a column's unit as the file prints it.
func (m *maker) unitText(c column) string {
	if c.kind == "pressure" && m.is("reference", "unit") {
		if c.gauge {
			return c.label.gauge
		}
		return c.absolute
	}
	return c.plain
}

// columnHeader puts name and unit together in the way of the recipe.
func (m *maker) columnHeader(c column) string {
	unit := m.unitText(c)
	header := c.name
	switch m.Recipe["unit place"] {
	case "brackets":
		header += " [" + unit + "]"
	case "parentheses":
		header += " (" + unit + ")"
	case "slash":
		header += " / " + unit
	case "comma":
		header += ", " + unit
	case "suffix":
		suffix := strings.NewReplacer("°", "deg", "%", "pct", "/", "").Replace(unit)
		header = strings.ReplaceAll(header, " ", "_") + "_" + suffix
	case "preamble":
		if c.kind != "pressure" && c.kind != "temperature" {
			header += " [" + unit + "]"
		}
	}
	if c.name == "" || m.is("header", "units below", "units and processing", "units and pattern") {
		header = c.name
	}
	if m.is("name holds", "serial") {
		header += " (no. 100234, north)"
	}
	header = strings.TrimSpace(header)
	if m.is("header", "line breaks") {
		header = strings.Replace(header, " ", "\n", 1)
	}
	return header
}

// answerTime gives the order of dates and the zone, where they are open.
func (m *maker) answerTime() {
	var says []string
	if m.orderIsOpen() {
		says = append(says, map[string]string{
			"02.01.2006": "day first", "02/01/2006": "day first", "02-01-2006": "day first", "02.01.06": "day first",
			"01/02/2006": "month first", "01/02/06": "month first",
		}[m.Recipe["date form"]])
	}
	if m.needsZone() {
		says = append(says, m.zone.String())
	}
	if len(says) > 0 {
		m.file.Channels = append(m.file.Channels, register.Channel{
			System: m.file.System.ID, Column: m.timePlace(), Channel: "time", Unit: strings.Join(says, " "), Sign: 1, Index: 1,
		})
	}
}

func (m *maker) timePlace() string {
	if m.is("header", "none") {
		return "#1"
	}
	return m.timeHeader()[0]
}

func (m *maker) needsZone() bool {
	return m.site == nil && !m.is("zone", "in stamps") && !m.is("time kind", "ISO Z", "ISO offset", "epoch s", "epoch ms", "epoch us") && !m.is("name holds", "zone")
}

// channelRow is the register's row for a column, and whether the file needs it.
func (m *maker) channelRow(k int, c column) (register.Channel, bool) {
	row := register.Channel{System: m.file.System.ID, Column: strings.ReplaceAll(c.header, "\n", " "), Channel: c.channel, Sign: 1, Index: 1}
	needed := false
	if m.is("header", "none") || m.is("names", "duplicate", "empty") {
		row.Column, needed = fmt.Sprintf("#%d", m.place(k)+1), true
	}
	if m.is("unit place", "missing") || needed {
		row.Unit, needed = c.plain, true
	}
	if c.kind == "pressure" && (m.is("reference", "nowhere") || needed && !m.is("reference", "preamble")) {
		row.Reference, needed = register.Absolute, true
		if c.gauge {
			row.Reference = register.Gauge
		}
	}
	if m.is("decimal mark", "open") {
		row.Unit, needed = c.plain+" decimal "+m.openMark(), true
	}
	return row, needed
}

// openMark is how a file is meant whose every number could be read either way.
func (m *maker) openMark() string {
	if m.rows[0][0].mantissa%2 == 0 {
		return "comma"
	}
	return "point"
}

// place is where a column of values stands among all columns.
func (m *maker) place(k int) int {
	if m.is("time columns", "parts") {
		return k + 6
	}
	if m.is("time columns", "milliseconds") {
		return k + 3
	}
	if m.is("time columns", "two apart") && k > 0 || m.is("time columns", "two", "date on change") {
		return k + 2
	}
	return k + 1
}

// judgeSettled tells whether file and register say all that is needed.
func (m *maker) judgeSettled() {
	pressure := false
	for _, c := range m.columns {
		pressure = pressure || c.kind == "pressure"
	}
	m.file.ZoneOpen = m.needsZone() && !m.answers
	for _, what := range []struct {
		open   bool
		what   string
		answer bool
	}{
		{m.is("container", "spreadsheet", "web page", "web table"), "no table of text", false},
		{m.is("decimal mark", "comma unquoted"), "commas part cells and decimals", false},
		{m.is("decimal mark", "open"), "decimal mark", true},
		{m.needsZone(), "zone", true},
		{m.orderIsOpen(), "date order", true},
		{m.is("header", "none"), "no header", true},
		{m.is("names", "duplicate", "empty"), "names", true},
		{m.is("unit place", "missing"), "units", true},
		{pressure && m.is("reference", "nowhere"), "pressure reference", true},
	} {
		if what.open && !(what.answer && m.answers) {
			m.open(what.what)
		}
	}
}
