package demofleet

import (
	"strconv"
	"strings"
	"time"

	"rimelog/ingest/demofleet/truth"
)

// A dialect is how a logger writes a table.
type dialect struct {
	logger    string // invented
	extension string
	delimiter byte
	comma     bool   // decimal comma
	lineEnd   string // after each line
	quote     bool   // header cells
	unitRow   bool   // units in a row of their own, else in the names
	unitForm  string // how a unit is written into a name, with %u and %n
	stamp     func(buf []byte, t time.Time, d byte) []byte
	timeNames []string
	utc       bool // stamps are UTC, not the site's time
	preamble  func(info fileInfo) []string
	footer    bool // lowest, highest and mean below the data
	names     map[quantity]string
	units     map[unitClass]unit
	first     string // before everything else, such as a byte order mark
}

// A unitClass groups quantities that share a unit.
type unitClass uint8

const (
	pressures unitClass = iota
	temperatures
	powers
	speeds
	shares
	flows
	energies
	humidities
)

func (q quantity) class() unitClass {
	switch q {
	case suctionPressure, dischargePressure:
		return pressures
	case power:
		return powers
	case speed:
		return speeds
	case level, opening:
		return shares
	case heatFlow:
		return flows
	case energyCount:
		return energies
	case humidity:
		return humidities
	}
	return temperatures
}

// A unit is how a logger prints values: value = (canonical - zero)·factor, with
// so many digits.
type unit struct {
	truly  string // the unit
	label  string // as the logger writes it
	factor float64
	zero   float64 // in canonical units
	gauge  bool
	digits int
}

// Units in which loggers print.
var (
	celsius      = unit{"°C", "°C", 1, 0, false, 1}
	fahrenheit   = unit{"°F", "°F", 1.8, -32 / 1.8, false, 1}
	bar          = unit{"bar", "bar", 0.01, 0, true, 2}
	kilopascal   = unit{"kPa", "kPa", 1, 0, true, 0}
	psi          = unit{"psi", "psi", 1 / 6.894757293, 0, true, 1}
	kilowatt     = unit{"kW", "kW", 1, 0, false, 2}
	watt         = unit{"W", "W", 1000, 0, false, 0}
	hertz        = unit{"Hz", "Hz", 1, 0, false, 1}
	cubicMetre   = unit{"m³/h", "m³/h", 1, 0, false, 3}
	kilowattHour = unit{"kWh", "kWh", 1, 0, false, 1}
	percent      = unit{"%", "%", 1, 0, false, 0}
	tenthPercent = unit{"%", "%", 1, 0, false, 1}
)

func (u unit) as(label string, gauge bool) unit {
	u.label, u.gauge = label, gauge
	return u
}

// fileInfo is what a logger says of itself above its table.
type fileInfo struct {
	serial   string
	start    time.Time
	interval time.Duration
}

// head appends everything above the data.
func (d *dialect) head(buf []byte, m *machine, info fileInfo, channels []quantity, superheat bool) []byte {
	buf = append(buf, d.first...)
	if d.preamble != nil {
		for _, l := range d.preamble(info) {
			buf = append(append(buf, l...), d.lineEnd...)
		}
	}
	cells := append([]string{}, d.timeNames...)
	units := make([]string, len(d.timeNames))
	for _, q := range channels {
		u := d.units[q.class()].label
		units = append(units, u)
		cells = append(cells, d.title(m.name(d, q), u))
	}
	if superheat {
		u := d.units[temperatures].label
		units, cells = append(units, u), append(cells, d.title("Superheat", u))
	}
	buf = d.line(buf, cells)
	if d.unitRow {
		buf = d.line(buf, units)
	}
	return buf
}

// name is how a logger calls a quantity at a system.
func (m *machine) name(d *dialect, q quantity) string {
	name := d.names[q]
	side := m.source
	if q == sinkIn || q == sinkOut {
		side = m.sinkMedium
	}
	return strings.Replace(name, "medium", ofMedium(side, "air", "water"), 1)
}

// title is the header cell of a channel.
func (d *dialect) title(name, unit string) string {
	if d.unitRow || d.unitForm == "" {
		return name
	}
	title := []byte{}
	for i := 0; i < len(d.unitForm); i++ {
		switch d.unitForm[i] {
		case 'N':
			title = append(title, name...)
		case 'U':
			title = append(title, unit...)
		default:
			title = append(title, d.unitForm[i])
		}
	}
	return string(title)
}

func (d *dialect) line(buf []byte, cells []string) []byte {
	for i, c := range cells {
		if i > 0 {
			buf = append(buf, d.delimiter)
		}
		if d.quote {
			c = strconv.Quote(c)
		}
		buf = append(buf, c...)
	}
	return append(buf, d.lineEnd...)
}

// value appends a number with the logger's resolution and decimal mark.
func (d *dialect) value(buf []byte, u unit, canonical, air float64) []byte {
	if u.gauge {
		canonical -= air
	}
	return d.number(buf, (canonical-u.zero)*u.factor, u.digits)
}

func (d *dialect) number(buf []byte, v float64, digits int) []byte {
	mark := byte('.')
	if d.comma {
		mark = ','
	}
	return truth.AppendFixed(buf, v, digits, mark)
}

// layout stamps a time in one of package time's layouts.
func layout(form string) func([]byte, time.Time, byte) []byte {
	return func(buf []byte, t time.Time, _ byte) []byte { return t.AppendFormat(buf, form) }
}

// twoColumns stamps date and time in columns of their own.
func twoColumns(date, clock string) func([]byte, time.Time, byte) []byte {
	return func(buf []byte, t time.Time, d byte) []byte {
		buf = t.AppendFormat(buf, date)
		return t.AppendFormat(append(buf, d), clock)
	}
}
