package plan

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/clock"
	"rimelog/ingest/layout"
	"rimelog/ingest/naming"
	"rimelog/ingest/timeline"
	"rimelog/ingest/understood"
	"rimelog/pipeline/register"
	"rimelog/thermo/units"
)

// planTime settles how lines are told in UTC, as far as the sample can. It reports
// false where no column tells the time.
func (p *Plan) planTime(a answers.Answers) bool {
	t := &p.Time
	t.Kind, t.Columns, t.How, t.Why = timeline.Find(&p.looks, p.Layout.Grid, p.titles)
	if t.Kind == timeline.NoTime && !p.countsSamples() {
		return false
	}
	t.Intervals = p.looks.At(p.Layout.Grid, slices.Max(t.Columns)).Intervals > 0
	t.Order = clock.OrderEvidence{Out: p.Found.Orders.Out, Why: p.Found.Orders.Why} // each pass weighs anew
	t.Hints = append(p.Preamble.Hints(), a.Days...)
	answer := a.Time()
	t.Ahead = answer.Ahead
	p.planOrder(answer)
	p.planZone(answer, a)
	switch t.Kind {
	case timeline.SerialTime:
		p.planSerial()
	case timeline.EpochTime:
		t.PerUnit = timeline.PerEpoch(p.looks.At(p.Layout.Grid, t.Columns[0]).First.Float())
		t.Zone = clock.FixedZone(0, "time since 1970 is counted in UTC")
		p.Open, p.Notes = nil, nil
	case timeline.ElapsedTime:
		p.planStart(answer, a)
	case timeline.DayTime:
		p.planDay(answer, a)
	}
	if p.Found.Refuse != "" && t.Question == "" {
		t.Question = p.Found.Refuse
		t.Remedy = p.timeLine(p.Found.Remedy)
	}
	if t.Question != "" {
		p.ask(t.Question, t.Remedy)
	}
	return true
}

// countsSamples takes the number of a sample for its time, where the preamble gives
// the interval between samples. The first stands at the start: common practice, no
// source.
func (p *Plan) countsSamples() bool {
	t := &p.Time
	first, ok := parseFirst(p.Layout)
	if len(p.Preamble.Intervals) != 1 || !ok || !timeline.CountsSamples(&p.looks, p.Layout.Grid, p.titles) {
		return false
	}
	t.Kind, t.Columns, t.Each, t.From = timeline.ElapsedTime, []int{0}, p.Preamble.Intervals[0], first
	t.Why = fmt.Sprintf("it numbers the samples, %s s apart by the preamble; the first stands at the start", t.Each.RatString())
	return true
}

// planSerial finds from which day serial dates count: from 1904 where the preamble
// says so, or where a date in it or in the file's name fits that count only.
func (p *Plan) planSerial() {
	t := &p.Time
	for _, l := range p.Preamble.Lines {
		if slices.Contains(naming.Words(l), "1904") {
			t.Base1904, t.Why = true, fmt.Sprintf("its numbers run one way and are as large as days since 1904, as %q says", l)
			return
		}
	}
	first, _ := p.looks.At(p.Layout.Grid, t.Columns[0]).First.Rat().Float64()
	fits := func(zero int64) bool {
		return slices.ContainsFunc(t.Hints, func(h int64) bool { d := int64(first) + zero - h; return d >= -1 && d <= 1 })
	}
	if fits(timeline.SerialZero+timeline.Between1904) && !fits(timeline.SerialZero) {
		t.Base1904, t.Why = true, "its numbers run one way and, counted from 1904, give the date of the preamble or the file's name"
	}
}

// parseFirst is the number in the first line's first cell: 0 or 1.
func parseFirst(l layout.Layout) (*big.Rat, bool) {
	switch string(l.Cells[l.First][0]) {
	case "0":
		return new(big.Rat), true
	case "1":
		return big.NewRat(1, 1), true
	}
	return nil, false
}

// timeLine is a row of channels.csv for the time column.
func (p *Plan) timeLine(unit string) string {
	c := register.Channel{System: p.systemID(), Column: p.ColumnName(p.Time.Columns[0]), Channel: "time", Unit: unit}
	return register.ChannelLine(c)
}

// planOrder rules out orders by the register and by the cells of the sample.
func (p *Plan) planOrder(answer answers.TimeAnswer) {
	t := &p.Time
	if t.Kind != timeline.StampTime {
		return
	}
	if answer.HasOrder {
		t.Order = clock.OrderEvidence{}
		t.Order.Only(answer.Order, fmt.Sprintf("channels.csv line %d says %s", answer.Line, answer.Order))
		t.Fixed = true
		return
	}
	g := p.Layout.Grid
	weigh := t.Order // the sample has gaps: only what it rules out counts
	for _, i := range g.Body {
		if s, ok := clock.ParseStamp(g.Cells[i][t.Columns[0]]); ok && s.HasDate && clock.Plausible(s) {
			weigh.Observe(s, 0, 0)
		}
	}
	t.Order.Out, t.Order.Why = weigh.Out, weigh.Why
	if s, ok := clock.ParseStamp(g.Cells[p.Layout.First][t.Columns[0]]); ok && s.Mark == '.' && s.Digits[0] < 4 && !t.Order.Out[clock.DayFirst] && naming.SpeaksDayFirst(p.titles) {
		t.Order.Only(clock.DayFirst, "in the language of the header no date with points begins with its year")
	}
}

// planZone finds the zone of the logger's clock: the register's row for the time
// column, an offset in the header or the preamble, then the zone of the site.
func (p *Plan) planZone(answer answers.TimeAnswer, a answers.Answers) {
	t := &p.Time
	site := clock.ZoneRule{}
	if len(a.Systems) > 0 && a.Systems[0].Zone != nil {
		z := a.Systems[0].Zone
		site = clock.ZoneRule{Loc: z, Name: z.String(), Why: "the register's zone of " + a.Systems[0].ID}
	}
	t.Offsets = p.everyOffset()
	switch {
	case answer.HasZone:
		t.Zone = answer.Zone
	case p.headerZone(&t.Zone):
	case p.preambleZone(site, &t.Zone):
	case site.Loc != nil:
		t.Zone = site
	case t.Offsets:
		t.Zone = clock.FixedZone(0, "every stamp carries its offset from UTC")
	case p.everyAbbreviation(&t.Zone):
	default:
		t.Zone = clock.FixedZone(0, "not known: the clock is taken as UTC")
		t.Zone.Unknown = true
		p.addQuestion(understood.Question{Question: "the zone of the logger's clock is not known; its times are taken as UTC", RegisterLine: p.timeLine("Europe/Berlin"), Waits: false})
		p.Notes = append(p.Notes, understood.Note{
			Note:   fmt.Sprintf("zone of %s not known: the times of its loggers are taken as UTC", p.systemID()),
			Remedy: "write the zone into the system's row, such as Europe/Berlin", Place: "register/systems.csv",
		})
	}
	if d := p.Found.Zone; d != nil && !t.Zone.Fixed {
		if d.Fold {
			t.Zone.NoFold = true
		} else {
			t.Zone = clock.FixedZone(int(d.Offset/clock.Second), d.Why)
		}
	}
}

// everyAbbreviation takes the zone that all stamps of the sample name, such as CET and
// CEST, where no others use those names.
func (p *Plan) everyAbbreviation(z *clock.ZoneRule) bool {
	t, found := p.Time, ""
	if t.Kind != timeline.StampTime {
		return false
	}
	for _, i := range p.Layout.Body {
		s, ok := clock.ParseStamp(joinCells(p.Layout.Cells[i], t.Columns))
		if !ok || !s.HasDate {
			continue
		}
		zone, known := clock.ZoneOf(s.Zone)
		if !known || found != "" && found != zone {
			return false
		}
		found = zone
	}
	loc, err := time.LoadLocation(cmp.Or(found, "-"))
	if err != nil {
		return false
	}
	*z = clock.ZoneRule{Loc: loc, Name: found, Why: "every stamp names its time, as the clocks of " + found + " do"}
	return true
}

// everyOffset tells whether each stamp of the sample says how far it is from UTC.
func (p *Plan) everyOffset() bool {
	g, t := p.Layout.Grid, p.Time
	if t.Kind != timeline.StampTime {
		return false
	}
	shifts := false
	for _, i := range g.Body {
		cell := joinCells(g.Cells[i], t.Columns)
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
func (p *Plan) headerZone(z *clock.ZoneRule) bool {
	for _, c := range p.Time.Columns {
		name := p.Layout.Names[c]
		for _, word := range []string{"UTC", "GMT"} {
			if i := strings.Index(name, word); i >= 0 {
				if r, ok := clock.ReadZone(strings.Trim(name[i:], " )]"), "the header "+name); ok {
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
func (p *Plan) preambleZone(site clock.ZoneRule, z *clock.ZoneRule) bool {
	text := p.Preamble.Zone
	if text == "" {
		return false
	}
	if r, ok := clock.ReadZone(text, "the preamble says "+text); ok {
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
func (p *Plan) abbreviated(word, why string, z *clock.ZoneRule) bool {
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
func (p *Plan) planStart(answer answers.TimeAnswer, a answers.Answers) {
	t := &p.Time
	label := p.titles[t.Columns[0]].Label
	u, err := units.Parse(label)
	if err != nil || u.Quantity != units.Duration {
		u, _ = units.Parse("s")
		if l := p.looks.At(p.Layout.Grid, t.Columns[0]); l.Times == 0 && t.Question == "" && t.Each == nil {
			t.Question = fmt.Sprintf("the unit of elapsed time in column %q is not known", p.ColumnName(t.Columns[0]))
			t.Remedy = p.timeLine("start 2026-05-25 12:05:54")
		}
	}
	t.Unit = u
	start, ok := p.Preamble.Start()
	if answer.HasStart {
		start, ok = layout.PreambleStamp{Stamp: answer.Start, Line: fmt.Sprintf("channels.csv line %d", answer.Line)}, true
	}
	if !ok && a.Start.HasTime && len(p.Preamble.Stamps) == 0 {
		start, ok = layout.PreambleStamp{Stamp: a.Start, Line: "the file's name"}, true
	}
	if !ok {
		t.Question = "the file counts elapsed time, and nothing says from when"
		t.Remedy = p.timeLine("start 2026-05-25 12:05:54")
		return
	}
	p.startAt(start)
}

// startAt tells the start in UTC.
func (p *Plan) startAt(start layout.PreambleStamp) {
	t := &p.Time
	one := timeline.New(timeline.Plan{Kind: timeline.StampTime, Zone: t.Zone, Hints: t.Hints})
	if days, ok := clock.SoleDay(start.Stamp); ok {
		one.Plan.Order.Only(orderOf(start.Stamp, days), "")
		one.Order = orderOf(start.Stamp, days)
	} else {
		t.Question = fmt.Sprintf("the date in %q can be read in two ways", start.Line)
		t.Remedy = p.timeLine("start 2026-05-25 12:05:54")
		return
	}
	s := start.Stamp
	micros, _ := s.TimeOfDay()
	days, _ := s.Days(one.Order)
	local := days*clock.Day + micros
	switch {
	case s.HasShift:
		t.Start, t.Question = local-int64(s.Offset)*clock.Second, ""
	case s.Zone != "":
		utc, reason := one.Zone.Named(local, s.Zone)
		if reason != "" {
			t.Question, t.Remedy = fmt.Sprintf("the start in %q: %s", start.Line, reason), p.timeLine("UTC+01:00 start 2026-05-25 12:05:54")
			return
		}
		t.Start = utc
		if t.Zone.Unknown {
			p.settleZone(clock.ZoneRule{Loc: one.Zone.Rule.Loc, Name: one.Zone.Rule.Name, Why: fmt.Sprintf("%q says %s", start.Line, s.Zone)})
			break
		}
		t.Zone.Why += fmt.Sprintf("; %s is its time on that day", s.Zone)
	default:
		utc, reason := one.Zone.UTC(local)
		if reason != "" {
			t.Question, t.Remedy = reason, p.timeLine("UTC+01:00")
			return
		}
		t.Start = utc
	}
	t.StartOffset = local - t.Start
	t.Why += fmt.Sprintf(", counted from %q", start.Line)
}

// settleZone takes a zone that was asked for before.
func (p *Plan) settleZone(z clock.ZoneRule) {
	p.Time.Zone, p.Open, p.Notes = z, nil, nil
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
func (p *Plan) planDay(answer answers.TimeAnswer, a answers.Answers) {
	t := &p.Time
	days := slices.Compact(slices.Sorted(slices.Values(t.Hints)))
	if answer.HasStart {
		if d, ok := clock.SoleDay(answer.Start); ok {
			days = []int64{d}
		}
	}
	if start, ok := p.Preamble.Start(); ok && len(days) == 1 && !answer.HasStart && p.countsFromZero(start.Stamp) {
		t.Kind = timeline.ElapsedTime
		p.planStart(answer, a)
		return
	}
	if i := p.unreadDate(); i >= 0 && !answer.HasStart {
		t.Question = fmt.Sprintf("the column %q seems to hold the date, written in a way that is not known", p.ColumnName(i))
		t.Remedy = p.timeLine("start 2026-05-25")
		return
	}
	if s, ok := clock.ParseStamp(p.Layout.Cells[p.Layout.First][t.Columns[0]]); ok && s.HasDate && !s.HasTime && len(days) == 0 {
		if d, ok := clock.SoleDay(s); ok { // a line of its own above the times of that day
			t.Start = d
			t.Why += "; lines between them say of which date they are"
			return
		}
	}
	if len(days) != 1 {
		t.Question = "the file holds times of day only, and nothing says of which date"
		t.Remedy = p.timeLine("start 2026-05-25")
		return
	}
	t.Start = days[0]
	t.Why += "; the date stands in the preamble or the file's name"
}

// unreadDate is a column that is named as one of the date and changes from line to
// line, though no date can be read in it; -1 where there is none. The date of the file
// would hold for its first lines only.
func (p *Plan) unreadDate() int {
	for i, t := range p.titles {
		if slices.Contains(p.Time.Columns, i) || !t.Has("date") && !t.IsWord(timeline.OrdinalWords) {
			continue
		}
		cells := p.CellsOf(i)
		if slices.ContainsFunc(cells, func(c []byte) bool { return len(c) > 0 && string(c) != string(cells[0]) }) {
			return i
		}
	}
	return -1
}

// countsFromZero tells whether the first time is near zero while the start in the
// preamble is not: then the column counts from the start.
func (p *Plan) countsFromZero(start clock.Stamp) bool {
	s, ok := clock.ParseStamp(p.Layout.Cells[p.Layout.First][p.Time.Columns[0]])
	if !ok {
		return false
	}
	first, _ := s.TimeOfDay()
	at, _ := start.TimeOfDay()
	return first < clock.Minute && at > 5*clock.Minute
}
