package report

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/report/say"
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
	scale := fleetScale(systems)
	v := indexView{
		AsOf: say.Day(f.AsOf, f.AsOf.Location()), Total: len(systems), Scale: say.Number(scale, 0),
		Groups: []group{
			{Key: needsVisit.key(), Title: "Where to go", Tally: "with an open finding", About: "Open findings, most urgent first."},
			{Key: notJudged.key(), Title: "Cannot be judged", Tally: "cannot be judged", About: "Not known to be well: nothing can be said yet, and why."},
			{Key: noFinding.key(), Title: "No finding", Tally: "without a finding", About: "Judged against their own past: nothing that is worth a visit."},
		},
		Leaks: f.leaksInShort(), Changes: f.changes(),
		Data: f.data(), Closed: closedRows(systems), Answered: f.answered(), Made: f.Made.view(),
	}
	var rows []row
	var moves []move
	for _, s := range systems {
		g := &v.Groups[s.standing()]
		r := s.row(len(g.Rows), scale)
		g.Rows = append(g.Rows, r)
		rows, moves, v.Bars = append(rows, r), append(moves, s.move()), v.Bars || r.Wire != ""
	}
	v.Line = drawLine(rows, moves, scale)
	v.lead(systems)
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
func (v *indexView) lead(systems []System) {
	n := len(v.Groups[needsVisit].Rows)
	switch {
	case v.Total == 0:
		v.Lede = "No system is in the register yet."
	case n == 0 && v.Total == 1:
		v.Lede = "The only system has no open finding."
	case n == 0:
		v.Lede = fmt.Sprintf("None of %s has an open finding.", say.Count(v.Total, "system"))
	case v.Total == 1:
		v.Lede = "The only system needs somebody."
	case n == 1:
		v.Lede = fmt.Sprintf("One of %s systems needs somebody.", lower(say.Word(v.Total)))
	default:
		v.Lede = fmt.Sprintf("%s of %s systems need somebody.", say.Word(n), lower(say.Word(v.Total)))
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
	return s.Title() + " at " + s.Register.Site
}

func (s System) row(order int, scale float64) row {
	r := row{Order: order, ID: s.Register.ID, Title: s.Title(), Site: s.Register.Site, Href: "system/" + s.Register.ID + ".html",
		SizeKey: "NaN", RankKey: "NaN"}
	switch s.standing() {
	case needsVisit:
		s.openRow(&r, scale)
	case notJudged:
		o := s.obstacle()
		r.Head, r.Next = o.why, o.how
	default:
		s.calmRow(&r, scale)
	}
	if f, ok := s.leading(); ok {
		r.Spark, r.SparkName = spark(s.Visits, f, s.latest()[f.column]), f.name
	}
	r.Text = strings.ToLower(strings.Join([]string{r.ID, r.Title, r.Site, r.Head, r.Detail, strings.Join(r.More, " "), s.Register.RefrigerantName}, " "))
	return r
}

func (s System) openRow(r *row, scale float64) {
	open := s.open()
	f := open[0]
	r.Rank, r.RankKey = fmt.Sprint(f.Rank), fmt.Sprint(f.Rank)
	r.Head = suspicion(f)
	r.Detail = featureName(f.Feature) + ", " + say.Count(int(f.Visits), "visit")
	for _, x := range open[1:] {
		r.More = append(r.More, suspicion(x)+": "+lower(moved(x)))
	}
	r.size(f.Size, f.SizeLo, f.SizeHi, scale)
	r.Since, r.SinceKey = capital(since(f, s.Zone())), f.Suspected.UTC().Format("2006-01-02")
	r.Next = nextCheck(f)
}

func (s System) calmRow(r *row, scale float64) {
	r.Head = s.calm()
	if f, ok := s.leading(); ok {
		t := s.latest()[f.column]
		r.Detail = f.name + ", " + say.Count(int(t.Visits), "visit")
		r.size(t.Change, t.ChangeLo, t.ChangeHi, scale)
		r.Since, r.SinceKey = "Compared since "+say.Day(t.Since, s.Zone()), t.Since.UTC().Format("2006-01-02")
	}
}

func (r *row) size(size, lo, hi, scale float64) {
	if math.IsNaN(size) {
		return
	}
	r.Size, r.Interval = say.With(say.Signed(size, 1), "K"), say.Interval(lo, hi, 1, "")
	r.SizeKey = fmt.Sprintf("%.3f", -math.Abs(size)) // the largest change first, either way
	r.Wire = wire(size, lo, hi, scale)
}

func fleetScale(systems []System) float64 {
	var values []float64
	for _, s := range systems {
		for _, f := range s.open() {
			values = append(values, f.SizeLo, f.SizeHi)
		}
	}
	return wireScale(values...)
}

func closedRows(systems []System) (out []closedRow) {
	for _, s := range systems {
		for _, f := range s.past() {
			out = append(out, closedRow{place(s), "system/" + s.Register.ID + ".html", capital(f.Kind), s.ended(f),
				s.raisedOn(f), s.changedOn(f)})
		}
	}
	return out
}
