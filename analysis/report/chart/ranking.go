package chart

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"rimelog/analysis/say"
)

// Ranking is the systems of one group by their COP at equal outdoor temperatures,
// the best first, with the interval of each.
type Ranking struct {
	ID, Finding, About, Group string
	Places                    []Place
	Say                       say.Locale
}

// A Place is one system: its COP against the middle of the group in %, and the
// letters of those it cannot be told apart from.
type Place struct {
	System, Sets    string
	Percent, Lo, Hi float64
	COP, KWh, Gain  float64 // own mean COP; electricity a year; what reaching the middle would save, %
	Cost            string  // of that a year, with its currency
}

// Draw returns the chart.
func (r Ranking) Draw() (Chart, error) {
	var y extent
	y.show(0)
	var names []string
	var whiskers []point
	var points []any
	for i, p := range r.Places {
		y.show(p.Percent, p.Lo, p.Hi)
		names = append(names, p.System)
		if !math.IsNaN(p.Lo + p.Hi) {
			whiskers = append(whiskers, point{Value: []any{i, num(p.Lo), num(p.Hi)}})
		}
		points = append(points, raw{"name": p.text(r.Say), "value": []any{i, num(p.Percent)}})
	}
	global, more := axes(charts.WithXAxisOpts(opts.XAxis{
		Type: "category", AxisLabel: &opts.AxisLabel{HideOverlap: opts.Bool(true)}, AxisLine: &opts.AxisLine{OnZero: opts.Bool(false)},
	}), r.Say.Text("COP against the middle of the group, %"), y)
	f := newFigure(append(global, plot("34", "36"), tip("item"))...)
	f.base.SetXAxis(names)
	f.shapes(r.Say.Text("90 % interval"), "whisker", "measure", whiskers, nil)
	f.marks(r.Say.Text("COP against the middle"), points, raw{"symbol": "circle", "symbolSize": 9, "itemStyle": raw{"color": css("measure")}})
	option, err := f.encode(more)
	if err != nil {
		return Chart{}, fmt.Errorf("ranking of %s: %w", r.Group, err)
	}
	return Chart{ID: r.ID, Title: say.Capital(r.Say.Prose(r.Group)), Finding: r.Finding, About: r.About, Keys: []Key{{"dot", r.Say.Text("system, with its 90 % interval")}}, Option: option, Table: r.table()}, nil
}

func (p Place) text(l say.Locale) string {
	return p.System + ": " + l.With(l.Signed(p.Percent, 1), "%") + ", " + l.Interval(p.Lo, p.Hi, 1, "%") + ", " + l.Text("set %s", p.Sets)
}

func (r Ranking) table() Table {
	t := Table{Caption: r.Say.Text("Systems of the group at equal outdoor temperatures"),
		Head: r.Say.Texts("System", "Against the middle, %", "90 % interval", "Not told apart within", "Own COP", "Electricity, kWh a year", "Reaching the middle saves, %", "Saved a year")}
	for _, p := range r.Places {
		t.Rows = append(t.Rows, []string{p.System, r.Say.Signed(p.Percent, 1), r.Say.Interval(p.Lo, p.Hi, 1, ""), p.Sets, r.Say.Number(p.COP, 2), r.Say.Number(p.KWh, 0), r.Say.Number(p.Gain, 1), p.Cost})
	}
	return t
}
