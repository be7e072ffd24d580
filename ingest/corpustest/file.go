package corpustest

import (
	"math/rand/v2"
	"time"

	"rimelog/pipeline/register"
)

// A File is one file of the corpus, and what is true of it.
type File struct {
	Recipe Recipe
	Path   string // below uploads/
	Bytes  []byte

	System   register.System    // as the register has it
	Channels []register.Channel // answers that the register gives

	Lines   int64 // physical lines, after unpacking
	Values  []Value
	AsFound []float64 // numbers that stand for a missing value
	Settled bool      // file and register say all that is needed to read it
	Open    string    // what they leave open

	ZoneOpen bool // the zone of the logger\'s clock is among it
}

// A Value is one cell that holds a number.
type Value struct {
	UTC      int64 // microseconds since 1970
	Local    int64 // the same on the logger's clock
	Column   string
	Steps    int64   // thousandths of the canonical unit
	Number   float64 // as printed, for columns that are kept as found
	Optional bool    // the file's end may have cut it, so that it may be refused
}

// maker holds what a file is made of on its way from a recipe to bytes.
type maker struct {
	Recipe
	rng  *rand.Rand
	file File

	lang    int
	zone    *time.Location // of the logger's clock
	site    *time.Location // of the site, by the register; nil unknown
	answers bool

	times   []time.Time // of the rows; in UTC
	columns []column
	air     string // kPa
	rows    [][]reading
	lines   []line
}

// A column is one column of values.
type column struct {
	quantity
	label
	name     string // without its unit
	header   string // as printed
	gauge    bool
	decimals int
}

// A reading is one cell of a column.
type reading struct {
	mantissa int64
	marker   string // in the place of a value
	unlogged bool   // nothing is printed: the cell is empty
}

// A line is one line of the file, with the row it holds, or -1.
type line struct {
	text string
	row  int
}

// Make writes the file of a recipe. The same seed and recipe give the same file.
func Make(seed uint64, r Recipe) File {
	m := &maker{Recipe: r, rng: rand.New(rand.NewPCG(seed, 1)), file: File{Recipe: r, Settled: true}}
	m.answers = r.is("answers", "given")
	for i, l := range languages {
		if l == r["language"] {
			m.lang = i
		}
	}
	m.clock()
	m.chooseColumns()
	m.measure()
	m.answer()
	m.write()
	m.judgeSettled()
	return m.file
}

// open notes that neither the file nor the register settles something.
func (m *maker) open(what string) {
	m.file.Settled = false
	if m.file.Open == "" {
		m.file.Open = what
	}
}

var sites = []string{"Europe/Berlin", "America/New_York", "Asia/Kolkata", "Australia/Adelaide", "America/Sao_Paulo", "UTC"}

// rowCount is how many rows a file has: a long one is longer than any sample that
// a reader takes of it.
func (m *maker) rowCount() int {
	if m.is("length", "long") {
		return 4000
	}
	return 24 + m.rng.IntN(30)
}

// chooseColumns takes some of the channels, with their units.
func (m *maker) chooseColumns() {
	n := 2 + m.rng.IntN(4)
	if m.is("layout", "one sensor") {
		n = 1
	}
	order := m.rng.Perm(len(quantities))
	if m.is("reference", "below zero") {
		order = []int{0, 2, 5, 7, 9}[:min(n, 5)]
	} else if !m.is("reference", "unit") && n > 1 {
		order = append([]int{m.rng.IntN(2)}, 2, 4, 9, 7)[:n]
	}
	if m.is("decimal mark", "open") {
		order, n = []int{6}, 1
	}
	if !m.is("thousands", "none") {
		order = append([]int{6}, 2, 9, 3, 5)[:max(n, 2)]
	}
	for _, q := range order[:min(len(order), max(n, 1))] {
		m.columns = append(m.columns, m.newColumn(quantities[q]))
	}
}

func (m *maker) newColumn(q quantity) column {
	c := column{quantity: q, name: q.names[m.lang], decimals: q.bits}
	system := m.Recipe["unit system"]
	switch q.kind {
	case "pressure":
		unit := map[string]string{"bar": "bar", "kpa": "kPa", "psi": "psi", "mpa": "MPa", "kgcm2": "kg/cm2", "kelvin": "bar"}[system]
		c.label = labels[unit]
		c.decimals = map[string]int{"bar": 2, "kPa": 0, "psi": 1, "MPa": 4, "kg/cm2": 3}[unit]
		c.gauge = m.rng.IntN(3) > 0 || m.is("reference", "below zero")
	case "temperature":
		unit := map[string]string{"psi": "°F", "kelvin": "K"}[system]
		if unit == "" {
			unit = "°C"
		}
		c.label = labels[unit]
	case "power":
		c.label = labels["W"]
	case "energy":
		c.label = labels["kWh"]
	case "current":
		c.label = labels["A"]
	case "share":
		c.label = labels["%"]
	}
	return c
}

// measure makes the rows.
func (m *maker) measure() {
	at := altitudes[m.rng.IntN(len(altitudes))]
	m.air = at.kPa
	m.file.System = register.NewSystem("KA-07")
	m.file.System.Altitude = at.metres
	m.file.System.Zone = m.site
	for i := range m.times {
		var row []reading
		for k, c := range m.columns {
			row = append(row, m.reading(c, i, k))
		}
		m.rows = append(m.rows, row)
	}
	m.mark()
}

// reading draws a value: a drifting level with noise, as printed by the logger.
func (m *maker) reading(c column, i, k int) reading {
	v := c.level + c.swing*(m.rng.Float64()*2-1)*0.6
	if c.counting {
		v = c.level + 0.1*float64(i)
	}
	factor, _ := rat(c.factor).Float64()
	zero, _ := rat(c.zero).Float64()
	if c.kind == "pressure" && c.gauge {
		air, _ := rat(m.air).Float64()
		v -= air
		if m.is("reference", "below zero") && i%7 == 2 {
			v = -12 - float64(i%5)
		}
	}
	v = v/factor + zero
	for range c.decimals {
		v *= 10
	}
	mantissa := int64(v)
	if m.is("decimal mark", "open") {
		mantissa = 1000 + m.rng.Int64N(8000)
	}
	return reading{mantissa: mantissa}
}

// truth converts a reading to steps of its column.
func (m *maker) truth(c column, r reading) int64 {
	v := c.canonical(r.mantissa, c.decimals)
	if c.kind == "pressure" && c.gauge {
		v.Add(v, rat(m.air))
	}
	return thousandths(v)
}

// mark puts markers in the place of some values, and leaves some out.
func (m *maker) mark() {
	markers := map[string][]string{
		"empty": {""}, "words": {"OL", "NaN", "Err", "open", "#N/A", "n/a"}, "dashes": {"---", "--", "-"},
		"numbers": {"-9999"}, "limits": {"<0.5", ">99"},
	}[m.Recipe["markers"]]
	for i := range m.rows {
		for k := range m.rows[i] {
			cell := &m.rows[i][k]
			if m.is("reference", "below zero") && cell.mantissa < 0 && m.columns[k].kind == "pressure" {
				continue // it is what proves the reference
			}
			if len(markers) > 0 && i > 0 && m.rng.IntN(9) == 0 {
				cell.marker = markers[m.rng.IntN(len(markers))]
				cell.unlogged = cell.marker == ""
			}
			if m.is("rates", "on change") && i > 0 && m.rng.IntN(3) > 0 || m.is("rates", "different") && k > 0 && i%3 > 0 {
				cell.unlogged = true
			}
		}
	}
}
