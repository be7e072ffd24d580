package register

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
)

// A checker holds rows against each other and keeps those that can be told apart.
type checker struct {
	*loader
	register *Register
	headers  headers
}

// report adds a problem of a row.
func (c *checker) report(file string, line int, e RowError) {
	e.File, e.Line = folder+c.files[file], line
	c.add(e)
}

// systems keeps the rows with a valid ID of their own.
func (c *checker) systems(rows []System) {
	const file = "systems.csv"
	lines := map[string]int{} // of each ID
	for _, s := range rows {
		if idProblem(s.ID) == "" && lines[foldID(s.ID)] == 0 {
			lines[foldID(s.ID)] = s.Line
		}
	}
	for _, s := range rows {
		problem := idProblem(s.ID)
		first := lines[foldID(s.ID)]
		switch {
		case problem != "":
			id := freeID(cmp.Or(s.ID, s.Name, s.Site), lines)
			c.report(file, s.Line, RowError{Column: "system", Value: s.ID, Problem: problem, Remedy: "write " + id, RowLost: true})
		case first != s.Line:
			c.report(file, s.Line, RowError{Column: "system", Value: s.ID, System: s.ID, RowLost: true,
				Problem: fmt.Sprintf("line %d has this system already", first),
				Remedy:  fmt.Sprintf("keep one of lines %d and %d, or write %s", first, s.Line, freeID(s.ID, lines))})
		default:
			c.charge(&s)
			c.register.addSystem(s)
		}
	}
	c.register.sortSystems()
}

// charge checks that a charge whose source is named is there.
func (c *checker) charge(s *System) {
	const file = "systems.csv"
	c.chargeBounds(s)
	if s.Charge.Source != ChargeUnknown && math.IsNaN(s.Charge.KG) && !c.reported(file, s.Line, "design_charge_kg") {
		c.report(file, s.Line, RowError{Column: "charge_source", Value: s.Charge.Source.String(), System: s.ID,
			Problem: "design_charge_kg is empty", Remedy: "write the charge, or empty this cell"})
	}
}

// chargeBounds checks that the bounds of a charge are two, and the charge between.
func (c *checker) chargeBounds(s *System) {
	low, high, kg := s.ChargeLow, s.ChargeHigh, s.Charge.KG
	e := RowError{Column: "charge_high_kg", Value: decimal(high), System: s.ID}
	switch {
	case math.IsNaN(low) && math.IsNaN(high):
		return
	case math.IsNaN(low) || math.IsNaN(high):
		e.Problem, e.Remedy = "charge_low_kg and charge_high_kg go together", "write both, or neither"
	case low >= high:
		e.Problem, e.Remedy = "not above charge_low_kg "+decimal(low), "check both"
	case kg < low || kg > high:
		e.Column, e.Value = "design_charge_kg", decimal(kg)
		e.Problem, e.Remedy = "not between charge_low_kg "+decimal(low)+" and charge_high_kg "+decimal(high), "check the three"
	default:
		return
	}
	s.ChargeLow, s.ChargeHigh = math.NaN(), math.NaN()
	if !c.reported("systems.csv", s.Line, "charge_low_kg") && !c.reported("systems.csv", s.Line, "charge_high_kg") {
		c.report("systems.csv", s.Line, e)
	}
}

// freeID proposes an ID that no system has.
func freeID(text string, taken map[string]int) string {
	id := proposeID(text)
	for n := 2; taken[foldID(id)] != 0; n++ {
		suffix := fmt.Sprintf("-%d", n)
		id = proposeID(text)
		id = id[:min(len(id), maxID-len(suffix))] + suffix
	}
	return id
}

// instruments keeps the rows with a serial number of their own.
func (c *checker) instruments(rows []Instrument) {
	const file = "instruments.csv"
	lines := map[string]int{}
	for _, i := range rows {
		first, again := lines[strings.ToLower(i.Serial)]
		switch {
		case i.Serial == "":
			c.report(file, i.Line, RowError{Column: "serial", Problem: "empty", Remedy: "write the serial number, or any name of its own", RowLost: true})
		case i.Serial[0] == '#':
			c.report(file, i.Line, RowError{Column: "serial", Value: i.Serial, Problem: "begins with the mark of a comment", Remedy: "leave out the #", RowLost: true})
		case again:
			c.report(file, i.Line, RowError{Column: "serial", Value: i.Serial, RowLost: true,
				Problem: fmt.Sprintf("line %d has this instrument already", first),
				Remedy:  fmt.Sprintf("keep one of lines %d and %d", first, i.Line)})
		default:
			lines[strings.ToLower(i.Serial)] = i.Line
			c.span(&i)
			c.register.addInstrument(i)
		}
	}
	c.register.sortInstruments()
}

// span checks that a span has a lower and an upper end.
func (c *checker) span(i *Instrument) {
	if i.SpanLow >= i.SpanHigh {
		c.report("instruments.csv", i.Line, RowError{Column: "span_high", Value: decimal(i.SpanHigh),
			Problem: "not above span_low " + decimal(i.SpanLow), Remedy: "check both ends of the span"})
		i.SpanLow, i.SpanHigh = math.NaN(), math.NaN()
	}
}

// known resolves the system a row of another file is about; the row is lost
// without one.
func (c *checker) known(file string, line int, id *string) (System, bool) {
	s, ok := c.register.System(*id)
	switch {
	case ok:
		*id = s.ID
	case *id == "":
		c.report(file, line, RowError{Column: "system", Problem: "empty", Remedy: "write the ID of a system in systems.csv", RowLost: true})
	default:
		remedy := "add it to systems.csv"
		if near := Nearest(normalName(*id), c.register.ids()); near != "" {
			remedy += ", or write " + near
		}
		c.report(file, line, RowError{Column: "system", Value: *id, System: *id, Problem: "not in systems.csv", Remedy: remedy, RowLost: true})
	}
	return s, ok
}

// place puts a calendar date into a system's zone; an unknown date stays unknown.
func (c *checker) place(t *time.Time, hasTime bool, s System, file string, line int, column string) {
	if t.IsZero() {
		return
	}
	placed, ok := moment(*t, hasTime, s.Zone)
	if !ok {
		c.report(file, line, RowError{Column: column, Value: moments(*t, hasTime), System: s.ID,
			Problem: "the clocks in " + s.Zone.String() + " skipped this time of day", Remedy: "write the time before or after the change"})
		placed = time.Time{}
	}
	*t = placed
}

// channels keeps the rows that say something about a column of a known system,
// unless an earlier row says otherwise about the same.
func (c *checker) channels(rows []Channel) {
	const file = "channels.csv"
	for _, ch := range rows {
		s, ok := c.known(file, ch.Line, &ch.System)
		if !ok || !c.complete(ch) {
			continue
		}
		c.place(&ch.From, !midnight(ch.From), s, file, ch.Line, "valid_from")
		c.place(&ch.To, !midnight(ch.To), s, file, ch.Line, "valid_to")
		c.consistent(&ch)
		if other, why := c.contradicts(ch); why != "" {
			c.report(file, ch.Line, RowError{Column: "column", Value: ch.Column, System: ch.System, RowLost: true,
				Problem: fmt.Sprintf("line %d has %s for the same files and time", other.Line, why),
				Remedy:  fmt.Sprintf("keep one of lines %d and %d, or part them by file or valid_from and valid_to", other.Line, ch.Line)})
			continue
		}
		c.register.addChannel(ch)
	}
	c.register.sortChannels()
	c.register.findAlike()
}

// midnight tells whether a calendar date has no time of day.
func midnight(t time.Time) bool {
	h, m, s := t.Clock()
	return h == 0 && m == 0 && s == 0
}

// complete reports a row that names no column, or says nothing about it.
func (c *checker) complete(ch Channel) bool {
	e := RowError{System: ch.System, Problem: "empty", RowLost: true}
	switch {
	case ch.Column == "":
		e.Column, e.Remedy = "column", "write the header of the logger's column, or #3 for the third column"
	case ch.Column[0] == '#' && position.MatchString(ch.Column) && !placeInFile.MatchString(ch.Column):
		e.Column, e.Value, e.Problem, e.Remedy = "column", ch.Column, "not a place in the file", "write #1 for the first column"
	case ch.says():
		return true
	case c.reported("channels.csv", ch.Line, "channel"):
		return false
	default:
		e.Column, e.Remedy = "channel", "write what the column measures, such as suction_pressure; or its unit, reference, sign or instrument"
	}
	c.report("channels.csv", ch.Line, e)
	return false
}

// says tells whether a row says anything about its column.
func (c Channel) says() bool {
	return c.Channel != "" || c.Unit != "" || c.Reference != ReferenceUnknown || c.Sign != 1 || c.Instrument != ""
}

// consistent reports what in a row cannot be: its row stays.
func (c *checker) consistent(ch *Channel) {
	const file = "channels.csv"
	if ch.Reference != ReferenceUnknown && ch.Channel != "" && !strings.HasSuffix(ch.Channel, "_pressure") {
		c.report(file, ch.Line, RowError{Column: "reference", Value: ch.Reference.String(), System: ch.System,
			Problem: ch.Channel + " is no pressure", Remedy: "leave the cell empty"})
		ch.Reference = ReferenceUnknown
	}
	if !ch.From.IsZero() && !ch.To.IsZero() && !ch.From.Before(ch.To) {
		c.report(file, ch.Line, RowError{Column: "valid_to", Value: writeEnd(ch.To), System: ch.System,
			Problem: "before valid_from, so that the line never holds", Remedy: "check both dates"})
	}
	if _, ok := c.register.Instrument(ch.Instrument); ch.Instrument != "" && !ok && len(c.register.Instruments) > 0 {
		c.report(file, ch.Line, RowError{Column: "instrument", Value: ch.Instrument, System: ch.System,
			Problem: "not in instruments.csv, so that its accuracy is unknown", Remedy: "add it to instruments.csv"})
	}
}

// contradicts finds an earlier row that speaks about the same column, or names
// the same channel, for the same files at the same time.
func (c *checker) contradicts(ch Channel) (Channel, string) {
	for _, other := range c.register.channels[foldID(ch.System)] {
		if !strings.EqualFold(other.File, ch.File) || !overlap(ch, other) {
			continue
		}
		if c.headers.fold(other.Column) == c.headers.fold(ch.Column) {
			return other, "this column"
		}
		measured := ch.Channel != "" && ch.Channel != Extra && ch.Channel != None
		if measured && other.Channel == ch.Channel && other.Index == ch.Index {
			return other, "this channel"
		}
	}
	return Channel{}, ""
}

func overlap(a, b Channel) bool {
	return (a.To.IsZero() || b.From.Before(a.To)) && (b.To.IsZero() || a.From.Before(b.To))
}

// foldHeader makes headers equal that differ in case and blanks only.
func foldHeader(header string) string {
	return strings.ToLower(strings.Join(strings.Fields(header), " "))
}

// headers folds headers, each once: the same few stand in thousands of rows.
type headers map[string]string

func (h headers) fold(header string) string {
	folded, known := h[header]
	if !known {
		folded = foldHeader(header)
		h[header] = folded
	}
	return folded
}

// events keeps the rows of known systems, each once.
func (c *checker) events(rows []Event) {
	for _, e := range rows {
		s, ok := c.known("events.csv", e.Line, &e.System)
		if !ok {
			continue
		}
		c.dated(&e, s)
		c.signed(&e)
		c.register.addEvent(e)
	}
	c.corrections()
	c.register.sortEvents()
}

// once leaves out, and reports, a system's rows that say what an earlier one says.
func (c *checker) once(rows []Event) []Event {
	lines := map[string]int{} // of each canonical text
	form := eventForm()
	return slices.DeleteFunc(rows, func(e Event) bool {
		text := form.canonical(&e)
		first, again := lines[text]
		if !again {
			lines[text] = e.Line
			return false
		}
		c.report("events.csv", e.Line, RowError{System: e.System, RowLost: true, Problem: fmt.Sprintf("says the same as line %d", first),
			Remedy: "take it out; if it happened twice, write the time of day or a note"})
		return true
	})
}

// dated puts an event into its system's zone, and reports one without date or kind.
func (c *checker) dated(e *Event, s System) {
	const file = "events.csv"
	if e.Time.IsZero() && e.Kind != Cancelled && !c.reported(file, e.Line, "date") {
		c.report(file, e.Line, RowError{Column: "date", System: s.ID, Problem: "empty, so that nobody knows what came before", Remedy: "write the day, such as 2026-04-03"})
	}
	if e.Kind == EventUnknown && !c.reported(file, e.Line, "event") {
		c.report(file, e.Line, RowError{Column: "event", System: s.ID, Problem: "empty", Remedy: "write one of " + strings.Join(eventWords[1:], ", ")})
	}
	c.place(&e.Time, e.HasTime, s, file, e.Line, "date")
	e.HasTime = e.HasTime && !e.Time.IsZero()
}

// reported tells whether a cell has been found bad already.
func (c *checker) reported(file string, line int, column string) bool {
	return c.cells[place{folder + c.files[file], line, column}]
}

// signed gives kilograms that came out a minus sign.
func (c *checker) signed(e *Event) {
	sign := e.Kind.Sign()
	if !math.IsNaN(e.KG) && sign == 0 {
		if e.Kind != EventUnknown {
			c.report("events.csv", e.Line, RowError{Column: "kg", Value: decimal(e.KG), System: e.System,
				Problem: fmt.Sprintf("%q does not say whether they went in or came out", e.Kind),
				Remedy:  "write a line of its own with charge added or recovered"})
		}
		e.KG = math.NaN()
	}
	e.KG *= float64(sign)
}
