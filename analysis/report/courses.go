package report

import (
	"fmt"
	"html/template"
	"math"
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/report/chart"
	"rimelog/analysis/report/say"
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
	lead, _ := s.leading()
	for _, f := range s.seen() {
		c, err := s.course(f).Draw()
		if err != nil {
			return nil, err
		}
		v := figureView{c, spark(s.Visits, f, s.latest()[f.column])}
		if f.column == lead.column {
			out = append([]figureView{v}, out...)
		} else {
			out = append(out, v)
		}
	}
	explainOnce(out)
	return out, nil
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
	drawn, err := c.DrawOutdoor("outdoor", s.outdoorFinding(lead), s.span(c.Readings)+" Values as measured.")
	return []chart.Chart{drawn}, err
}

func (s System) course(f feature) chart.Course {
	t := s.latest()[f.column]
	c := chart.Course{
		ID: strings.ReplaceAll(strings.TrimSuffix(f.column, "_k"), "_", "-"), Name: f.name, Unit: "K", Zone: s.Zone(),
		Medium: s.medium(), LikeAt: math.NaN(), Events: s.chartEvents(), Suspected: s.suspected(f),
	}
	if !math.IsNaN(likeValue(0, t.OutdoorRef, t)) && t.PerOutdoor != 0 {
		c.LikeAt = t.OutdoorRef
	}
	for _, v := range s.Visits {
		if r := reading(f, v, t); !math.IsNaN(r.Measured) {
			c.Readings = append(c.Readings, r)
		}
	}
	if judged(t) && !math.IsNaN(t.Level) {
		c.Line = s.line(t)
	}
	c.Finding = course(t, f.name, s.Zone())
	if !judged(t) {
		c.Finding = seenOnly(c)
	}
	c.About = s.about(c, t)
	return c
}

func reading(f feature, v table.Visit, t table.Trend) chart.Reading {
	value, u := f.value(v)
	return chart.Reading{
		At: v.Start, Measured: value, Like: likeValue(value, v.OutdoorTemp, t), U: u, Outdoor: v.OutdoorTemp,
		Use: use(v), Left: v.Part == table.AsLeft, Part: part(v), Note: v.Reason,
	}
}

// part is which part of a stay a visit is; empty for the whole.
func part(v table.Visit) string {
	if v.Part == table.Whole {
		return ""
	}
	return v.Part
}

func use(v table.Visit) chart.Use {
	switch v.Use {
	case table.UseTrend:
		return chart.Judged
	case table.UseSpot:
		return chart.Spot
	}
	return chart.Unused
}

func (s System) line(t table.Trend) *chart.Line {
	l := &chart.Line{From: t.Since, To: t.DecidedOn, Level: t.Level, PerYear: t.PerYear, Lo: t.Lo, Hi: t.Hi,
		PerOutdoor: t.PerOutdoor, OutdoorRef: t.OutdoorRef, Moves: t.Verdict != drift.Noise || leans(t)}
	if sudden, broke := drift.Broke(t); broke {
		l.Onset, l.Sudden = t.Suspected, sudden
		l.Change, l.ChangeLo, l.ChangeHi = t.Change, t.ChangeLo, t.ChangeHi
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
			out = append(out, chart.Event{At: e.Time, Text: eventText(e), Reset: e.Kind.Resets()})
		}
	}
	return out
}

func eventText(e register.Event) string {
	text := e.Kind.String()
	if !math.IsNaN(e.KG) {
		text += ", " + say.With(say.Number(math.Abs(e.KG), 2), "kg")
	}
	return text
}

// span says how many readings a chart has and from when to when.
func (s System) span(rs []chart.Reading) string {
	if len(rs) == 0 {
		return "No reading."
	}
	return fmt.Sprintf("%s, %s.", say.Count(len(rs), "reading"), say.Period(rs[0].At, rs[len(rs)-1].At, s.Zone()))
}

func (s System) about(c chart.Course, t table.Trend) string {
	text := s.span(c.Readings)
	if !math.IsNaN(c.LikeAt) {
		text += fmt.Sprintf(" Shown as at %s: %s K per K of %s is taken out.",
			c.Medium.At(c.LikeAt, 0), say.Signed(t.PerOutdoor, 2), c.Medium.Quantity())
	} else {
		text += " As measured: nothing is taken out for the " + c.Medium.Quantity() + "."
	}
	if c.Line != nil {
		text += fmt.Sprintf(" Slope %s a year (%s); p\u00a0%s.", say.With(say.Signed(t.PerYear, 1), "K"),
			say.Interval(t.Lo, t.Hi, 1, ""), probability(t.Significance))
	}
	return strings.TrimSpace(text + " " + s.prose(t.Note))
}

// probability writes the chance that noise alone makes such a trend.
func probability(p float64) string {
	if p < 0.001 {
		return "under\u00a00.001"
	}
	return "=\u00a0" + say.Number(p, 3)
}

// seenOnly is what a course without a verdict shows: what was read.
func seenOnly(c chart.Course) string {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range c.Readings {
		lo, hi = min(lo, r.Measured), max(hi, r.Measured)
	}
	switch len(c.Readings) {
	case 0:
		return c.Name + ": no reading."
	case 1:
		return c.Name + " was read once: " + say.With(say.Number(lo, 1), c.Unit) + "."
	}
	return fmt.Sprintf("%s read %s to %s; not judged.", c.Name, say.Number(lo, 1), say.With(say.Number(hi, 1), c.Unit))
}

func (s System) outdoorFinding(f feature) string {
	t, equal := s.latest()[f.column], s.medium().Quantity()
	switch {
	case !judged(t):
		return f.name + " by the " + equal + " it was read at."
	case t.Verdict == drift.Noise && !leans(t):
		return fmt.Sprintf("At equal %s, %s is where it was on %s, within noise.", equal, lower(f.name), say.Day(t.Since, s.Zone()))
	}
	return fmt.Sprintf("At equal %s, %s is %s from where it was on %s.", equal, lower(f.name),
		around(t.Change, t.ChangeLo, t.ChangeHi), say.Day(t.Since, s.Zone()))
}
