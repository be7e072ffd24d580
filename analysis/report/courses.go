package report

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/report/chart"
	"rimelog/analysis/say"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A figureView is a chart on a page, with the small figure that stands in for it where
// the chart engine is missing.
type figureView struct {
	chart.Chart
	Spark template.HTML
}

func plainFigures(charts []chart.Chart) (out []figureView) {
	for _, c := range charts {
		out = append(out, figureView{Chart: c})
	}
	return out
}

// courses are the charts of the features over the visits, the leading one first;
// none where there is one visit only, whose readings stand in the table.
func (s System) courses() ([]figureView, error) {
	var out []figureView
	if len(s.Visits) < 2 {
		return nil, nil
	}
	seen := s.leadingFirst()
	courses := make([]chart.Course, len(seen))
	for i, f := range seen {
		courses[i], _ = s.byMonth(s.course(f))
	}
	chart.OneScale(courses)
	for i, c := range courses {
		drawn, err := c.Draw()
		if err != nil {
			return nil, err
		}
		out = append(out, figureView{drawn, spark(s.asJudged(), seen[i], s.latest()[seen[i].column], 0)})
	}
	explainOnce(out)
	return out, nil
}

// leadingFirst are the features that were seen, the leading one before the others.
func (s System) leadingFirst() []feature {
	seen := s.seen()
	lead, _ := s.leading()
	i := slices.IndexFunc(seen, func(f feature) bool { return f.column == lead.column })
	if i < 1 {
		return seen
	}
	return slices.Concat(seen[i:i+1], seen[:i], seen[i+1:])
}

// explainOnce leaves to each chart only the keys that none before it has.
func explainOnce(charts []figureView) {
	seen := map[chart.Key]bool{}
	for i, c := range charts {
		var keys []chart.Key
		for _, k := range c.Keys {
			if !seen[k] {
				keys = append(keys, k)
			}
			seen[k] = true
		}
		charts[i].Keys = keys
	}
}

// outdoors is the chart of the leading feature against the temperature of the
// medium, where there is anything to compare.
func (s System) outdoors() ([]chart.Chart, error) {
	lead, ok := s.leading()
	if !ok {
		return nil, nil
	}
	c := s.course(lead)
	if !c.HasOutdoor() {
		return nil, nil
	}
	about := s.span(c.Readings) + " " + s.say.Text("Values as measured.")
	c, note := s.byMonth(c)
	drawn, err := c.DrawOutdoor("outdoor", s.outdoorFinding(lead), about+note)
	return []chart.Chart{drawn}, err
}

func (s System) course(f feature) chart.Course {
	t := s.latest()[f.column]
	c := chart.Course{
		ID: strings.ReplaceAll(strings.TrimSuffix(f.column, "_k"), "_", "-"), Name: s.say.Text(f.name), Unit: s.say.Unit(say.Difference), Zone: s.Zone(),
		Say: s.say, Medium: s.medium(), LikeAt: math.NaN(), Events: s.chartEvents(), Suspected: s.suspected(f),
	}
	if !math.IsNaN(likeValue(0, t.OutdoorRef, t)) && t.PerOutdoor != 0 {
		c.LikeAt = s.say.In(say.Temperature, t.OutdoorRef)
	}
	visits := s.asJudged()
	for i := range visits {
		if r := s.plotted(f, &visits[i], t); !math.IsNaN(r.Measured) {
			c.Readings = append(c.Readings, r)
		}
	}
	if judged(t) && !math.IsNaN(t.Level) {
		c.Line = s.line(t)
	}
	c.Finding = course(s.say, t, c.Name, s.Zone())
	if !judged(t) {
		c.Finding = seenOnly(s.say, c)
	}
	c.About = s.about(c, t)
	return c
}

// byMonth makes one reading of those of a month beyond the latest year, and says so in the
// course and by itself: years of daily visits are drawn no finer than anybody sees.
func (s System) byMonth(c chart.Course) (thin chart.Course, note string) {
	all := len(c.Readings)
	if all == 0 {
		return c, ""
	}
	c.Readings = c.ByMonth(s.Visits[len(s.Visits)-1].End.AddDate(-1, 0, 0))
	if len(c.Readings) == all {
		return c, ""
	}
	note = " " + s.say.Text("Beyond the latest year, a mark is the mean of a month.")
	c.About += note
	return c, note
}

// plotted is a visit's value of a feature in the reader's units.
func (s System) plotted(f feature, v *table.Visit, t table.Trend) chart.Reading {
	value, u := f.value(v)
	k := s.say.PerUnit(say.Difference)
	return chart.Reading{
		At: v.Start, Measured: k * value, Like: k * likeValue(value, v.OutdoorTemp, t), U: k * u, Outdoor: s.say.In(say.Temperature, v.OutdoorTemp),
		Use: use(v), Left: v.Part == table.AsLeft, Part: s.say.Prose(part(v)), Note: s.say.Prose(v.Reason),
	}
}

// part is which part of a stay a visit is; empty for the whole.
func part(v *table.Visit) string {
	if v.Part == table.Whole {
		return ""
	}
	return v.Part
}

func use(v *table.Visit) chart.Use {
	switch v.Use {
	case table.UseTrend:
		return chart.Judged
	case table.UseSpot:
		return chart.Spot
	}
	return chart.Unused
}

func (s System) line(t table.Trend) *chart.Line {
	k := s.say.PerUnit(say.Difference)
	l := &chart.Line{From: t.Since, To: t.DecidedOn, Level: k * t.Level, PerYear: k * t.PerYear, Lo: k * t.Lo, Hi: k * t.Hi,
		PerOutdoor: t.PerOutdoor, OutdoorRef: s.say.In(say.Temperature, t.OutdoorRef), Moves: t.Verdict != drift.Noise || leans(t)}
	if sudden, broke := drift.Broke(t); broke {
		l.Onset, l.Sudden = t.Suspected, sudden
		l.Change, l.ChangeLo, l.ChangeHi = k*t.Change, k*t.ChangeLo, k*t.ChangeHi
	}
	return l
}

// suspected is the stretch in which an open finding suspects a change of the feature.
func (s System) suspected(f feature) *chart.Span {
	for _, x := range s.open() {
		if x.Feature == f.column && !x.Suspected.IsZero() && len(s.Visits) > 0 {
			return &chart.Span{From: x.Suspected, To: s.Visits[len(s.Visits)-1].End}
		}
	}
	return nil
}

func (s System) chartEvents() (out []chart.Event) {
	for _, e := range s.Events {
		if !e.Time.IsZero() {
			out = append(out, chart.Event{At: e.Time, Text: eventText(s.say, e), Reset: e.Kind.Resets()})
		}
	}
	return out
}

func eventText(l say.Locale, e register.Event) string {
	text := l.Prose(e.Kind.String())
	if !math.IsNaN(e.KG) {
		text += ", " + l.Figure(say.Mass, math.Abs(e.KG), 2)
	}
	return text
}

// span says how many readings a chart has and from when to when.
func (s System) span(rs []chart.Reading) string {
	if len(rs) == 0 {
		return s.say.Text("No reading.")
	}
	return fmt.Sprintf("%s, %s.", s.say.Count(len(rs), "reading"), s.say.Period(rs[0].At, rs[len(rs)-1].At, s.Zone()))
}

func (s System) about(c chart.Course, t table.Trend) string {
	text := s.span(c.Readings)
	if !math.IsNaN(c.LikeAt) {
		text += " " + s.say.Text("Shown as at %s: %s %s per %s of %s is taken out.",
			c.Medium.At(c.LikeAt, 0), s.say.Signed(t.PerOutdoor, 2), c.Unit, s.say.Unit(say.Difference), c.Medium.Quantity())
	} else {
		text += " " + s.say.Text("As measured: nothing is taken out for the %s.", c.Medium.Quantity())
	}
	if c.Line != nil {
		text += " " + s.say.Text("Slope %s a year (%s); p\u00a0%s.", s.say.Change(say.Difference, t.PerYear, 1),
			s.say.ChangeBetween(say.Difference, t.Lo, t.Hi, 1, ""), probability(s.say, t.Significance))
	}
	return strings.TrimSpace(text + " " + s.prose(s.besides(t.Note)))
}

// probability writes the chance that noise alone makes such a trend.
func probability(l say.Locale, p float64) string {
	if p < 0.001 {
		return l.Text("under\u00a0%s", l.Number(0.001, 3))
	}
	return "=\u00a0" + l.Number(p, 3)
}

// seenOnly is what a course without a verdict shows: what was read.
func seenOnly(l say.Locale, c chart.Course) string {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range c.Readings {
		lo, hi = min(lo, r.Measured), max(hi, r.Measured)
	}
	switch len(c.Readings) {
	case 0:
		return l.Text("%s: no reading.", c.Name)
	case 1:
		return l.Text("%s was read once: %s.", c.Name, l.With(l.Number(lo, 1), c.Unit))
	}
	return l.Text("%s read %s to %s; not judged.", c.Name, l.Number(lo, 1), l.With(l.Number(hi, 1), c.Unit))
}

func (s System) outdoorFinding(f feature) string {
	t, equal := s.latest()[f.column], s.medium().Quantity()
	switch {
	case !judged(t):
		return s.say.Text("%s by the %s it was read at.", s.say.Text(f.name), equal)
	case t.Verdict == drift.Noise && !leans(t):
		return s.say.Text("At equal %s, %s is where it was on %s, within noise.", equal, s.say.Lower(s.say.Text(f.name)), s.say.Day(t.Since, s.Zone()))
	}
	return s.say.Text("At equal %s, %s is %s from where it was on %s.", equal, s.say.Lower(s.say.Text(f.name)),
		around(s.say, f.column, t.Change, t.ChangeLo, t.ChangeHi), s.say.Day(t.Since, s.Zone()))
}
