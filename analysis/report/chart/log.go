package chart

import (
	"cmp"
	"fmt"
	"time"

	"rimelog/analysis/say"
)

// MaxPoints is how many points a trace of a log may have in a page.
const MaxPoints = 1600

// A Channel is one logged quantity.
type Channel struct {
	Name   string // "suction gas"
	Times  []time.Time
	Values []float64 // NaN for a gap
}

// Range is the lowest and the highest value; NaN where there is none.
func (c Channel) Range() (lo, hi float64) {
	lo, _, hi, _ = sum(c.Values)
	return lo, hi
}

// A Shade is a stretch of the log that was judged, or was not.
type Shade struct {
	Span
	Grade string // "steady", "oscillating", "short", "spot" or "excluded"
	Name  string // what the machine did, where that is known of what is excluded; empty for the grade's own
}

// A Log is the channels of one unit over one visit.
type Log struct {
	ID, Title, Finding, About string
	Unit                      string // as on the axis: "°C", "bar absolute"
	Quantity                  string // "Temperature"
	Channels                  []Channel
	Shades                    []Shade
	Zone                      *time.Location
	Say                       say.Locale
}

// strokes tell the channels apart by colour and by dash.
var strokes = []struct {
	colour, mark string
	dash         any
}{
	{"trace-1", "trace-1", "solid"}, {"trace-2", "trace-2", []any{8, 3}}, {"trace-3", "trace-3", []any{2, 3}},
	{"trace-4", "trace-4", []any{8, 3, 2, 3}}, {"trace-5", "trace-5", []any{14, 4}}, {"trace-6", "trace-6", []any{4, 4}},
	{"trace-1", "trace-7", []any{2, 3}}, {"trace-2", "trace-8", "solid"}, {"trace-3", "trace-9", []any{14, 4}},
	{"trace-4", "trace-10", "solid"}, {"trace-5", "trace-11", []any{2, 3}}, {"trace-6", "trace-12", []any{8, 3, 2, 3}},
}

// Draw returns the chart.
func (l Log) Draw() (Chart, error) {
	var e extent
	var times []int64
	traces := make([]Trace, len(l.Channels))
	for i, c := range l.Channels {
		traces[i] = c.trace(l.Zone)
		e.show(c.Values...)
		times = append(times, traces[i].Times...)
	}
	lo, hi := ends(times)
	global, more := axes(timeAxis(lo, hi), l.Quantity+", "+l.Unit, e)
	f := newFigure(append(global, plot("34", "56"), zoom(), tip("axis"))...)
	keys := l.addTraces(f, traces)
	more["useUTC"], more["dataZoom"] = true, zoomPlace
	option, err := f.encode(more)
	if err != nil {
		return Chart{}, fmt.Errorf("%s: %w", l.Title, err)
	}
	return Chart{ID: l.ID, Title: l.Title, Finding: l.Finding, About: l.about(traces), Group: "log",
		Keys: append(keys, l.shadeKeys()...), Option: option, Table: l.table()}, nil
}

func (c Channel) trace(zone *time.Location) Trace {
	t := Trace{Times: make([]int64, len(c.Times)), Values: c.Values}
	if len(c.Times) == 0 {
		return t
	}
	// One offset for the whole log: its wall clock does not jump within it.
	offset := Wall(c.Times[0], zone) - c.Times[0].UnixMilli()
	for i, at := range c.Times {
		t.Times[i] = at.UnixMilli() + offset
	}
	return t
}

func ends(times []int64) (lo, hi int64) {
	for i, t := range times {
		if i == 0 {
			lo, hi = t, t
		}
		lo, hi = min(lo, t), max(hi, t)
	}
	return lo, max(hi, lo+1000)
}

func (l Log) addTraces(f *figure, traces []Trace) (keys []Key) {
	for i, t := range traces {
		s := strokes[i%len(strokes)]
		over := raw{"symbol": "none", "lineStyle": raw{"color": css(s.colour), "width": 1.75, "type": s.dash}, "itemStyle": raw{"color": css(s.colour)}}
		if i == 0 {
			over["markArea"] = raw{"silent": true, "data": l.areas()}
		}
		thin := t.Thin(MaxPoints)
		data := make([]any, len(thin.Times))
		for k := range thin.Times {
			data[k] = pair(thin.Times[k], thin.Values[k])
		}
		over["data"] = data // half the bytes of typed points
		f.line(l.Channels[i].Name, nil, over)
		keys = append(keys, Key{s.mark, l.Channels[i].Name})
	}
	return keys
}

func (l Log) areas() []any {
	out := []any{}
	var total time.Duration
	for _, s := range l.Shades {
		total += s.To.Sub(s.From)
	}
	for _, s := range l.Shades {
		// A name only where there is room for it; the key has them all.
		label := raw{"show": 8*s.To.Sub(s.From) > total, "position": "insideBottom", "color": css("ink-2"), "fontSize": 11}
		out = append(out, []any{
			raw{"name": cmp.Or(s.Name, l.Say.Text(grades[s.Grade].name)), "xAxis": Wall(s.From, l.Zone), "label": label, "itemStyle": raw{"color": css(grades[s.Grade].shade)}},
			raw{"xAxis": Wall(s.To, l.Zone)},
		})
	}
	return out
}

func (l Log) shadeKeys() (keys []Key) {
	seen := map[string]bool{}
	for _, s := range l.Shades {
		if !seen[s.Grade] {
			seen[s.Grade] = true
			keys = append(keys, Key{grades[s.Grade].shade, l.Say.Text(grades[s.Grade].text)})
		}
	}
	return keys
}

// grades are what a shade is called in the plot, its colour, and what it means.
var grades = map[string]struct {
	name  say.Text
	shade string
	text  say.Text
}{
	"steady":      {"steady", "shade-steady", "steady: judged"},
	"oscillating": {"oscillating", "shade-oscillating", "oscillating about a constant mean: judged"},
	"short":       {"too short", "shade-spot", "steady or oscillating, but too short to be judged: shown only"},
	"spot":        {"spot", "shade-spot", "spot, the last running minutes: shown only"},
	"excluded":    {"not used", "shade-excluded", "not used: standing, starting, moving, or the rest of a stretch"},
}

// about adds how many points are drawn where that is not all of them.
func (l Log) about(traces []Trace) string {
	shown, total := 0, 0
	for _, t := range traces {
		shown += len(t.Thin(MaxPoints).Times)
		total += len(t.Times)
	}
	if shown >= total {
		return l.About
	}
	return l.About + " " + l.Say.Text("%s of %s points are drawn: the lowest and the highest of each short stretch, so no peak is lost.",
		l.Say.Thousands(int64(shown)), l.Say.Thousands(int64(total)))
}

// table sums the channels up: a log's samples are in the dataset, not in the page.
func (l Log) table() Table {
	t := Table{Caption: l.Say.Text("The channels of the log, %s", l.Unit), Head: l.Say.Texts("Channel", "Samples", "Lowest", "Mean", "Highest")}
	for _, c := range l.Channels {
		lo, mean, hi, n := sum(c.Values)
		t.Rows = append(t.Rows, []string{c.Name, l.Say.Thousands(int64(n)), l.Say.Number(lo, 2), l.Say.Number(mean, 2), l.Say.Number(hi, 2)})
	}
	return t
}
