package analysis

import (
	"context"
	"encoding/json"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// A reading is an upload that a generation rests on, and how it was read.
type reading struct {
	dataset.Part
	entry       dataset.Entry
	first, last int64 // microseconds since 1970: what its times lie between
}

// readings looks up how a generation's uploads were read.
func (s *Stage) readings(ctx context.Context, g dataset.Generation) ([]reading, error) {
	var out []reading
	for _, p := range g.Parts {
		e, _, err := s.Dataset.Entry(ctx, p.Upload, p.Reading)
		if err != nil {
			return nil, err
		}
		r := reading{Part: p, entry: e}
		r.first, r.last = spanOf(e.Decisions)
		out = append(out, r)
	}
	return out, nil
}

// spanOf is the time that an upload's data span, from the decisions of its reading; all
// time where they do not say.
func spanOf(decisions json.RawMessage) (first, last int64) {
	var u struct {
		Time struct {
			First string `json:"first_utc"`
			Last  string `json:"last_utc"`
		} `json:"time"`
	}
	errJSON := json.Unmarshal(decisions, &u)
	from, errFrom := time.Parse(time.RFC3339Nano, u.Time.First)
	to, errTo := time.Parse(time.RFC3339Nano, u.Time.Last)
	if errJSON != nil || errFrom != nil || errTo != nil {
		return -1 << 63, 1<<63 - 1
	}
	return from.UnixMicro(), to.Add(time.Second).UnixMicro() // the text may have lost a fraction
}

// samplesName is the table that parts are asked for.
var samplesName = table.Samples().Name

// in are the parts with samples of a system in a month.
func (r reading) in(id, month string) (parts []dataset.PartFile) {
	for _, part := range r.entry.Parts {
		if part.System == id && part.Table == samplesName && slices.Contains(part.Months, month) {
			parts = append(parts, part)
		}
	}
	return parts
}

// edge is what a system's samples of a time follow from: the parts that may reach into
// it. So a month's windows, which look a day beyond it, are made again for that day and
// not for the rest of the month it is in.
func edge(id string, uploads []reading, from, to int64) string {
	month := dataset.MonthOf(from).Name
	var keys []string
	for _, r := range uploads {
		if r.last < from || r.first >= to {
			continue
		}
		for _, part := range r.in(id, month) {
			keys = append(keys, r.Upload+" "+part.SHA256)
		}
	}
	slices.Sort(keys)
	return strings.Join(slices.Compact(keys), "\n")
}
