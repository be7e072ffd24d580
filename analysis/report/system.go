package report

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"regexp"
	"strings"
	"unicode"

	"rimelog/analysis/drift"
	"rimelog/analysis/report/chart"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// systemView is what the page of one system says.
type systemView struct {
	ID, Title, Site, Refrigerant string
	Standing                     string
	Medium                       chart.Medium
	Compared                     bool   // whether anything can be compared with the machine's own past
	Expected                     bool   // whether anything is held against what systems like it let expect
	First                        string // what stands in place of courses after one visit
	Verdict, HowTo               string
	Presumed                     string // by which refrigerant it is judged, where not simply by the register's
	Open, Past                   []findingView
	Readings                     []readingRow
	ReadingOf, Scale             string
	WorkedOut                    []fact // of the latest visit, besides the readings
	WorkedOutOf                  string
	Courses, Outdoors, Diagram   []figureView
	NoDiagram                    string
	Logs                         []figureView
	Energy                       *energyView // nil where nothing is known of it
	Windows, LeftOut             chart.Table
	Refusals                     []refusalRow
	Facts                        []fact
	Unknown                      int
	Events                       []eventRow
	Cautions                     []caution
	Sheets                       []link // the newest visits, each on a sheet
	Card                         string // the way to the card for the next visit
	Before, After                beside
	Made                         madeView
}

// A beside is the way to a system beside this one, by a link or a key. Where the reader
// came from the fleet page, the page's script goes by the order of the systems there.
type beside struct{ Rel, Href, Key, Text, Title string }

func (b beside) to(id string) beside {
	b.Title += " (" + b.Key + ")"
	if id != "" {
		b.Href = id + ".html"
	}
	return b
}

// A findingView is one finding in words.
type findingView struct {
	ID, Rank, Head, Moved, Rate, Since, Raised string
	State                                      string // with the visit that closed it
	Evidence, Alternative, NextCheck           string
	LimitedBy                                  []string
	Later                                      string // what later visits say
	Gone, Going                                string // how much charge, of a loss, and how much a year
}

// A readingRow answers whether the latest reading of a feature is normal for this machine.
type readingRow struct {
	Name, Latest, Usual, Change, Interval, Verdict string
	Visits                                         string
	Wire                                           template.HTML
	Moves                                          bool
}

// A refusalRow is lines or cells that were not taken.
type refusalRow struct{ File, Lines, Column, Reason, Text string }

// refusals names the files by their paths, or by hash where the path is not known.
func (s System) refusals(v *systemView) {
	paths := map[string]string{}
	for _, u := range s.Partly {
		paths[u.Upload] = u.Path
	}
	for _, r := range s.Refusals {
		row := refusalRow{File: cmp.Or(paths[r.Upload], short(r.Upload)), Lines: fmt.Sprint(r.FirstLine),
			Column: cmp.Or(r.Channel, s.say.Text("whole lines")), Reason: s.say.Sentence(r.Reason), Text: visible(r.Text)}
		if r.LastLine != r.FirstLine {
			row.Lines = s.say.Text("%s to %s", fmt.Sprint(r.FirstLine), fmt.Sprint(r.LastLine))
		}
		v.Refusals = append(v.Refusals, row)
	}
}

// visible shows text from a broken file with a dot for what cannot be printed.
func visible(s string) string {
	return strings.Map(func(r rune) rune {
		if r == unicode.ReplacementChar || !unicode.IsPrint(r) && r != ' ' {
			return '·'
		}
		return r
	}, s)
}

type eventRow struct{ Day, What, Note string }

func (s System) view(m Made) (systemView, error) {
	v := systemView{
		ID: s.Register.ID, Title: s.Title(), Site: s.Register.Site, Refrigerant: s.Register.RefrigerantName,
		Standing: s.standing().key(), Medium: s.medium(), First: s.first(), Verdict: s.verdict(), Presumed: s.presumed(), Facts: facts(s.say, s.Register),
		Cautions: cautions(s.say, s.Register.RefrigerantName), Windows: s.windowTable(), LeftOut: s.leftOutTable(), Made: m.in(s.say, s.Zone()),
		Sheets: s.sheetLinks(), Card: "../" + CardPath(s.Register.ID),
		Before: beside{Rel: "prev", Key: "[", Text: s.say.Text("Previous"), Title: s.say.Text("Previous system")}.to(s.Before),
		After:  beside{Rel: "next", Key: "]", Text: s.say.Text("Following"), Title: s.say.Text("Next system")}.to(s.After),
	}
	v.Made.Weather = v.Medium.Quantity()
	if s.standing() == notJudged {
		v.HowTo = s.obstacle().how
	}
	for _, f := range v.Facts {
		if f.Unknown {
			v.Unknown++
		}
	}
	for _, f := range s.open() {
		v.Open = append(v.Open, s.finding(f))
	}
	for _, f := range s.past() {
		v.Past = append(v.Past, s.finding(f))
	}
	s.readings(&v)
	v.WorkedOut, v.WorkedOutOf = s.workedOut()
	s.events(&v)
	s.refusals(&v)
	var err error
	if v.Energy, err = s.energy(); err != nil {
		return v, err
	}
	return v, s.draw(&v)
}

// draw adds the charts.
func (s System) draw(v *systemView) (err error) {
	if v.Courses, err = s.courses(); err != nil {
		return err
	}
	outdoors, err := s.outdoors()
	if err != nil {
		return err
	}
	diagram, why, err := s.diagram()
	if err != nil {
		return err
	}
	logs, err := s.logs()
	v.Outdoors, v.Diagram, v.NoDiagram, v.Logs = plainFigures(outdoors), plainFigures(diagram), why, plainFigures(logs)
	explainOnce(v.Logs)
	return err
}

// first says what there is to compare after a single visit: nothing yet.
func (s System) first() string {
	if len(s.Visits) != 1 || len(s.seen()) == 0 {
		return ""
	}
	return s.say.Text("One visit so far. Courses over the visits begin with the second.")
}

func (s System) finding(f table.Finding) findingView {
	v := findingView{
		ID: f.ID, Rank: fmt.Sprint(f.Rank), Head: suspicion(s.say, f), Since: since(s.say, f, s.Zone()), State: s.ended(f),
		Raised:   s.raisedBy(f),
		Evidence: s.prose(f.Evidence), Alternative: s.say.Sentence(f.Alternative), NextCheck: nextCheck(s.say, f), LimitedBy: s.limits(f), Later: s.later(f),
	}
	if !math.IsNaN(f.Size) || f.Observed != "" {
		v.Moved = moved(s.say, f)
	}
	if !math.IsNaN(f.RaisedSize) && f.Observed == "" {
		v.Raised = s.say.Text("%s, at that time %s", v.Raised, measured(f.Feature).change(s.say, f.RaisedSize))
	}
	if m := measured(f.Feature); !math.IsNaN(f.PerYear) {
		v.Rate = s.say.Text("%s a year (%s), %s", m.change(s.say, f.PerYear), m.between(s.say, f.PerYearLo, f.PerYearHi), s.say.Count(int(f.Visits), "visit"))
	}
	v.Gone, v.Going = capital(gone(s.say, f)), s.going(f)
	v.NextCheck += s.settles(f)
	v.Rate += s.meets(f)
	return v
}

// going is how much charge a finding says goes a year, and whether anything weighed calibrates it.
func (s System) going(f table.Finding) string {
	rate := going(s.say, f)
	if rate != "" {
		rate += ". "
	}
	if f.CalibratedBy > 0 {
		return rate + s.say.Text("Calibrated by %s.", s.say.Count(int(f.CalibratedBy), "weighed addition"))
	}
	return rate + s.say.Text("No weighed addition calibrates this estimate.")
}

// later is what the visits after those behind an open finding say of its feature.
func (s System) later(f table.Finding) string {
	t, ok := s.latest()[f.Feature]
	if f.State != drift.Open || f.Observed != "" || !ok || !t.DecidedOn.After(f.ChangedOn) || !judged(t) {
		return ""
	}
	return s.say.Text("These figures are of %s. With the visits up to %s, %s", s.say.Day(f.ChangedOn, s.Zone()), s.say.Day(t.DecidedOn, s.Zone()),
		s.say.Lower(course(s.say, t, featureName(s.say, f.Feature), s.Zone())))
}

// continued is a limit that belongs to the one before: the tables part both limits
// and their parts by semicolons.
var continued = regexp.MustCompile(`^(\d|the last |the slope |until the register is right|would fit as well: )`)

// asked is what to do about a refrigerant that is presumed, which is no limit: the page says it beside
// the readings.
const asked = "look at the nameplate"

// limits are the limits of a finding, one sentence each.
func (s System) limits(f table.Finding) (out []string) {
	for _, part := range strings.Split(f.LimitedBy, "; ") {
		if n := len(out); n > 0 && continued.MatchString(part) {
			out[n-1] += "; " + part
		} else if part != "" && part != asked {
			out = append(out, part)
		}
	}
	for i := range out {
		out[i] = s.prose(out[i])
	}
	return out
}

// readings compares each feature's latest reading with this machine's own past.
func (s System) readings(v *systemView) {
	latest := s.latest()
	var values []float64
	for _, f := range s.seen() {
		visit, _, _ := s.lastReading(f)
		values = append(values, s.barEnds(f, latest[f.column], visit)...)
	}
	scale := wireScale(s.say, values...)
	v.Scale = s.say.Figure(say.Difference, scale, 0)
	for _, f := range s.seen() {
		visit, value, u := s.lastReading(f)
		v.ReadingOf = s.say.Day(visit.Start, s.Zone())
		row := s.reading(f, latest[f.column], visit, s.say.Uncertain(say.Difference, value, u, 1), scale)
		v.Compared = v.Compared || row.Usual != ""
		v.Expected = v.Expected || row.Usual != "" && !judged(latest[f.column])
		v.Readings = append(v.Readings, row)
	}
}

// barEnds are the ends of the interval that a feature's bar shows: of its trend, or, where
// that is not judged, of the distance from what is expected.
func (s System) barEnds(f feature, t table.Trend, visit table.Visit) []float64 {
	if _, lo, hi, ok := s.distance(f, visit); ok && !judged(t) {
		return []float64{lo, hi}
	}
	return []float64{t.ChangeLo, t.ChangeHi}
}

func (s System) lastReading(f feature) (visit table.Visit, value, u float64) {
	visits := s.asJudged()
	for i := len(visits) - 1; i >= 0; i-- {
		if value, u = f.value(&visits[i]); !math.IsNaN(value) {
			return visits[i], value, u
		}
	}
	return visit, math.NaN(), math.NaN()
}

func (s System) reading(f feature, t table.Trend, visit table.Visit, latest string, scale float64) readingRow {
	r := readingRow{Name: s.say.Text(f.name), Latest: latest, Verdict: capital(verdictWords(s.say, t)), Visits: "–"}
	if !judged(t) {
		s.hold(&r, f, visit, scale)
		return r
	}
	r.Moves, r.Visits = t.Verdict != drift.Noise, s.say.Count(int(t.Visits), "visit")
	r.Change, r.Interval = s.say.Change(say.Difference, t.Change, 1), s.say.ChangeBetween(say.Difference, t.ChangeLo, t.ChangeHi, 1, "")
	r.Wire = wire(t.Change, t.ChangeLo, t.ChangeHi, scale)
	// What this machine read at its reference, at the medium's temperature of the latest reading.
	usual := t.Level - t.Change
	if at := t.PerOutdoor * (visit.OutdoorTemp - t.OutdoorRef); !math.IsNaN(at) {
		usual += at
	}
	r.Usual = s.say.Uncertain(say.Difference, usual, t.Noise, 1)
	return r
}

func (s System) events(v *systemView) {
	for _, e := range s.Events {
		v.Events = append(v.Events, eventRow{s.say.Day(e.Time, s.Zone()), capital(eventText(s.say, e)), e.Note})
	}
}
