package ingest

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"rimelog/ingest/merge"
	"rimelog/ingest/scan"
)

// Tables may stand side by side, each with a column of time of its own: a spreadsheet into
// which the downloads of two loggers were pasted. Where the columns of time bear one name,
// the file is read once for each of them, with the columns up to the next.

// A strip is the columns of one of several tables side by side; the zero strip is all
// columns.
type strip struct{ from, to int }

func (b strip) set() bool { return b != strip{} }

func (b strip) holds(i int) bool { return !b.set() || i >= b.from && i < b.to }

// findStrips gives the tables that stand side by side; none where there is one only, or
// where another column of time may tell of something else than the values behind it.
func (p *plan) findStrips() []strip {
	if p.bare != nil || p.long != nil || p.strip.set() || p.time.kind != stampTime {
		return nil
	}
	first := p.time.columns[0]
	list := []strip{{to: p.layout.columns}}
	for i := slices.Max(p.time.columns) + 1; i < p.layout.columns; i++ {
		if !p.isOtherClock(i) {
			continue
		}
		if p.layout.names[i] == "" || unnumbered(p.layout.names[i]) != unnumbered(p.layout.names[first]) {
			return nil
		}
		list[len(list)-1].to = i
		list = append(list, strip{from: i, to: p.layout.columns})
	}
	if len(list) < 2 || slices.ContainsFunc(list, func(b strip) bool { return !p.holdsValues(b) }) {
		return nil
	}
	return list
}

// unnumbered is a name without what tells it from others of the kind: Time 2, Time.1.
func unnumbered(name string) string { return strings.TrimRight(scan.Fold(name), "0123456789 ._#()-") }

// holdsValues tells whether a table side by side has a column of numbers.
func (p *plan) holdsValues(b strip) bool {
	for i := b.from; i < b.to; i++ {
		if l := p.layout.grid.look(i); !slices.Contains(p.time.columns, i) && l.mostly(l.numbers) {
			return true
		}
	}
	return false
}

// readBeside reads a file of tables side by side, once for each.
func readBeside(ctx context.Context, src Source, a Answers, o Options, strips []strip, to merge.Sink) (Reading, error) {
	var passes []Answers
	for _, b := range strips {
		a.strip = b
		passes = append(passes, a)
	}
	why := Evidence{"tables", fmt.Sprintf("%d tables stand side by side, each with its own column of time", len(strips))}
	r, list, err := readPasses(ctx, src, passes, o, to, why)
	for _, one := range list[min(1, len(list)):] {
		r.Understanding.Time.Columns = append(r.Understanding.Time.Columns, one.Understanding.Time.Columns...)
	}
	return r, err
}

// outside tells whether a line of data holds nothing of the table under way, one of
// several side by side.
func (s *pass) outside() bool {
	for i := s.p.strip.from; i < s.p.strip.to; i++ {
		if len(scan.Trim(s.row[i].text)) > 0 {
			return false
		}
	}
	return s.p.strip.set()
}

// refuseLine refuses every value of the table under way in a line whose time cannot be
// told: the tables beside it are read all the same.
func (s *pass) refuseLine(reason string) {
	for k := range s.fields {
		for c := s.fields[k].column; c != nil; c = c.next {
			if v := &s.row[k]; c.kind != timeColumn && c.kind != skipColumn && v.kind != emptyCell {
				s.refused(c, v, reason)
			}
		}
	}
}
