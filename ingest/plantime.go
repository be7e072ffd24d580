package ingest

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/clock"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// planTime settles how lines are told in UTC, as far as the sample can. It reports
// false where no column tells the time.
func (p *plan) planTime(a Answers) bool {
	t := &p.time
	t.kind, t.columns, t.how, t.why = findTime(p.layout.grid, p.titles)
	if t.kind == noTime && !p.countsSamples() {
		return false
	}
	t.intervals = p.layout.grid.look(slices.Max(t.columns)).intervals > 0
	t.order = clock.OrderEvidence{Out: p.found.orders.Out, Why: p.found.orders.Why} // each pass weighs anew
	t.hints = append(p.preamble.hints(), a.Days...)
	answer := a.time()
	t.ahead = answer.ahead
	p.planOrder(answer)
	p.planZone(answer, a)
	switch t.kind {
	case serialTime:
		p.planSerial()
	case epochTime:
		t.perUnit = perEpoch(p.layout.grid.look(t.columns[0]).first.Float())
		t.zone = clock.FixedZone(0, "time since 1970 is counted in UTC")
		p.open, p.notes = nil, nil
	case elapsedTime:
		p.planStart(answer, a)
	case dayTime:
		p.planDay(answer, a)
	}
	if p.found.refuse != "" && t.question == "" {
		t.question = p.found.refuse
		t.remedy = p.timeLine(p.found.remedy)
	}
	if t.question != "" {
		p.ask(t.question, t.remedy)
	}
	return true
}

// countsSamples takes the number of a sample for its time, where the preamble gives
// the interval between samples. The first stands at the start: common practice, no
// source.
func (p *plan) countsSamples() bool {
	t := &p.time
	first, ok := parseFirst(p.layout)
	if len(p.preamble.intervals) != 1 || !ok || !countsSamples(p.layout.grid, p.titles) {
		return false
	}
	t.kind, t.columns, t.each, t.from = elapsedTime, []int{0}, p.preamble.intervals[0], first
	t.why = fmt.Sprintf("it numbers the samples, %s s apart by the preamble; the first stands at the start", t.each.RatString())
	return true
}

// planSerial finds from which day serial dates count: from 1904 where the preamble
// says so, or where a date in it or in the file's name fits that count only.
func (p *plan) planSerial() {
	t := &p.time
	for _, l := range p.preamble.lines {
		if slices.Contains(titleWords(l), "1904") {
			t.base1904, t.why = true, fmt.Sprintf("its numbers run one way and are as large as days since 1904, as %q says", l)
			return
		}
	}
	first, _ := p.layout.grid.look(t.columns[0]).first.Rat().Float64()
	fits := func(zero int64) bool {
		return slices.ContainsFunc(t.hints, func(h int64) bool { d := int64(first) + zero - h; return d >= -1 && d <= 1 })
	}
	if fits(serialZero+between1904) && !fits(serialZero) {
		t.base1904, t.why = true, "its numbers run one way and, counted from 1904, give the date of the preamble or the file's name"
	}
}

// parseFirst is the number in the first line's first cell: 0 or 1.
func parseFirst(l layout) (*big.Rat, bool) {
	switch string(l.cells[l.first][0]) {
	case "0":
		return new(big.Rat), true
	case "1":
		return big.NewRat(1, 1), true
	}
	return nil, false
}

// timeLine is a row of channels.csv for the time column.
func (p *plan) timeLine(unit string) string {
	c := register.Channel{System: p.systemID(), Column: p.columnName(p.time.columns[0]), Channel: "time", Unit: unit}
	return register.ChannelLine(c)
}

// planOrder rules out orders by the register and by the cells of the sample.
func (p *plan) planOrder(answer timeAnswer) {
	t := &p.time
	if t.kind != stampTime {
		return
	}
	if answer.hasOrder {
		t.order = clock.OrderEvidence{}
		t.order.Only(answer.order, fmt.Sprintf("channels.csv line %d says %s", answer.line, answer.order))
		t.fixed = true
		return
	}
	g := p.layout.grid
	weigh := t.order // the sample has gaps: only what it rules out counts
	for _, i := range g.body {
		if s, ok := clock.ParseStamp(g.cells[i][t.columns[0]]); ok && s.HasDate && plausible(s) {
			weigh.Observe(s, 0, 0)
		}
	}
	t.order.Out, t.order.Why = weigh.Out, weigh.Why
	if s, ok := clock.ParseStamp(g.cells[p.layout.first][t.columns[0]]); ok && s.Mark == '.' && s.Digits[0] < 4 && !t.order.Out[clock.DayFirst] && speaksDayFirst(p.titles) {
		t.order.Only(clock.DayFirst, "in the language of the header no date with points begins with its year")
	}
}

// planZone finds the zone of the logger's clock: the register's row for the time
// column, an offset in the header or the preamble, then the zone of the site.
func (p *plan) planZone(answer timeAnswer, a Answers) {
	t := &p.time
	site := clock.ZoneRule{}
	if len(a.Systems) > 0 && a.Systems[0].Zone != nil {
		z := a.Systems[0].Zone
		site = clock.ZoneRule{Loc: z, Name: z.String(), Why: "the register's zone of " + a.Systems[0].ID}
	}
	t.offsets = p.everyOffset()
	switch {
	case answer.hasZone:
		t.zone = answer.zone
	case p.headerZone(&t.zone):
	case p.preambleZone(site, &t.zone):
	case site.Loc != nil:
		t.zone = site
	case t.offsets:
		t.zone = clock.FixedZone(0, "every stamp carries its offset from UTC")
	case p.everyAbbreviation(&t.zone):
	default:
		t.zone = clock.FixedZone(0, "not known: the clock is taken as UTC")
		t.zone.Unknown = true
		p.addQuestion(Question{"the zone of the logger's clock is not known; its times are taken as UTC", p.timeLine("Europe/Berlin"), false})
		p.notes = append(p.notes, Note{
			Note:   fmt.Sprintf("zone of %s not known: the times of its loggers are taken as UTC", p.systemID()),
			Remedy: "write the zone into the system's row, such as Europe/Berlin", Place: "register/systems.csv",
		})
	}
	if d := p.found.zone; d != nil && !t.zone.Fixed {
		if d.Fold {
			t.zone.NoFold = true
		} else {
			t.zone = clock.FixedZone(int(d.Offset/clock.Second), d.Why)
		}
	}
}

// everyAbbreviation takes the zone that all stamps of the sample name, such as CET and
// CEST, where no others use those names.
func (p *plan) everyAbbreviation(z *clock.ZoneRule) bool {
	t, found := p.time, ""
	if t.kind != stampTime {
		return false
	}
	for _, i := range p.layout.body {
		s, ok := clock.ParseStamp(joinCells(p.layout.cells[i], t.columns))
		if !ok || !s.HasDate {
			continue
		}
		zone, known := clock.ZoneOf(s.Zone)
		if !known || found != "" && found != zone {
			return false
		}
		found = zone
	}
	loc, err := time.LoadLocation(or(found, "-"))
	if err != nil {
		return false
	}
	*z = clock.ZoneRule{Loc: loc, Name: found, Why: "every stamp names its time, as the clocks of " + found + " do"}
	return true
}

// everyOffset tells whether each stamp of the sample says how far it is from UTC.
func (p *plan) everyOffset() bool {
	g, t := p.layout.grid, p.time
	if t.kind != stampTime {
		return false
	}
	shifts := false
	for _, i := range g.body {
		cell := joinCells(g.cells[i], t.columns)
		s, ok := clock.ParseStamp(cell)
		if ok && s.HasTime && !s.HasShift {
			return false
		}
		shifts = shifts || s.HasShift
	}
	return shifts
}

func joinCells(cells [][]byte, columns []int) []byte {
	var b []byte
	for k, c := range columns {
		if k > 0 {
			b = append(b, ' ')
		}
		b = append(b, cells[c]...)
	}
	return b
}

// headerZone reads a zone in the time column's header: "Date Time, GMT-05:00".
func (p *plan) headerZone(z *clock.ZoneRule) bool {
	for _, c := range p.time.columns {
		name := p.layout.names[c]
		for _, word := range []string{"UTC", "GMT"} {
			if i := strings.Index(name, word); i >= 0 {
				if r, ok := readZone(strings.Trim(name[i:], " )]"), "the header "+name); ok {
					*z = r
					return true
				}
			}
		}
		for _, w := range strings.FieldsFunc(name, func(r rune) bool { return r < 'A' || r > 'Z' }) {
			if p.abbreviated(w, "the header says "+w, z) {
				return true
			}
		}
	}
	return false
}

// preambleZone reads a zone in the preamble. An abbreviation counts only where
// the site's own zone uses it, and then that zone is meant.
func (p *plan) preambleZone(site clock.ZoneRule, z *clock.ZoneRule) bool {
	text := p.preamble.zone
	if text == "" {
		return false
	}
	if r, ok := readZone(text, "the preamble says "+text); ok {
		*z = r
		return true
	}
	if site.Loc == nil {
		return p.abbreviated(strings.ToUpper(strings.Trim(text, "() ")), "the preamble says "+text, z)
	}
	if w := strings.Trim(text, "() "); usesAbbreviation(site.Loc, w) {
		*z = site
		z.Why = fmt.Sprintf("the preamble says %s, which is a time of %s", w, site.Name)
		return true
	}
	return false
}

// abbreviated takes a clock that shows the time of one name, as long as the zone of
// that name does: EST in summer can mean a clock that switches, and is not taken.
func (p *plan) abbreviated(word, why string, z *clock.ZoneRule) bool {
	loc, ok := clock.NamedZone(word)
	if ok {
		*z = clock.ZoneRule{Loc: loc, Name: word, Why: why, Abbr: word}
	}
	return ok
}

func usesAbbreviation(loc *time.Location, word string) bool {
	for month := range 12 {
		if n, _ := time.Date(2024, time.Month(month+1), 15, 12, 0, 0, 0, loc).Zone(); n == word {
			return true
		}
	}
	return false
}

// planStart finds what elapsed time counts from.
func (p *plan) planStart(answer timeAnswer, a Answers) {
	t := &p.time
	label := p.titles[t.columns[0]].label
	u, err := units.Parse(label)
	if err != nil || u.Quantity != units.Duration {
		u, _ = units.Parse("s")
		if l := p.layout.grid.look(t.columns[0]); l.times == 0 && t.question == "" && t.each == nil {
			t.question = fmt.Sprintf("the unit of elapsed time in column %q is not known", p.columnName(t.columns[0]))
			t.remedy = p.timeLine("start 2026-05-25 12:05:54")
		}
	}
	t.unit = u
	start, ok := p.preamble.start()
	if answer.hasStart {
		start, ok = preambleStamp{stamp: answer.start, line: fmt.Sprintf("channels.csv line %d", answer.line)}, true
	}
	if !ok && a.Start.HasTime && len(p.preamble.stamps) == 0 {
		start, ok = preambleStamp{stamp: a.Start, line: "the file's name"}, true
	}
	if !ok {
		t.question = "the file counts elapsed time, and nothing says from when"
		t.remedy = p.timeLine("start 2026-05-25 12:05:54")
		return
	}
	p.startAt(start)
}

// startAt tells the start in UTC.
func (p *plan) startAt(start preambleStamp) {
	t := &p.time
	one := newTimeline(timePlan{kind: stampTime, zone: t.zone, hints: t.hints})
	if days, ok := soleDay(start.stamp); ok {
		one.plan.order.Only(orderOf(start.stamp, days), "")
		one.order = orderOf(start.stamp, days)
	} else {
		t.question = fmt.Sprintf("the date in %q can be read in two ways", start.line)
		t.remedy = p.timeLine("start 2026-05-25 12:05:54")
		return
	}
	s := start.stamp
	micros, _ := s.TimeOfDay()
	days, _ := s.Days(one.order)
	local := days*clock.Day + micros
	switch {
	case s.HasShift:
		t.start, t.question = local-int64(s.Offset)*clock.Second, ""
	case s.Zone != "":
		utc, reason := one.zone.Named(local, s.Zone)
		if reason != "" {
			t.question, t.remedy = fmt.Sprintf("the start in %q: %s", start.line, reason), p.timeLine("UTC+01:00 start 2026-05-25 12:05:54")
			return
		}
		t.start = utc
		if t.zone.Unknown {
			p.settleZone(clock.ZoneRule{Loc: one.zone.Rule.Loc, Name: one.zone.Rule.Name, Why: fmt.Sprintf("%q says %s", start.line, s.Zone)})
			break
		}
		t.zone.Why += fmt.Sprintf("; %s is its time on that day", s.Zone)
	default:
		utc, reason := one.zone.UTC(local)
		if reason != "" {
			t.question, t.remedy = reason, p.timeLine("UTC+01:00")
			return
		}
		t.start = utc
	}
	t.startOffset = local - t.start
	t.why += fmt.Sprintf(", counted from %q", start.line)
}

// settleZone takes a zone that was asked for before.
func (p *plan) settleZone(z clock.ZoneRule) {
	p.time.zone, p.open, p.notes = z, nil, nil
}

func orderOf(s clock.Stamp, days int64) clock.Order {
	for o := range clock.Orders {
		if d, ok := s.Days(clock.Order(o)); ok && d == days {
			return clock.Order(o)
		}
	}
	return 0
}

// planDay finds the date of a file that holds times of day only.
func (p *plan) planDay(answer timeAnswer, a Answers) {
	t := &p.time
	days := slices.Compact(slices.Sorted(slices.Values(t.hints)))
	if answer.hasStart {
		if d, ok := soleDay(answer.start); ok {
			days = []int64{d}
		}
	}
	if start, ok := p.preamble.start(); ok && len(days) == 1 && !answer.hasStart && p.countsFromZero(start.stamp) {
		t.kind = elapsedTime
		p.planStart(answer, a)
		return
	}
	if i := p.unreadDate(); i >= 0 && !answer.hasStart {
		t.question = fmt.Sprintf("the column %q seems to hold the date, written in a way that is not known", p.columnName(i))
		t.remedy = p.timeLine("start 2026-05-25")
		return
	}
	if s, ok := clock.ParseStamp(p.layout.cells[p.layout.first][t.columns[0]]); ok && s.HasDate && !s.HasTime && len(days) == 0 {
		if d, ok := soleDay(s); ok { // a line of its own above the times of that day
			t.start = d
			t.why += "; lines between them say of which date they are"
			return
		}
	}
	if len(days) != 1 {
		t.question = "the file holds times of day only, and nothing says of which date"
		t.remedy = p.timeLine("start 2026-05-25")
		return
	}
	t.start = days[0]
	t.why += "; the date stands in the preamble or the file's name"
}

// unreadDate is a column that is named as one of the date and changes from line to
// line, though no date can be read in it; -1 where there is none. The date of the file
// would hold for its first lines only.
func (p *plan) unreadDate() int {
	for i, t := range p.titles {
		if slices.Contains(p.time.columns, i) || !t.has("date") && !t.isWord(ordinalWords) {
			continue
		}
		cells := p.cellsOf(i)
		if slices.ContainsFunc(cells, func(c []byte) bool { return len(c) > 0 && string(c) != string(cells[0]) }) {
			return i
		}
	}
	return -1
}

// countsFromZero tells whether the first time is near zero while the start in the
// preamble is not: then the column counts from the start.
func (p *plan) countsFromZero(start clock.Stamp) bool {
	s, ok := clock.ParseStamp(p.layout.cells[p.layout.first][p.time.columns[0]])
	if !ok {
		return false
	}
	first, _ := s.TimeOfDay()
	at, _ := start.TimeOfDay()
	return first < clock.Minute && at > 5*clock.Minute
}
