package analysis

import (
	"context"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// A reading is an upload that a generation rests on, and how it was read.
type reading struct {
	dataset.Part
	brief       *dataset.Brief // nil: nothing is known of it
	first, last int64          // microseconds since 1970: what its times lie between
}

// readings looks up how a generation's uploads were read.
func (s *Stage) readings(ctx context.Context, g dataset.Generation) ([]reading, error) {
	system := strings.TrimPrefix(g.Unit, dataset.SystemUnit(""))
	out := make([]reading, 0, len(g.Parts))
	for _, p := range g.Parts {
		b, ok, err := s.Dataset.Brief(ctx, system, p.Upload, p.Reading)
		if err != nil {
			return nil, err
		}
		r := reading{Part: p, brief: b, first: math.MinInt64, last: math.MaxInt64}
		if ok {
			r.first, r.last = b.First, b.Last
		}
		if r.last != math.MaxInt64 {
			r.last += time.Second.Microseconds() // of two uploads that abut, both reach to the second
		}
		out = append(out, r)
	}
	return out, nil
}

// samples tells whether a system has samples of the upload; one that nothing is known of
// may have left some.
func (r reading) samples(system string) bool {
	return r.brief == nil || slices.ContainsFunc(r.brief.Parts, func(p dataset.PartFile) bool { return p.System == system && p.Table == samplesName })
}

// samplesName is the table that parts are asked for.
var samplesName = table.Samples().Name

// A filed is a reading with its parts that have samples of a system in a month.
type filed struct {
	*reading
	parts []dataset.PartFile
}

// byMonth files readings under the months in which they have samples of a system: a logger
// that stays sends one each day, for years.
func byMonth(id string, uploads []reading) map[string][]filed {
	out := map[string][]filed{}
	for i := range uploads {
		r := &uploads[i]
		if r.brief == nil {
			continue
		}
		for _, part := range r.brief.Parts {
			if part.System != id || part.Table != samplesName {
				continue
			}
			for _, m := range part.Months {
				under := out[m]
				if last := len(under) - 1; last >= 0 && under[last].reading == r {
					under[last].parts = append(under[last].parts, part)
				} else {
					out[m] = append(under, filed{r, []dataset.PartFile{part}})
				}
			}
		}
	}
	return out
}

// edge is what a system's samples of a time follow from: the parts that may reach into
// it. So a month's windows, which look a day beyond it, are made again for that day and
// not for the rest of the month it is in.
func edge(uploads map[string][]filed, from, to int64) string {
	var keys []string
	for _, r := range uploads[dataset.MonthOf(from).Name] {
		if r.last < from || r.first >= to {
			continue
		}
		for _, part := range r.parts {
			keys = append(keys, r.Upload+" "+part.SHA256)
		}
	}
	slices.Sort(keys)
	return strings.Join(slices.Compact(keys), "\n")
}
