package chart

import (
	"fmt"
	"math"
	"slices"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"rimelog/analysis/say"
)

// quarters are the seasons by their months: right on both halves of the globe.
// Each has its own colour and its own shape.
var quarters = [4]struct {
	text                 say.Text
	colour, symbol, mark string
}{
	{"December to February", "season-1", "diamond", "diamond"},
	{"March to May", "season-2", "triangle", "triangle"},
	{"June to August", "season-3", "circle", "dot-3"},
	{"September to November", "season-4", "rect", "square-4"},
}

func (c Course) quarter(r Reading) int { return int(r.At.In(c.Zone).Month()) % 12 / 3 }

// DrawOutdoor returns the chart of the feature against the temperature of the
// medium: like is compared with like where points of one temperature stand above
// each other.
func (c Course) DrawOutdoor(id, finding, about string) (Chart, error) {
	var x, y extent
	for _, r := range c.Readings {
		if c.plain(r) {
			x.show(r.Outdoor)
			y.show(r.Measured)
		}
	}
	lo, hi, _ := x.round()
	for _, side := range c.sides() {
		y.show(side.at(x.lo), side.at(x.hi))
	}
	global, more := axes(charts.WithXAxisOpts(opts.XAxis{
		Name: say.Capital(c.Medium.Quantity()) + ", " + c.Say.Unit(say.Temperature), Type: "value", NameLocation: "middle", NameGap: 30,
		Min: num(lo), Max: num(hi), AxisLine: &opts.AxisLine{OnZero: opts.Bool(false)},
	}), c.Name+", "+c.Unit, y)
	panels := c.panels()
	if len(panels) > 1 {
		more = merge(more, c.panelAxes(panels, x, y)).(raw)
	}
	f := newFigure(append(global, plot("34", "52"), tip("item"))...)
	var sides, seasons, latest []Key
	for i, p := range panels {
		sides = c.addSides(f, x, within(i))
		seasons = append(seasons, c.addQuarters(f, p, within(i))...)
		latest = append(latest, c.addLatest(f, p, within(i))...)
	}
	option, err := f.encode(more)
	if err != nil {
		return Chart{}, fmt.Errorf("%s against %s: %w", c.Name, c.Medium.Quantity(), err)
	}
	return Chart{ID: id, Title: c.Say.Text("%s against %s", c.Name, c.Medium.Quantity()), Finding: finding, About: about,
		Keys: slices.Concat(sides, seasons, c.paleKeys(), latest), Tall: len(panels) > 2, Option: option, Table: c.outdoorTable()}, nil
}

// plain tells whether a reading can stand in the chart.
func (c Course) plain(r Reading) bool {
	return r.Use != Unused && !math.IsNaN(r.Outdoor) && !math.IsNaN(r.Measured)
}

// HasOutdoor tells whether there is anything to compare against the temperature of
// the medium: two readings at least.
func (c Course) HasOutdoor() bool {
	n := 0
	for _, r := range c.Readings {
		if c.plain(r) {
			n++
		}
	}
	return n > 1
}

// side is what the feature should be at a temperature of the medium, at one time.
type side struct {
	name, colour, mark string
	kind               any
	at                 func(celsius float64) float64
}

// sides are the fit at its first visit and at its latest; none without a fit.
func (c Course) sides() []side {
	l := c.Line
	if l == nil || math.IsNaN(l.PerOutdoor) || math.IsNaN(l.OutdoorRef) {
		return nil
	}
	at := func(level float64) func(float64) float64 {
		return func(t float64) float64 { return level + l.PerOutdoor*(t-l.OutdoorRef) }
	}
	return []side{
		{c.Say.Text("as it was on %s", c.Say.Day(l.From, c.Zone)), "reference", "line-ref", "solid", at(l.bends()[0].is)},
		{c.Say.Text("as it is on %s", c.Say.Day(l.To, c.Zone)), l.colour(), l.mark(), []any{7, 5}, at(l.Level)},
	}
}

func (c Course) addSides(f *figure, x extent, at raw) (keys []Key) {
	for _, s := range c.sides() {
		f.line(s.name, []point{
			{Value: []any{num(x.lo), num(s.at(x.lo))}}, {Value: []any{num(x.hi), num(s.at(x.hi))}},
		}, merge(raw{"silent": true, "symbol": "none", "lineStyle": raw{"color": css(s.colour), "width": 2, "type": s.kind}}, at).(raw))
		keys = append(keys, Key{s.mark, s.name})
	}
	return keys
}

func (c Course) addQuarters(f *figure, p panel, at raw) (keys []Key) {
	for i, q := range quarters {
		var data []any
		for _, r := range p.readings {
			if c.quarter(r) == i {
				data = append(data, c.outdoorPoint(r, q.colour))
			}
		}
		if len(data) > 0 {
			over := raw{"symbol": q.symbol, "symbolSize": c.size(Judged, 9, 5), "itemStyle": raw{"color": css(q.colour)}}
			f.marks(c.Say.Text(q.text), data, merge(over, at).(raw))
			keys = append(keys, Key{q.mark, c.Say.Text(q.text)})
		}
	}
	return keys
}

// outdoorPoint is a reading as a mark: hollow for a spot, pale where it is from
// before the present baseline.
func (c Course) outdoorPoint(r Reading, colour string) raw {
	style := raw{}
	if r.Use == Spot {
		style = hollow(colour)
	}
	if c.before(r) {
		style["opacity"] = 0.35
	}
	return raw{"name": c.outdoorText(r), "value": []any{num(r.Outdoor), num(r.Measured)}, "itemStyle": style}
}

// before tells whether a reading is from before the present baseline.
func (c Course) before(r Reading) bool { return c.Line != nil && r.At.Before(c.Line.From) }

func (c Course) paleKeys() (keys []Key) {
	spots, pale := false, false
	for _, r := range c.Readings {
		spots = spots || c.plain(r) && r.Use == Spot
		pale = pale || c.plain(r) && c.before(r)
	}
	if spots {
		keys = append(keys, Key{"ring-ink", c.Say.Text("hollow: spot, not judged")})
	}
	if pale {
		keys = append(keys, Key{"pale", c.Say.Text("pale: before the present baseline")})
	}
	return keys
}

// addLatest rings the latest reading in the panel that has it.
func (c Course) addLatest(f *figure, p panel, at raw) []Key {
	i := len(c.Readings) - 1
	for i >= 0 && !c.plain(c.Readings[i]) {
		i--
	}
	if n := len(p.readings); i < 0 || n == 0 || !p.readings[n-1].At.Equal(c.Readings[i].At) {
		return nil
	}
	r := c.Readings[i]
	over := raw{"silent": true, "symbol": "circle", "symbolSize": 19, "itemStyle": raw{"color": "transparent", "borderColor": css("ink"), "borderWidth": 1.5}}
	f.scatter(c.Say.Text("latest"), []point{{Value: []any{num(r.Outdoor), num(r.Measured)}}}, merge(over, at).(raw))
	return []Key{{"ring-wide", c.Say.Text("latest visit, %s", c.Say.Day(r.At, c.Zone))}}
}

func (c Course) outdoorText(r Reading) string {
	return c.Say.Text("%s: %s at %s", c.Say.Day(r.At, c.Zone), c.Say.PlusMinus(r.Measured, r.U, 1, c.Unit), c.Say.With(c.Say.Number(r.Outdoor, 1), c.Say.Unit(say.Temperature)))
}

func (c Course) outdoorTable() Table {
	t := Table{Caption: c.Say.Text("%s and %s at each visit", c.Name, c.Medium.Quantity()),
		Head: []string{c.Say.Text("Visit"), c.Say.Text("Months"), c.Medium.Head(), c.Name + ", " + c.Unit}}
	for _, r := range c.Readings {
		if c.plain(r) {
			t.Rows = append(t.Rows, []string{c.Say.Day(r.At, c.Zone), c.Say.Text(quarters[c.quarter(r)].text),
				c.Say.Number(r.Outdoor, 1), c.Say.PlusMinus(r.Measured, r.U, 1, "")})
		}
	}
	return t
}
