package chart

import (
	"encoding/json"
	"math"
	"testing"
)

// Seasons that would crowd stand beside each other, each reading in the panel of its own
// season and nowhere else, on the same axes. Small multiples share their scales: Tufte, The
// Visual Display of Quantitative Information (1983), from memory.
func TestSeasonsStandBesideEachOther(t *testing.T) {
	chart, err := manyReadings().DrawOutdoor("outdoor", "", "")
	if err != nil {
		t.Fatal(err)
	}
	var o struct {
		Grid         []any
		XAxis, YAxis []struct{ Min, Max, Interval float64 }
		Series       []struct {
			Name                   string
			XAxisIndex, YAxisIndex int
			Data                   []any
		}
	}
	if err := json.Unmarshal(chart.Option, &o); err != nil {
		t.Fatal(err)
	}
	if len(o.Grid) != 3 || len(o.XAxis) != 3 || len(o.YAxis) != 3 || !chart.Tall {
		t.Fatalf("%d panels with %d and %d axes, want 3", len(o.Grid), len(o.XAxis), len(o.YAxis))
	}
	for i := range o.XAxis {
		if o.XAxis[i] != o.XAxis[0] || o.YAxis[i] != o.YAxis[0] {
			t.Errorf("panel %d has other axes than the first", i)
		}
	}
	panel, points := map[string]int{"March to May": 0, "June to August": 1, "September to November": 2}, 0
	for _, s := range o.Series {
		if at, season := panel[s.Name]; season {
			points += len(s.Data)
			if s.XAxisIndex != at || s.YAxisIndex != at {
				t.Errorf("%s stands in panel %d, want %d", s.Name, s.XAxisIndex, at)
			}
		}
	}
	if points != 60 {
		t.Errorf("%d of 60 readings are drawn", points)
	}
}

// One scale: all courses are as many units high, with ticks at the same steps, and none is
// cut off.
func TestOneScale(t *testing.T) {
	wide, narrow, far := course(), course(), course()
	narrow.Readings, narrow.Line = narrow.Readings[:3], nil
	far.Readings = append([]Reading(nil), far.Readings...)
	far.Line = nil
	for i := range far.Readings {
		far.Readings[i].Measured, far.Readings[i].Like = -31.7-0.1*float64(i), math.NaN()
	}
	courses := []Course{wide, narrow, far}
	OneScale(courses)
	height := courses[0].scale["max"].(float64) - courses[0].scale["min"].(float64)
	for i, c := range courses {
		lo, hi := c.scale["min"].(float64), c.scale["max"].(float64)
		if math.Abs(hi-lo-height) > 1e-9 || c.scale["interval"] != courses[0].scale["interval"] {
			t.Errorf("course %d is %g high with steps of %v, want %g and %v", i, hi-lo, c.scale["interval"], height, courses[0].scale["interval"])
		}
		if e := c.extent(); e.lo < lo || e.hi > hi {
			t.Errorf("course %d reaches from %g to %g, beyond its axis from %g to %g", i, e.lo, e.hi, lo, hi)
		}
	}
}
