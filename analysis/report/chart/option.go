package chart

import (
	"encoding/json"
	"fmt"
	"math"
)

// raw is a part of the options that go-echarts has no type for.
type raw = map[string]any

// typed is what every chart of go-echarts offers.
type typed interface {
	Validate()
	JSON() map[string]any
}

// encode turns typed options into JSON, with the overlay on top. The JSON may
// stand inside a script element: json.Marshal escapes <, > and &.
func encode(c typed, overlay raw) ([]byte, error) {
	c.Validate()
	b, err := json.Marshal(c.JSON())
	if err != nil {
		return nil, fmt.Errorf("chart options: %w", err)
	}
	var options raw
	if err := json.Unmarshal(b, &options); err != nil {
		return nil, fmt.Errorf("chart options: %w", err)
	}
	for _, noise := range []string{"title", "toolbox", "legend", "color"} {
		delete(options, noise)
	}
	b, err = json.Marshal(merge(options, overlay))
	if err != nil {
		return nil, fmt.Errorf("chart options: %w", err)
	}
	return b, nil
}

// merge lays over onto base: maps by key, lists by position, all else replaced.
func merge(base, over any) any {
	switch over := over.(type) {
	case raw:
		b, ok := base.(raw)
		if !ok {
			b = raw{}
		}
		for k, v := range over {
			b[k] = merge(b[k], v)
		}
		return b
	case []any:
		b, ok := base.([]any)
		if !ok {
			return over
		}
		for i, v := range over {
			if i < len(b) {
				b[i] = merge(b[i], v)
			} else {
				b = append(b, v)
			}
		}
		return b
	case nil:
		return base
	}
	return over
}

// num is v to three digits, or nil (a gap) where it is not a number.
func num(v float64) any {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return math.Round(v*1000) / 1000
}

// pair is a point of a chart.
func pair(x int64, y float64) []any { return []any{x, num(y)} }

// css names a colour of the page's style.
func css(name string) string { return "$css:--" + name }

// fn names a function of the page's script.
func fn(name string) string { return "$fn:" + name }
