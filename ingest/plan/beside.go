package plan

import (
	"slices"
	"strings"

	"rimelog/ingest/dialect"
	"rimelog/ingest/scan"
	"rimelog/ingest/timeline"
)

// FindStrips gives the tables that stand side by side; none where there is one only, or
// where another column of time may tell of something else than the values behind it.
func (p *Plan) FindStrips() []dialect.Strip {
	if p.Bare != nil || p.Long != nil || p.Strip.Set() || p.Time.Kind != timeline.StampTime {
		return nil
	}
	first := p.Time.Columns[0]
	list := []dialect.Strip{{To: p.Layout.Columns}}
	for i := slices.Max(p.Time.Columns) + 1; i < p.Layout.Columns; i++ {
		if !p.isOtherClock(i) {
			continue
		}
		if p.Layout.Names[i] == "" || unnumbered(p.Layout.Names[i]) != unnumbered(p.Layout.Names[first]) {
			return nil
		}
		list[len(list)-1].To = i
		list = append(list, dialect.Strip{From: i, To: p.Layout.Columns})
	}
	if len(list) < 2 || slices.ContainsFunc(list, func(b dialect.Strip) bool { return !p.holdsValues(b) }) {
		return nil
	}
	return list
}

// unnumbered is a name without what tells it from others of the kind: Time 2, Time.1.
func unnumbered(name string) string { return strings.TrimRight(scan.Fold(name), "0123456789 ._#()-") }

// holdsValues tells whether a table side by side has a column of numbers.
func (p *Plan) holdsValues(b dialect.Strip) bool {
	for i := b.From; i < b.To; i++ {
		if l := p.looks.At(p.Layout.Grid, i); !slices.Contains(p.Time.Columns, i) && l.Mostly(l.Numbers) {
			return true
		}
	}
	return false
}
