package chart

import (
	"encoding/json"
	"errors"
	"fmt"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// figure collects the series of a chart, in drawing order, and what is laid over each.
type figure struct {
	base     *charts.Line
	overlays []any
	wrong    error // with the points
}

// A point is one item of a series, its keys in order as the options have them.
type point struct {
	Name   string `json:"name,omitempty"`
	Symbol string `json:"symbol,omitempty"`
	Value  any    `json:"value"`
}

func newFigure(global ...charts.GlobalOpts) *figure {
	f := &figure{base: charts.NewLine()}
	f.base.SetGlobalOptions(append(global, charts.WithAnimation(false))...)
	return f
}

func (f *figure) add(s charts.Overlaper, over raw) {
	f.base.Overlap(s)
	f.overlays = append(f.overlays, merge(raw{"z": len(f.overlays) + 1}, over))
}

func (f *figure) line(name string, data []point, over raw) {
	s := charts.NewLine()
	s.AddSeries(name, nil)
	f.add(s, f.with(data, over))
}

func (f *figure) scatter(name string, data []point, over raw) {
	s := charts.NewScatter()
	s.AddSeries(name, nil)
	f.add(s, f.with(data, over))
}

// marks is scatter for points that differ in what go-echarts has no type for.
func (f *figure) marks(name string, data []any, over raw) {
	f.scatter(name, nil, merge(raw{"data": data}, over).(raw))
}

// shapes adds figures that a function of the page's script draws: a band (one
// polygon for each item, as time, low, high and so on) or a whisker.
func (f *figure) shapes(name, draw, colour string, data []point, over raw) {
	s := charts.NewCustom()
	s.AddSeries(name, nil)
	f.add(s, f.with(data, merge(raw{"renderItem": fn(draw), "silent": true, "clip": true, "itemStyle": raw{"color": css(colour)}}, over).(raw)))
}

// with adds points to what is laid over a series. They are most of a chart, and are encoded
// here, once; the series itself has none.
func (f *figure) with(data []point, over raw) raw {
	if len(data) == 0 {
		return over
	}
	text, err := json.Marshal(data)
	f.wrong = errors.Join(f.wrong, err)
	return merge(raw{"data": json.RawMessage(text)}, over).(raw)
}

func (f *figure) encode(over raw) ([]byte, error) {
	if f.wrong != nil {
		return nil, fmt.Errorf("points of a chart: %w", f.wrong)
	}
	return encode(f.base, merge(raw{"series": f.overlays}, over).(raw))
}

// axes names both axes, the y axis with round ends; more is what goes over the options.
func axes(x charts.GlobalOpts, name string, e extent) (global []charts.GlobalOpts, more raw) {
	lo, hi, step := e.round()
	y := charts.WithYAxisOpts(opts.YAxis{
		Name: name, Type: "value", NameLocation: "end", Min: num(lo), Max: num(hi),
	})
	return []charts.GlobalOpts{x, y}, raw{"yAxis": []any{raw{
		"interval":      num(step),
		"nameTextStyle": raw{"align": "left", "padding": []any{0, 0, 4, -36}},
		"axisLine":      raw{"onZero": false},
	}}}
}

// timeAxis is the x axis of charts over time, in the wall clock's time.
func timeAxis(lo, hi int64) charts.GlobalOpts {
	return charts.WithXAxisOpts(opts.XAxis{
		Type: "time", Min: lo, Max: hi,
		AxisLabel: &opts.AxisLabel{HideOverlap: opts.Bool(true)},
		AxisLine:  &opts.AxisLine{OnZero: opts.Bool(false)},
		SplitLine: &opts.SplitLine{Show: opts.Bool(false)},
	})
}

// hollow is the style of a mark that is not judged: an outline on the page's own ground.
func hollow(colour string) raw {
	return raw{"color": css("surface"), "borderColor": css(colour), "borderWidth": 2}
}

// plot is the room that the axes leave for the marks, in pixels.
func plot(top, bottom string) charts.GlobalOpts {
	return charts.WithGridOpts(opts.Grid{Left: "46", Right: "18", Top: top, Bottom: bottom})
}

// tip shows the text of the point under the pointer, or of all points at one time.
func tip(trigger string) charts.GlobalOpts {
	return charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: trigger})
}

// zoom is the slider below charts over time. Zooming filters nothing: marks that
// reach out of sight stay whole.
func zoom() charts.GlobalOpts {
	return charts.WithDataZoomOpts(opts.DataZoom{Type: "slider", End: 100, FilterMode: "none"})
}

// zoomPlace keeps the slider clear of the axis above it, in pixels.
var zoomPlace = []any{raw{"height": 9, "bottom": 4}}
