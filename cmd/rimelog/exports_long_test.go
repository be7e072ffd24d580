//go:build long

package main

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/demofleet"
	"rimelog/ingest/demofleet/truth"
)

// What a quirk takes from a log on purpose. All others take nothing.
var takes = map[string]string{
	"cut":           "the last line is not whole, and not taken",
	"gaps":          "a missing marker is no value",
	"dropped_cells": "a line that lacks a cell is not taken: nobody knows which one it lacks",
	"change_only":   "an empty cell is no value",
	"minutes":       "of several rows with one time one is taken",
	"spreadsheet":   "it is no table of text: refused with what would help",
	"web_page":      "it is no table of text: refused with what would help",
	"no_header":     "without names nothing is taken, unless the register tells the columns by their places",
}

// Every quirk of exports that the simulator knows is read to the same values as the
// plain export of the same log, or takes from them what it must. No value is ever
// another, and none stands at another time.
func TestEveryExportIsReadAsThePlainOne(t *testing.T) {
	plain := exported(t, visitsBy(nil)).values
	for _, name := range slices.Sorted(maps.Keys(demofleet.DefaultMix().Quirks)) {
		e := exported(t, visitsBy(demofleet.Quirks{name: 1}))
		had := slices.ContainsFunc(e.fleet.Files, func(f truth.File) bool { return slices.Contains(f.Quirks, name) })
		if !had {
			t.Errorf("%s: no log has it", name)
		}
		lost := len(plain)
		for at, v := range e.values {
			is, known := plain[at]
			switch name {
			case "minutes":
				known = inMinute(plain, at, v)
				is = v
			case "jitter": // samples of their own: near the plain ones in time
				known, is = true, v
			}
			if !known || is != v {
				t.Errorf("%s: %s is %v, plainly %v (there: %v)", name, at, v, is, known)
				break
			}
			lost--
		}
		if why := takes[name]; lost > 0 && why == "" {
			t.Errorf("%s: %d of %d values are not there", name, lost, len(plain))
		} else if lost == 0 && why != "" {
			t.Errorf("%s takes nothing, though %s", name, why)
		}
	}
}

// inMinute tells whether the plain log has a value within the minute of a place.
func inMinute(plain map[string]float64, at string, value float64) bool {
	i := strings.LastIndexByte(at, ' ') + 1
	start, err := time.Parse(time.RFC3339, at[i:])
	if err != nil {
		return false
	}
	for s := range 60 {
		if v, ok := plain[at[:i]+start.Add(time.Duration(s)*time.Second).Format(time.RFC3339)]; ok && v == value {
			return true
		}
	}
	return false
}
