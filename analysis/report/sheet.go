package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/analysis/trust"
	"rimelog/pipeline/table"
)

// mostSheets is how many stays have a sheet: the newest ones. Older ones stay in the
// tables; a customer asks for the last visit, rarely for one before the last year.
const mostSheets = 6

// sheetsView is the visit sheets of a system, the newest first. One is in sight: the
// one that the address names, else the newest.
type sheetsView struct {
	ID, Title, Site, Refrigerant string
	Href                         string // of the system's page
	Sheets                       []sheetView
	Mind                         string // the caution of the refrigerant's safety class
	Made                         madeView
}

// A sheetView is one stay on one printed page, as questions and answers.
type sheetView struct {
	Anchor, Day, Span          string
	Instruments                []string
	Log, Normal, Changed, Next answer
	Rows                       []sheetRow
	Left                       bool // whether there are readings as left
	Compared                   bool // whether any reading could be compared
	Scale                      string
	Facts                      []fact
}

// An answer is one sentence, and what it rests on.
type answer struct {
	Head string
	More []string
}

// A sheetRow is one reading with its uncertainty, beside what is usual.
type sheetRow struct {
	readingRow
	AsLeft string
}

func (s System) sheets(m Made) sheetsView {
	v := sheetsView{ID: s.Register.ID, Title: s.Title(), Site: s.Register.Site, Refrigerant: s.Register.RefrigerantName,
		Href: "../" + SystemPath(s.Register.ID), Mind: s.mind(), Made: m.in(s.say, s.Zone())}
	stays := s.stays()
	for i := len(stays) - 1; i >= 0 && len(v.Sheets) < mostSheets; i-- {
		v.Sheets = append(v.Sheets, s.sheet(stays, i))
	}
	return v
}

// sheetAnchor names a stay within the file of sheets.
func sheetAnchor(y stay, zone *time.Location) string {
	return y.start().In(zone).Format("v-2006-01-02-1504")
}

func (s System) sheet(stays []stay, i int) sheetView {
	y := stays[i]
	known := s.known(y)
	v := sheetView{Anchor: sheetAnchor(y, s.Zone()), Day: s.say.Day(y.start(), s.Zone()), Span: s.say.Span(y.start(), y.end(), s.Zone()),
		Instruments: strings.Fields(y.found.Instruments), Log: s.wasLogGood(y), Left: y.left != nil, Facts: s.stayFacts(y)}
	s.sheetRows(&v, y, known)
	v.Normal, v.Changed, v.Next = s.isNormal(y, known), s.whatChanged(stays, i, known), s.whatNext(stays, i)
	return v
}

// stayFacts are what else was worked out for the last part of a stay.
func (s System) stayFacts(y stay) (facts []fact) {
	last := y.parts()[len(y.parts())-1]
	if at := last.OutdoorTemp; !math.IsNaN(at) {
		facts = append(facts, fact{Label: capital(s.medium().Quantity()), Value: s.say.Figure(say.Temperature, at, 1)})
	}
	for _, q := range quantities() {
		if x := q.value(last); !math.IsNaN(x) {
			facts = append(facts, fact{Label: s.say.Text(q.label), Value: s.say.Figure(q.of, x, q.digits)})
		}
	}
	return facts
}

// wasLogGood answers whether the log of a stay could be judged, and names what of it
// is in doubt.
func (s System) wasLogGood(y stay) answer {
	var windows, samples int64
	var running float64
	use := map[string]int{}
	for _, v := range y.parts() {
		windows, samples, running = windows+v.Windows, samples+v.Samples, running+v.Running
		use[v.Use]++
	}
	running = min(running, y.end().Sub(y.start()).Minutes())
	rest := s.say.Text("%s in %s, %s of them with the compressor running; %s.", s.say.Count(int(samples), "sample"), s.say.Length(y.end().Sub(y.start())),
		s.say.Length(time.Duration(running*float64(time.Minute))), s.say.Count(int(windows), "steady or evenly swinging stretch"))
	doubts := s.doubts(y)
	a := answer{More: append([]string{rest}, s.doubted(doubts)...)}
	last := y.parts()[len(y.parts())-1]
	switch {
	case use[table.UseTrend] > 0 && s.hidden(y) != "":
		a.Head = s.say.Text("Yes, but for what is in doubt: %s.", s.hidden(y))
	case use[table.UseTrend] > 0:
		a.Head = s.say.Text("Yes: it was judged.")
	case use[table.UseSpot] > 0:
		a.Head = strings.TrimSpace(s.say.Text("Only in part: it is shown, and judged with no other.") + " " + s.prose(last.Reason))
	default:
		a.Head = strings.TrimSpace(s.say.Text("No: nothing of it can be used.") + " " + s.prose(last.Reason))
	}
	return a
}

// hidden are the mistakes for which something of a stay is hidden, in words.
func (s System) hidden(y stay) string {
	var names []string
	for _, v := range y.parts() {
		for _, id := range strings.Fields(v.Doubt) {
			if r, ok := trust.RuleOf(id); ok && !slices.Contains(names, s.say.Prose(r.Name)) {
				names = append(names, s.say.Prose(r.Name))
			}
		}
	}
	return strings.Join(names, ", ")
}

// mostDoubts is how many doubts a sheet tells; the page about data quality has all.
const mostDoubts = 3

func (s System) doubted(problems []table.Problem) (out []string) {
	for _, p := range problems {
		if p.Rule == "D24" {
			continue // what other instruments cost is said where visits are compared
		}
		if len(out) == mostDoubts {
			return append(out, s.say.Text("%s more are on the page about data quality.", fmt.Sprint(len(problems)-len(out))))
		}
		out = append(out, s.say.Sentence(p.Problem))
	}
	return out
}

// sheetRows are the readings of a stay beside what was usual then.
func (s System) sheetRows(v *sheetView, y stay, known map[string]table.Trend) {
	var ends []float64
	for _, f := range features {
		ends = append(ends, s.barEnds(f, s.fresh(known[f.column], y), *y.found)...)
	}
	scale := wireScale(s.say, ends...)
	v.Scale = s.say.Figure(say.Difference, scale, 0)
	for _, f := range features {
		value, u := f.value(y.found)
		row := sheetRow{readingRow: s.reading(f, s.fresh(known[f.column], y), *y.found, s.say.Uncertain(say.Difference, value, u, 1), scale)}
		if y.left != nil {
			left, lu := f.value(y.left)
			row.AsLeft = s.say.Uncertain(say.Difference, left, lu, 1)
			value = cmp.Or(value, left)
		}
		if !math.IsNaN(value) {
			v.Compared = v.Compared || row.Usual != ""
			v.Rows = append(v.Rows, row)
		}
	}
}

// unjudgedVisit is the note of a feature that a stay was not judged by.
const unjudgedVisit = "this visit was not judged"

// fresh is a trend where the stay is among its visits; one that was decided before
// says nothing about it.
func (s System) fresh(t table.Trend, y stay) table.Trend {
	if judged(t) && t.DecidedOn.Before(y.start().AddDate(0, 0, -7)) {
		return table.Trend{Feature: t.Feature, Note: unjudgedVisit}
	}
	return t
}

// isNormal answers whether the stay read what is usual for this machine: with the
// figure of the reading that says most, the others by name.
func (s System) isNormal(y stay, known map[string]table.Trend) answer {
	var head string
	var also, still []string
	visits := 0
	for _, f := range s.byWeight(y) {
		t := s.fresh(known[f.column], y)
		if value, _ := f.value(y.found); !judged(t) || math.IsNaN(value) {
			continue
		}
		visits = max(visits, int(t.Visits))
		switch {
		case t.Verdict == drift.Noise:
			still = append(still, s.say.Lower(s.say.Text(f.name)))
		case head == "":
			head = s.say.Text("%s moved by %s", s.say.Text(f.name), around(s.say, f.column, t.Change, t.ChangeLo, t.ChangeHi))
		default:
			also = append(also, s.say.Lower(s.say.Text(f.name)))
		}
	}
	switch {
	case head == "" && len(still) == 0:
		return answer{Head: s.say.Text("Not known yet."), More: []string{s.say.Text("What is usual for this machine is learnt from %s in like conditions.", s.say.Count(leastVisits(), "judged visit"))}}
	case head == "":
		return answer{Head: s.say.Text("Yes: within noise."), More: []string{s.say.Text("Compared over %s: %s.", s.say.Count(visits, "visit"), strings.Join(still, ", "))}}
	}
	a := answer{Head: s.say.Text("No. %s.", head)}
	if len(also) > 0 {
		a.More = append(a.More, s.say.Text("Moved too: %s.", strings.Join(also, ", ")))
	}
	if len(still) > 0 {
		a.More = append(a.More, s.say.Text("Within noise: %s.", strings.Join(still, ", ")))
	}
	return a
}

// byWeight are the features, that of the most urgent finding then open first.
func (s System) byWeight(y stay) []feature {
	out := slices.Clone(features)
	if open := s.openAfter(y); len(open) > 0 {
		if i := slices.IndexFunc(out, func(f feature) bool { return f.column == open[0].Feature }); i > 0 {
			first := out[i]
			out = append([]feature{first}, slices.Delete(out, i, i+1)...)
		}
	}
	return out
}

// whatChanged answers what is otherwise than at the stay before.
func (s System) whatChanged(stays []stay, i int, known map[string]table.Trend) answer {
	y := stays[i]
	var a answer
	if y.left != nil {
		a.More = append(a.More, s.say.Text("The work on site: %s", s.steps(*y.found, *y.left, known)))
	}
	a.More = append(a.More, s.toldThen(y)...)
	if i == 0 {
		a.Head = s.say.Text("This is the first visit on record.")
		return a
	}
	before := stays[i-1]
	was := before.parts()[len(before.parts())-1]
	a.Head = s.say.Text("Since %s: %s", s.say.Day(before.start(), s.Zone()), s.steps(was, *y.found, known))
	if was.Instruments != y.found.Instruments {
		a.More = append(a.More, s.otherSet(was, *y.found))
	}
	for _, e := range s.Events {
		if !e.Time.IsZero() && e.Time.After(before.end()) && !e.Time.After(y.end()) {
			a.More = append(a.More, s.say.Day(e.Time, s.Zone())+": "+eventText(s.say, e)+".")
		}
	}
	return a
}

// steps says by how much each feature moved between two visits.
func (s System) steps(before, after table.Visit, known map[string]table.Trend) string {
	var moved, still []string
	for _, f := range features {
		d := shiftOf(f, &before, &after, known[f.column])
		switch {
		case math.IsNaN(d.size):
		case d.noise():
			still = append(still, s.say.Lower(s.say.Text(f.name)))
		default:
			moved = append(moved, s.say.Lower(s.say.Text(f.name))+" "+s.say.Shift(d.size, d.u))
		}
	}
	switch {
	case len(moved)+len(still) == 0:
		return s.say.Text("nothing was read at both.")
	case len(moved) == 0:
		return s.say.Text("nothing beyond what the instruments may err.")
	case len(still) == 0:
		return strings.Join(moved, ", ") + "."
	}
	return s.say.Text("%s; %s within noise.", strings.Join(moved, ", "), strings.Join(still, ", "))
}

// otherSet says what the change of instruments costs in certainty.
func (s System) otherSet(before, after table.Visit) string {
	for _, f := range features {
		if f.repeat == nil {
			continue
		}
		_, ua := f.value(&before)
		_, ub := f.value(&after)
		own := math.Hypot(f.repeat(&before), f.repeat(&after))
		if full := math.Hypot(ua, ub); full > 1.2*own {
			return s.say.Text("The instruments are not those of the visit before: a change of %s is known to ±\u00a0%s, with the same ones to ±\u00a0%s.",
				s.say.Lower(s.say.Text(f.name)), s.say.Figure(say.Difference, 2*full, 1), s.say.Figure(say.Difference, 2*own, 1))
		}
	}
	return s.say.Text("The instruments are not those of the visit before.")
}

// toldThen are the findings that the stay raised or closed.
func (s System) toldThen(y stay) (out []string) {
	during := func(t time.Time) bool { return !t.Before(y.start()) && !t.After(y.end()) }
	for _, f := range s.Findings {
		if during(f.RaisedOn) {
			out = append(out, s.say.Text("Raised by this visit: %s.", s.say.Lower(suspicion(s.say, f))))
		}
		if f.State != drift.Open && during(closing(f)) {
			out = append(out, s.say.Text("Settled by this visit: %s, %s.", s.say.Prose(f.Kind), s.say.Prose(f.State)))
		}
	}
	return out
}

// whatNext answers what is to be done, as it stood after the stay.
func (s System) whatNext(stays []stay, i int) answer {
	var a answer
	for _, f := range s.openAfter(stays[i]) {
		text := suspicion(s.say, f) + " " + since(s.say, f, s.Zone()) + ". " + nextCheck(s.say, f)
		if a.Head == "" {
			a.Head = text
			continue
		}
		a.More = append(a.More, text)
	}
	newest := i == len(stays)-1
	switch {
	case a.Head == "" && newest && s.standing() == notJudged:
		o := s.obstacle()
		a.Head, a.More = o.how, []string{o.why}
	case a.Head == "":
		a.Head = s.say.Text("Nothing calls for work. Log it again at the next visit, the same way.")
	default:
		a.More = append(a.More, s.say.Text("Indications from logged data: measure again before anything is done."))
	}
	return a
}

// A link is a text that leads somewhere.
type link struct{ Href, Text string }

// sheetLinks leads from the system's page to its sheets, the newest first.
func (s System) sheetLinks() (out []link) {
	stays := s.stays()
	for i := len(stays) - 1; i >= 0 && len(out) < mostSheets; i-- {
		out = append(out, link{"../" + SheetPath(s.Register.ID) + "#" + sheetAnchor(stays[i], s.Zone()), s.say.Day(stays[i].start(), s.Zone())})
	}
	return out
}
