package report

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// indexView is what the fleet page says.
type indexView struct {
	Lede, First string
	FirstHref   string
	FirstNext   string
	AsOf        string
	Groups      []group
	Line        *fleetLine // nil where there are too few systems to compare
	Total       int
	Bars        bool // whether any row has a bar
	Scale       string
	Closed      []closedRow
	Across      []acrossRow
	Answered    []drift.Hits // what people saw who were sent to findings, by kind
	Changes     *changesView // nil where there is nothing to compare with
	Leaks       string       // what is due and what records lack, in short
	Data        dataView
	Made        madeView
}

// A group is one of the lists of the fleet page.
type group struct {
	Key, Title, About string
	Tally             string // what a number of them is called
	Rows              []row
}

// A row is one system of the fleet page.
type row struct {
	Order                 int
	Rank, ID, Title, Site string
	Href                  string
	Head, Detail          string
	Gone                  string // how much charge, of a loss
	More                  []string
	Size, Interval        string
	SizeKey, RankKey      string
	Wire, Spark           template.HTML
	SparkName             string
	Since, SinceKey       string
	Next                  string
	Text                  string
}

type closedRow struct{ System, Href, Kind, State, Raised, Changed string }

func (f Fleet) view() indexView {
	systems := f.systems()
	scale := scales{fleetScale(f.say, systems), sparkSpan(systems)}
	v := indexView{
		AsOf: f.say.Day(f.AsOf, f.AsOf.Location()), Total: len(systems), Scale: f.say.Figure(say.Difference, scale.wire, 0),
		Groups: []group{
			{Key: needsVisit.key(), Title: f.say.Text("Where to go"), Tally: f.say.Text("with an open finding"), About: f.say.Text("Open findings, most urgent first.")},
			{Key: notJudged.key(), Title: f.say.Text("Cannot be judged"), Tally: f.say.Text("cannot be judged"), About: f.say.Text("Not known to be well: nothing can be said yet, and why.")},
			{Key: noFinding.key(), Title: f.say.Text("No finding"), Tally: f.say.Text("without a finding"), About: f.say.Text("Judged against their own past: nothing that is worth a visit.")},
		},
		Leaks: f.leaksInShort(), Changes: f.changes(),
		Data: f.data(), Closed: closedRows(f.say, systems), Answered: f.answered(), Across: f.across(), Made: f.Made.view(f.say),
	}
	var rows []row
	var moves []move
	for _, s := range systems {
		g := &v.Groups[s.standing()]
		r := s.row(len(g.Rows), scale)
		g.Rows = append(g.Rows, r)
		rows, moves, v.Bars = append(rows, r), append(moves, s.move()), v.Bars || r.Wire != ""
	}
	v.Line = drawLine(f.say, rows, moves, scale.wire)
	v.lead(f.say, systems)
	return v
}

// systems are the systems with their findings, most urgent first, then by name.
func (f Fleet) systems() []System {
	byID := map[string][]table.Finding{}
	for _, x := range f.Findings {
		byID[x.System] = append(byID[x.System], x)
	}
	out := slices.Clone(f.Systems)
	for i := range out {
		out[i].Findings = byID[out[i].Register.ID]
	}
	slices.SortStableFunc(out, func(a, b System) int {
		return cmp.Or(cmp.Compare(a.urgency(), b.urgency()), cmp.Compare(a.Register.Site, b.Register.Site),
			cmp.Compare(a.Title(), b.Title()), cmp.Compare(a.Register.ID, b.Register.ID))
	})
	return out
}

func (s System) urgency() int64 {
	if open := s.open(); len(open) > 0 {
		return open[0].Rank
	}
	return math.MaxInt64
}

// lead writes the page's first sentences.
func (v *indexView) lead(l say.Locale, systems []System) {
	n := len(v.Groups[needsVisit].Rows)
	switch {
	case v.Total == 0:
		v.Lede = l.Text("No system is in the register yet.")
	case n == 0 && v.Total == 1:
		v.Lede = l.Text("The only system has no open finding.")
	case n == 0:
		v.Lede = l.Text("None of %s has an open finding.", l.Count(v.Total, "system"))
	case v.Total == 1:
		v.Lede = l.Text("The only system needs somebody.")
	case n == 1:
		v.Lede = l.Text("One of %s systems needs somebody.", l.Small(v.Total))
	default:
		v.Lede = l.Text("%s of %s systems need somebody.", l.Word(n), l.Small(v.Total))
	}
	if n > 0 {
		first := v.Groups[needsVisit].Rows[0]
		v.First, v.FirstHref, v.FirstNext = place(systems[0]), first.Href, first.Next
	}
}

// place names a system and where it is.
func place(s System) string {
	if s.Register.Site == "" {
		return s.Title()
	}
	return s.say.Text("%s at %s", s.Title(), s.Register.Site)
}

// scales are what half a bar stands for, and what the height of a course does where all
// have one scale; K.
type scales struct{ wire, course float64 }

func (s System) row(order int, scale scales) row {
	r := row{Order: order, ID: s.Register.ID, Title: s.Title(), Site: s.Register.Site, Href: "system/" + s.Register.ID + ".html",
		SizeKey: "NaN", RankKey: "NaN"}
	switch s.standing() {
	case needsVisit:
		s.openRow(&r, scale.wire)
	case notJudged:
		o := s.obstacle()
		r.Head, r.Next = o.why, o.how
	default:
		s.calmRow(&r, scale.wire)
	}
	if f, ok := s.leading(); ok {
		r.Spark, r.SparkName = spark(s.asJudged(), f, s.latest()[f.column], scale.course), s.say.Text(f.name)
	}
	r.Text = strings.ToLower(strings.Join([]string{r.ID, r.Title, r.Site, r.Head, r.Detail, strings.Join(r.More, " "), s.Register.RefrigerantName}, " "))
	return r
}

func (s System) openRow(r *row, scale float64) {
	open := s.open()
	f := open[0]
	r.Rank, r.RankKey = fmt.Sprint(f.Rank), fmt.Sprint(f.Rank)
	r.Head = suspicion(s.say, f)
	r.Gone, r.Detail = capital(gone(s.say, f)), featureName(s.say, f.Feature)+", "+s.say.Count(int(f.Visits), "visit")
	if f.Observed != "" {
		r.Detail = moved(s.say, f)
	}
	for _, x := range open[1:] {
		r.More = append(r.More, suspicion(s.say, x)+": "+s.say.Lower(moved(s.say, x)))
	}
	if f.Observed == "" {
		r.size(s.say, f.Feature, f.Size, f.SizeLo, f.SizeHi, scale)
	}
	r.Since, r.SinceKey = capital(since(s.say, f, s.Zone())), f.Suspected.UTC().Format("2006-01-02")
	r.Next = nextCheck(s.say, f)
}

func (s System) calmRow(r *row, scale float64) {
	r.Head = s.calm()
	if f, ok := s.leading(); ok {
		t := s.latest()[f.column]
		r.Detail = s.say.Text(f.name) + ", " + s.say.Count(int(t.Visits), "visit")
		r.size(s.say, f.column, t.Change, t.ChangeLo, t.ChangeHi, scale)
		r.Since, r.SinceKey = s.say.Text("Compared since %s", s.say.Day(t.Since, s.Zone())), t.Since.UTC().Format("2006-01-02")
	}
}

// size writes how far a feature moved; on the wire, and in order of size, are those in K.
func (r *row) size(l say.Locale, feature string, size, lo, hi, scale float64) {
	if math.IsNaN(size) {
		return
	}
	m := measured(feature)
	if r.Size, r.Interval = m.change(l, size), m.between(l, lo, hi); m.of != say.Difference {
		return
	}
	r.SizeKey = fmt.Sprintf("%.3f", -math.Abs(size)) // the largest change first, either way
	r.Wire = wire(size, lo, hi, scale)
}

func fleetScale(l say.Locale, systems []System) float64 {
	var values []float64
	for _, s := range systems {
		for _, f := range s.open() {
			if measured(f.Feature).of == say.Difference {
				values = append(values, f.SizeLo, f.SizeHi)
			}
		}
	}
	return wireScale(l, values...)
}

func closedRows(l say.Locale, systems []System) (out []closedRow) {
	for _, s := range systems {
		for _, f := range s.past() {
			out = append(out, closedRow{place(s), "system/" + s.Register.ID + ".html", capital(l.Prose(f.Kind)), s.ended(f),
				s.raisedOn(f), s.changedOn(f)})
		}
	}
	return out
}
