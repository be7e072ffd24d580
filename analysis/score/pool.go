package score

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// Pool puts fleets together as if they were one, so that rates have the trials of all of
// them. Systems and sets of instruments of several fleets that are called the same are
// not the same: their names get the number of their fleet in front.
func Pool(fleets ...Input) Input {
	if len(fleets) == 1 {
		return fleets[0]
	}
	var all Input
	all.ends = map[string]time.Time{}
	var observers []func(string) (Observed, error)
	for i, in := range fleets {
		named := in.numbered(strconv.Itoa(i+1) + "/")
		t, n := &all.Truth, named.Truth
		t.Systems, t.Sensors = append(t.Systems, n.Systems...), append(t.Sensors, n.Sensors...)
		t.Files, t.Slips = append(t.Files, n.Files...), append(t.Slips, n.Slips...)
		for _, s := range n.Systems {
			all.ends[s.ID] = n.End
		}
		all.Findings, all.Problems = append(all.Findings, named.Findings...), append(all.Problems, named.Problems...)
		all.Uploads, all.Rankings = append(all.Uploads, named.Uploads...), append(all.Rankings, named.Rankings...)
		all.Classes = in.Classes
		observers = append(observers, in.Observe)
	}
	all.Observe = func(system string) (Observed, error) { return observe(observers, system) }
	return all
}

// observe asks the fleet that a numbered system belongs to.
func observe(observers []func(string) (Observed, error), system string) (Observed, error) {
	number, id, _ := strings.Cut(system, "/")
	n, err := strconv.Atoi(number)
	if err != nil || n < 1 || n > len(observers) {
		return Observed{}, fmt.Errorf("system %q is of no fleet", system)
	}
	if observers[n-1] == nil {
		return Observed{}, nil
	}
	return observers[n-1](id)
}

// numbered is a fleet whose names begin with its number. What it is made from is left as
// it is.
func (in Input) numbered(by string) Input {
	in.Truth.Systems = each(in.Truth.Systems, func(s *truth.System) { s.ID = by + s.ID })
	in.Truth.Sensors = each(in.Truth.Sensors, func(s *truth.Sensor) { s.Kit = by + s.Kit })
	in.Truth.Slips = each(in.Truth.Slips, func(s *truth.Slip) { s.System = by + s.System })
	in.Truth.Files = each(in.Truth.Files, func(f *truth.File) {
		f.System, f.Kit, f.Path = by+f.System, by+f.Kit, by+f.Path
		if f.Record != "" {
			f.Record = by + f.Record
		}
	})
	in.Findings = each(in.Findings, func(f *table.Finding) { f.System = by + f.System })
	in.Uploads = each(in.Uploads, func(u *table.Upload) { u.Path = by + u.Path })
	in.Rankings = each(in.Rankings, func(r *table.Ranking) { r.System, r.Group = by+r.System, by+r.Group })
	in.Problems = each(in.Problems, func(p *table.Problem) {
		if p.System != "" {
			p.System = by + p.System
		}
		if name, ok := strings.CutPrefix(p.Place, "uploads/"); ok {
			p.Place = "uploads/" + by + name
		}
	})
	return in
}

// each is a copy of a list with every element changed.
func each[T any](list []T, change func(*T)) []T {
	out := make([]T, len(list))
	for i, x := range list {
		change(&x)
		out[i] = x
	}
	return out
}
