package chart

import (
	"fmt"
	"math"
	"time"

	"rimelog/analysis/say"
)

// Use is how far a reading may be judged.
type Use uint8

// The uses of a reading.
const (
	Judged Use = iota // used for baseline and trend: solid
	Spot              // too short for a window: hollow, with its uncertainty
	Unused            // not comparable or not usable: a small cross
)

// A Reading is the value of a feature at one visit.
type Reading struct {
	At       time.Time
	Measured float64 // as measured; NaN where it could not be worked out
	Like     float64 // the same at the reference temperature of the Medium; NaN where that is unknown
	U        float64 // standard uncertainty; NaN where it is unknown
	Outdoor  float64 // temperature of the Medium, degrees C; NaN where it was not logged
	Use      Use
	Left     bool   // as left: after the intervention of the visit
	Part     string // as found or as left; empty for the whole stay
	Note     string // why it is not judged, or empty
}

// A Line is what was known of a feature after the latest visit.
type Line struct {
	From, To        time.Time // first and last visit used
	Level           float64   // fitted value at To, at the reference temperature of the Medium
	PerYear, Lo, Hi float64   // slope, per year, and its interval
	PerOutdoor      float64   // how the feature moves with the temperature of the Medium
	OutdoorRef      float64   // reference temperature of the Medium
	Moves           bool      // beyond noise

	// Where the feature broke from a baseline: the onset, the change from it to
	// Level with its interval, and whether it came at once. Onset is zero for a line
	// over all visits.
	Onset                      time.Time
	Change, ChangeLo, ChangeHi float64
	Sudden                     bool
}

// colour and mark of the line: the accent only where something moves.
func (l *Line) colour() string {
	if l != nil && l.Moves {
		return "drift"
	}
	return "unsure"
}

func (l *Line) mark() string {
	if l != nil && l.Moves {
		return "dash"
	}
	return "dash-still"
}

// hoursPerYear is the average length of a year in the Gregorian calendar.
const hoursPerYear = 365.2425 * 24

// at is the line with the given slope, turned about its middle.
func (l Line) at(t time.Time, slope float64) float64 {
	half := l.To.Sub(l.From) / 2
	pivot := l.Level - l.PerYear*half.Hours()/hoursPerYear
	return pivot + slope*t.Sub(l.From.Add(half)).Hours()/hoursPerYear
}

// A bend is a moment of the drawn line with its value and its interval there.
type bend struct {
	t          time.Time
	is, lo, hi float64
}

// bends are the moments between which the line is straight.
func (l Line) bends() []bend {
	if l.Onset.IsZero() || !l.Onset.After(l.From) || !l.Onset.Before(l.To) {
		middle := l.From.Add(l.To.Sub(l.From) / 2)
		return []bend{l.straight(l.From), l.straight(middle), l.straight(l.To)}
	}
	before := l.Level - l.Change
	after := bend{l.To, l.Level, before + l.ChangeLo, before + l.ChangeHi}
	level := func(t time.Time) bend { return bend{t, before, before, before} }
	if l.Sudden {
		at := after
		at.t = l.Onset
		return []bend{level(l.From), level(l.Onset), at, after}
	}
	return []bend{level(l.From), level(l.Onset), after}
}

func (l Line) straight(t time.Time) bend {
	return bend{t, l.at(t, l.PerYear), l.at(t, l.Lo), l.at(t, l.Hi)}
}

// A Course is one feature of a system over its visits.
type Course struct {
	ID, Name, Unit string
	Finding, About string
	Readings       []Reading // in order of time
	Medium         Medium    // whose temperature readings are made alike by
	LikeAt         float64   // its reference temperature; NaN where its part is not taken out
	Line           *Line     // nil where there is none
	Suspected      *Span     // since when a finding suspects a change; nil for none
	Events         []Event
	Zone           *time.Location
	Say            say.Locale

	scale raw // its axis where all courses have one scale; nil for its own
}

// seasonOut tells whether the readings are drawn at equal temperature of the medium.
func (c Course) seasonOut() bool { return !math.IsNaN(c.LikeAt) }

// shown is what the chart draws: at equal temperature of the medium where that is known.
func (c Course) shown(r Reading) float64 {
	if c.seasonOut() && !math.IsNaN(r.Like) {
		return r.Like
	}
	return r.Measured
}

// use is how the reading is drawn. Where the season is taken out, one without a
// temperature of the medium cannot be compared with the others.
func (c Course) use(r Reading) Use {
	if r.Use == Judged && c.seasonOut() && math.IsNaN(r.Like) {
		return Unused
	}
	return r.Use
}

// many is from how many marks of one kind on they are drawn small.
const many = 60

// size keeps the marks of many readings apart.
func (c Course) size(u Use, few, crowded int) int {
	if c.count(u) > many {
		return crowded
	}
	return few
}

// whiskerColour keeps many uncertainties in the background.
func (c Course) whiskerColour() string {
	if c.count(Spot) > many {
		return "measure-band"
	}
	return "measure"
}

// Draw returns the chart.
func (c Course) Draw() (Chart, error) {
	lo, hi := c.reach()
	global, more := axes(timeAxis(lo, hi), c.Name+", "+c.Unit, c.extent())
	top := "34"
	if len(c.inSight()) > 0 {
		// Two rows of event texts stand between the axis' name and the plot.
		top = "78"
		more = merge(more, raw{"yAxis": []any{raw{"nameGap": 36}}}).(raw)
	}
	runs := c.stretches()
	bands := c.bands(runs)
	f := newFigure(append(global, plot(top, "56"), zoom(), tip("item"))...)
	f.shapes(c.Say.Text("uncertainty"), "band", "measure-band", bands, c.marks(lo, hi))
	f.shapes(c.Say.Text("interval of the trend"), "band", c.Line.colour()+"-band", c.fan(), nil)
	f.shapes(c.Say.Text("uncertainty of a spot"), "whisker", c.whiskerColour(), c.whiskers(runs), nil)
	f.line(c.Say.Text("trend"), c.trend(), raw{"silent": true, "symbol": "none",
		"lineStyle": raw{"color": css(c.Line.colour()), "width": 2, "type": []any{7, 5}}})
	f.line(c.Say.Text("judged"), c.solid(runs), raw{"symbol": "circle", "symbolSize": c.size(Judged, 8, 4), "showAllSymbol": true,
		"itemStyle": raw{"color": css("measure")}, "lineStyle": raw{"color": css("measure"), "width": 1.5}})
	f.scatter(c.Say.Text("spot"), c.single(Spot), raw{"symbol": "circle", "symbolSize": c.size(Spot, 10, 5), "itemStyle": hollow("measure")})
	f.scatter(c.Say.Text("not judged"), c.single(Unused), raw{"symbol": cross, "symbolSize": 9,
		"itemStyle": raw{"color": css("unsure")}})
	more["useUTC"], more["dataZoom"] = true, zoomPlace
	if c.scale != nil {
		more["oneScale"] = c.scale
	}
	option, err := f.encode(more)
	if err != nil {
		return Chart{}, fmt.Errorf("%s: %w", c.Name, err)
	}
	return Chart{ID: c.ID, Title: c.Say.Text("%s over the visits", c.Name), Finding: c.Finding, About: c.About,
		Group: "visits", Keys: c.keys(len(bands) > 0), Option: option, Table: c.table()}, nil
}
