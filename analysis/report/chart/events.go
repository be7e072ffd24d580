package chart

import (
	"slices"
	"time"
	"unicode/utf8"
)

// earlier says how long before the first reading an event is still shown: a tenth of the
// time of the readings, leastReach at least. An installation years ago would leave them a
// corner.
const earlier = 10

// inSight are the events that the chart has room for. All are in its table.
func (c Course) inSight() (out []Event) {
	if len(c.Readings) == 0 {
		return c.Events
	}
	first, last := c.Readings[0].At, c.Readings[len(c.Readings)-1].At
	from := first.Add(-max(leastReach, last.Sub(first)/earlier))
	for _, e := range c.Events {
		if !e.At.Before(from) {
			out = append(out, e)
		}
	}
	return out
}

// reach is the time from the first to the last thing to show, with a margin.
func (c Course) reach() (lo, hi int64) {
	var times []time.Time
	for _, r := range c.Readings {
		times = append(times, r.At)
	}
	for _, e := range c.inSight() {
		times = append(times, e.At)
	}
	return reach(times, c.Zone)
}

// A label is where the text of an event stands: in the row above the plot, the part of
// its width that the text takes.
type label struct {
	row      int // -1: it finds no room
	from, to float64
}

// The type of the texts above the plot, and the plot's width where it is narrow: two
// charts beside each other, or a phone; pixels.
const (
	characterWidth = 6.2
	narrowPlot     = 340.0
	longest        = 30 // characters of a text
	textRows       = 2
)

// labels places the texts of events so that none covers another: first those that start
// a new baseline, each in the first row with room.
func labels(events []Event, at func(Event) float64) []label {
	out := make([]label, len(events))
	var placed []label
	for _, i := range byWeight(events) {
		out[i] = label{row: -1}
		for row := range textRows {
			l := textAt(at(events[i]), events[i].Text, row)
			if !slices.ContainsFunc(placed, l.covers) {
				out[i] = l
				placed = append(placed, l)
				break
			}
		}
	}
	return out
}

// byWeight are the places of events, those first that start a new baseline.
func byWeight(events []Event) (order []int) {
	for _, reset := range []bool{true, false} {
		for i, e := range events {
			if e.Reset == reset {
				order = append(order, i)
			}
		}
	}
	return order
}

// textAt is a text that begins at its event, or ends there in the last third of the plot.
func textAt(at float64, text string, row int) label {
	width := float64(min(longest, utf8.RuneCountInString(text))+1) * characterWidth / narrowPlot
	if leftOf(at) {
		return label{row, at - width, at}
	}
	return label{row, at, at + width}
}

// leftOf tells whether a text at this part of the plot's width stands left of its event.
func leftOf(at float64) bool { return 3*at > 2 }

func (l label) covers(other label) bool {
	return l.row == other.row && l.from < other.to && other.from < l.to
}

// eventLines are the events in sight, with the texts that find room above the plot.
func (c Course) eventLines(lo, hi int64) (out []any) {
	events := c.inSight()
	at := func(e Event) float64 { return float64(Wall(e.At, c.Zone)-lo) / float64(hi-lo) }
	for i, l := range labels(events, at) {
		e := events[i]
		style := raw{"color": css("event"), "width": 1, "type": []any{2, 3}}
		if e.Reset {
			style = raw{"color": css("event"), "width": 1.5, "type": "solid"}
		}
		align := "left"
		if leftOf(at(e)) {
			align = "right"
		}
		text := raw{"show": false}
		if l.row >= 0 {
			text = raw{"formatter": short(e.Text, longest), "position": "end", "rotate": 0, "align": align,
				"color": css("event"), "offset": []any{0, -2 - 14*l.row}}
		}
		out = append(out, raw{"xAxis": Wall(e.At, c.Zone), "lineStyle": style, "label": text})
	}
	return out
}

// short cuts a text to n characters.
func short(s string, n int) string {
	if utf8.RuneCountInString(s) <= n {
		return s
	}
	return string([]rune(s)[:n-1]) + "…"
}
