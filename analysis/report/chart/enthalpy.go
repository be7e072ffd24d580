package chart

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"rimelog/analysis/say"
)

// A State is a point of the pressure-enthalpy diagram.
type State struct {
	Enthalpy float64 // kJ/kg
	Pressure float64 // bar, absolute
	Name     string  // what the point is: "1 suction gas"; empty for a point between
}

// A Cycle is the states of one visit in the order of the flow. Where the
// discharge temperature is not known it is open between suction and condenser.
type Cycle struct {
	Name   string
	States []State
	Closed bool
}

// An Enthalpy is the pressure-enthalpy diagram of a refrigerant with cycles in it.
type Enthalpy struct {
	ID, Finding, About string
	Refrigerant        string
	Liquid, Vapour     []State // saturation lines, upwards
	Reference, Latest  *Cycle  // nil where there is none
	Say                say.Locale
}

// Draw returns the chart.
func (e Enthalpy) Draw() (Chart, error) {
	x, y := e.extents()
	ticks := y.decades()
	lo, hi := 10*math.Floor(x.lo/10), 10*math.Ceil(x.hi/10)
	f := newFigure(
		charts.WithXAxisOpts(opts.XAxis{Name: e.Say.Text("Specific enthalpy, %s", e.Say.Unit(say.Enthalpy)), Type: "value", NameLocation: "middle", NameGap: 30, Min: num(lo), Max: num(hi)}),
		charts.WithYAxisOpts(opts.YAxis{Name: e.Say.Text("Pressure, %s", e.Say.Absolute().Unit(say.Pressure)), Type: "log", NameLocation: "end", Min: num(ticks[0]), Max: num(ticks[len(ticks)-1])}),
		plot("34", "52"), tip("item"))
	keys := e.addDome(f)
	keys = append(keys, e.add(f, e.Reference, "reference", "line-ref", "solid", hollow("reference"))...)
	keys = append(keys, e.add(f, e.Latest, "measure", "line-dots", []any{7, 4}, raw{"color": css("measure")})...)
	option, err := f.encode(raw{"xAxis": []any{raw{"axisLabel": raw{"showMinLabel": false, "showMaxLabel": false}}}, "yAxis": []any{logAxis(ticks)}})
	if err != nil {
		return Chart{}, fmt.Errorf("pressure-enthalpy diagram: %w", err)
	}
	return Chart{ID: e.ID, Title: e.Say.Text("Pressure-enthalpy diagram, %s", e.Refrigerant), Finding: e.Finding, About: e.About,
		Tall: true, Keys: keys, Option: option, Table: e.table()}, nil
}

// logAxis labels a logarithmic axis with the given figures; the engine's own
// labels would be the powers of ten only.
func logAxis(ticks []float64) raw {
	var at []any
	for _, t := range ticks {
		at = append(at, num(t))
	}
	return raw{
		"axisLabel": raw{"customValues": at}, "axisTick": raw{"customValues": at},
		"axisLine": raw{"onZero": false}, "splitLine": raw{"show": false},
		"nameTextStyle": raw{"align": "left", "padding": []any{0, 0, 4, -36}},
	}
}

// extents frames the cycles, with as much of the dome as is near them.
func (e Enthalpy) extents() (x, y extent) {
	for _, c := range []*Cycle{e.Reference, e.Latest} {
		if c == nil {
			continue
		}
		for _, s := range c.States {
			x.show(e.x(s))
			y.show(e.y(s))
		}
	}
	room := 0.12 * (x.hi - x.lo)
	x.show(x.lo-room, x.hi+room)
	y.show(y.lo*0.7, y.hi*1.5)
	for _, s := range append(append([]State(nil), e.Liquid...), e.Vapour...) {
		if p := e.y(s); p >= y.lo && p <= y.hi {
			x.show(e.x(s))
		}
	}
	return x, y
}

func (e Enthalpy) addDome(f *figure) []Key {
	for _, side := range []struct {
		name   string
		states []State
	}{{e.Say.Text("saturated liquid (bubble)"), e.Liquid}, {e.Say.Text("saturated vapour (dew)"), e.Vapour}} {
		f.line(side.name, e.points(side.states), raw{"silent": true, "symbol": "none", "clip": true,
			"lineStyle": raw{"color": css("ink-2"), "width": 1.25}})
	}
	if len(e.Liquid)+len(e.Vapour) == 0 {
		return nil
	}
	return []Key{{"line-thin", e.Say.Text("saturation: bubble line left, dew line right")}}
}

func (e Enthalpy) add(f *figure, c *Cycle, colour, mark string, kind any, style raw) []Key {
	if c == nil {
		return nil
	}
	states := c.States
	if c.Closed {
		states = append(states[:len(states):len(states)], states[0])
	}
	f.line(c.Name, e.points(states), raw{"silent": true, "symbol": "none", "lineStyle": raw{"color": css(colour), "width": 2, "type": kind}})
	var named []any
	for _, s := range c.States {
		if s.Name != "" {
			named = append(named, raw{"name": c.Name + ", " + e.text(s), "value": e.pair(s), "label": raw{"formatter": s.Name[:1], "position": labelAt[s.Name[0]]}})
		}
	}
	f.marks(c.Name, named, raw{"symbol": "circle", "symbolSize": 9, "itemStyle": style,
		"label": raw{"show": c == e.Latest, "distance": 7, "fontWeight": "bold", "color": css(colour)}})
	return []Key{{mark, c.Name}}
}

// labelAt keeps the numbers of the states outside the cycle.
var labelAt = map[byte]string{'1': "right", '2': "right", '3': "left", '4': "left"}

// kPa is how many one bar is.
const kPa = 100

// x and y are where a state is drawn, in the reader's units. The scale is logarithmic,
// with no place for what a gauge shows below the pressure of the air: it is absolute.
func (e Enthalpy) x(s State) float64 { return e.Say.In(say.Enthalpy, s.Enthalpy) }
func (e Enthalpy) y(s State) float64 { return e.Say.Absolute().In(say.Pressure, kPa*s.Pressure) }

func (e Enthalpy) pair(s State) []any { return []any{num(e.x(s)), num(e.y(s))} }

func (e Enthalpy) text(s State) string {
	return s.Name + ": " + e.Say.Figure(say.Enthalpy, s.Enthalpy, 1) + ", " + e.Say.Figure(say.Pressure, kPa*s.Pressure, 2)
}

func (e Enthalpy) points(states []State) []point {
	out := make([]point, len(states))
	for i, s := range states {
		out[i] = point{Value: e.pair(s)}
	}
	return out
}

func (e Enthalpy) table() Table {
	t := Table{Caption: e.Say.Text("States of the cycles"), Head: []string{e.Say.Text("Visit"), e.Say.Text("State"), e.Say.Text("Enthalpy, %s", e.Say.Unit(say.Enthalpy)), e.Say.Text("Pressure, %s", e.Say.Unit(say.Pressure))}}
	for _, c := range []*Cycle{e.Reference, e.Latest} {
		if c == nil {
			continue
		}
		for _, s := range c.States {
			if s.Name != "" {
				t.Rows = append(t.Rows, []string{c.Name, s.Name, e.Say.Number(e.Say.In(say.Enthalpy, s.Enthalpy), 1), e.Say.Number(e.Say.In(say.Pressure, kPa*s.Pressure), 2)})
			}
		}
	}
	return t
}
