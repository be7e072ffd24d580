package chart

import (
	"fmt"
	"math"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"rimelog/analysis/say"
)

// Seasons is a machine's COP over bins of outdoor temperature, season by season:
// like is compared with like where marks of one temperature stand above each other.
type Seasons struct {
	ID, Finding, About string
	Axis               string // of the bins, with its unit
	Seasons            []BinnedSeason
	Say                say.Locale
}

// A BinnedSeason is the bins of one season.
type BinnedSeason struct {
	Name string
	Bins []BinPoint
}

// A BinPoint is one bin: its ends, COP with the interval, mean power, and how much
// is behind it.
type BinPoint struct {
	From, To, COP, Lo, Hi, KW float64
	Windows, Days             int64
}

func (b BinPoint) middle() float64 { return (b.From + b.To) / 2 }

// mostSeasons is how many seasons one chart shows: the latest, each in a colour and
// shape of its own.
const mostSeasons = len(quarters)

// Draw returns the chart.
func (s Seasons) Draw() (Chart, error) {
	shown := s.Seasons[max(0, len(s.Seasons)-mostSeasons):]
	var x, y extent
	for _, season := range shown {
		for _, b := range season.Bins {
			x.show(b.From, b.To)
			y.show(b.COP, b.Lo, b.Hi)
		}
	}
	lo, hi, _ := x.round()
	global, more := axes(charts.WithXAxisOpts(opts.XAxis{
		Name: s.Axis, Type: "value", NameLocation: "middle", NameGap: 30, Min: num(lo), Max: num(hi), AxisLine: &opts.AxisLine{OnZero: opts.Bool(false)},
	}), "COP", y)
	f := newFigure(append(global, plot("34", "52"), tip("item"))...)
	var keys []Key
	for i, season := range shown {
		q := quarters[i]
		f.shapes(s.Say.Text("90 %% interval, %s", season.Name), "whisker", q.colour, season.whiskers(i, len(shown)), nil)
		f.marks(season.Name, season.points(s.Say, i, len(shown)), raw{"symbol": q.symbol, "symbolSize": 9, "itemStyle": raw{"color": css(q.colour)}})
		keys = append(keys, Key{q.mark, season.Name})
	}
	option, err := f.encode(more)
	if err != nil {
		return Chart{}, fmt.Errorf("COP by seasons: %w", err)
	}
	return Chart{ID: s.ID, Title: s.Say.Text("COP by season"), Finding: s.Finding, About: s.About, Keys: keys, Option: option, Table: s.table()}, nil
}

// beside moves the marks of seasons apart, so that their intervals do not cover
// each other: by a tenth of the bin.
func beside(b BinPoint, i, of int) float64 {
	return b.middle() + (float64(i)-float64(of-1)/2)*(b.To-b.From)/10
}

func (s BinnedSeason) whiskers(i, of int) (out []point) {
	for _, b := range s.Bins {
		if !math.IsNaN(b.Lo + b.Hi) {
			out = append(out, point{Value: []any{num(beside(b, i, of)), num(b.Lo), num(b.Hi)}})
		}
	}
	return out
}

func (s BinnedSeason) points(l say.Locale, i, of int) (out []any) {
	for _, b := range s.Bins {
		out = append(out, raw{"name": b.text(l, s.Name), "value": []any{num(beside(b, i, of)), num(b.COP)}})
	}
	return out
}

func (b BinPoint) text(l say.Locale, season string) string {
	return season + ", " + b.span(l) + ": COP " + l.Number(b.COP, 2) + ", " + l.Range(b.Lo, b.Hi, 2, "")
}

func (b BinPoint) span(l say.Locale) string {
	return l.Range(b.From, b.To, 0, l.Unit(say.Temperature))
}

func (s Seasons) table() Table {
	t := Table{Caption: s.Say.Text("COP by seasons and bins"), Head: append(append(s.Say.Texts("Season"), s.Axis), s.Say.Texts("COP", "90 % interval", "Power, kW", "Windows", "Days")...)}
	for _, season := range s.Seasons {
		for _, b := range season.Bins {
			t.Rows = append(t.Rows, []string{season.Name, s.Say.Range(b.From, b.To, 0, ""), s.Say.Number(b.COP, 2), s.Say.Range(b.Lo, b.Hi, 2, ""),
				s.Say.Number(b.KW, 2), s.Say.Thousands(b.Windows), s.Say.Thousands(b.Days)})
		}
	}
	return t
}
