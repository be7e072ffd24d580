package chart

import (
	"math"

	"rimelog/analysis/say"
)

// marks are the events and the suspected stretch, laid over a series.
func (c Course) marks(lo, hi int64) raw {
	over := raw{}
	if lines := c.eventLines(lo, hi); len(lines) > 0 {
		over["markLine"] = raw{"symbol": []any{"none", "none"}, "silent": true, "animation": false, "data": lines}
	}
	if c.Suspected != nil {
		over["markArea"] = raw{"silent": true, "itemStyle": raw{"color": css("drift-tint")}, "data": []any{[]any{
			raw{"xAxis": Wall(c.Suspected.From, c.Zone)}, raw{"xAxis": Wall(c.Suspected.To, c.Zone)},
		}}}
	}
	return over
}

// keys explains the marks that the chart has, and only those.
func (c Course) keys(banded bool) (out []Key) {
	add := func(there bool, mark string, text say.Text) {
		if there {
			out = append(out, Key{mark, c.Say.Text(text)})
		}
	}
	add(c.count(Judged) > 0, "dot", "judged visit")
	add(c.hasLeft(), "square", "as left, after the intervention")
	add(banded, "band", "about 95 % uncertainty")
	add(c.count(Spot) > 0, "ring", "spot: shown, not judged, with its uncertainty")
	add(c.count(Unused) > 0, "cross", "not judged")
	add(c.Line != nil, c.Line.mark(), "trend, with the interval of its slope")
	add(c.Suspected != nil, "tint", "change suspected")
	add(len(c.inSight()) > 0, "event", "event; a solid line starts a new baseline")
	return out
}

func (c Course) hasLeft() bool {
	for _, r := range c.Readings {
		if r.Left && c.use(r) == Judged {
			return true
		}
	}
	return false
}

// uses in words.
var useWords = [...]say.Text{Judged: "judged", Spot: "spot", Unused: "not judged"}

func (c Course) table() Table {
	t := Table{Caption: c.Say.Text("%s at each visit, uncertainties about 95 %%", c.Name),
		Head: []string{c.Say.Text("Visit"), c.Say.Text("Part"), c.Say.Text("Measured, %s", c.Unit), c.Medium.Head(), c.Say.Text("Use"), c.Say.Text("Note")}}
	if c.seasonOut() {
		t.Head = append(t.Head[:3:3], append([]string{c.Say.Text("At %s, %s", c.Medium.At(c.LikeAt, 0), c.Unit)}, t.Head[3:]...)...)
	}
	events := c.Events
	for _, r := range c.Readings {
		for ; len(events) > 0 && events[0].At.Before(r.At); events = events[1:] {
			t.Rows = append(t.Rows, c.eventRow(events[0], len(t.Head)))
		}
		t.Rows = append(t.Rows, c.readingRow(r))
	}
	for _, e := range events {
		t.Rows = append(t.Rows, c.eventRow(e, len(t.Head)))
	}
	return t
}

func (c Course) readingRow(r Reading) []string {
	row := []string{c.Say.Minute(r.At, c.Zone), r.Part, c.Say.PlusMinus(r.Measured, r.U, 1, "")}
	if c.seasonOut() {
		like := math.NaN()
		if c.use(r) != Unused {
			like = r.Like
		}
		row = append(row, c.Say.Number(like, 1))
	}
	return append(row, c.Say.Number(r.Outdoor, 1), c.Say.Text(useWords[c.use(r)]), r.Note)
}

func (c Course) eventRow(e Event, width int) []string {
	row := make([]string, width)
	row[0], row[1], row[width-1] = c.Say.Minute(e.At, c.Zone), c.Say.Text("event"), e.Text
	return row
}
