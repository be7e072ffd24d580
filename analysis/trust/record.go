package trust

import (
	"cmp"
	"slices"
	"time"

	"rimelog/pipeline/table"
)

// A Record is the visits of a system and what the rules know of them, fit to be asked for
// times: a logger that stays has a visit a day and may send as many uploads.
type Record struct {
	visits  []table.Visit // by start
	facts   []Facts       // by start
	longest int64         // of both, microseconds
}

// NewRecord puts them in order.
func NewRecord(visits []table.Visit, facts []Facts) Record {
	r := Record{visits: slices.Clone(visits), facts: slices.Clone(facts)}
	slices.SortStableFunc(r.visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
	slices.SortStableFunc(r.facts, func(a, b Facts) int { return cmp.Compare(a.Start, b.Start) })
	for i := range r.visits {
		r.longest = max(r.longest, r.visits[i].End.Sub(r.visits[i].Start).Microseconds())
	}
	for i := range r.facts {
		r.longest = max(r.longest, r.facts[i].End-r.facts[i].Start)
	}
	return r
}

// visited are the visits that touch a time.
func (r Record) visited(first, last int64) (out []table.Visit) {
	from, _ := slices.BinarySearchFunc(r.visits, before(first, r.longest), func(v table.Visit, t int64) int { return cmp.Compare(v.Start.UnixMicro(), t) })
	end := time.UnixMicro(last)
	for i := from; i < len(r.visits) && !r.visits[i].Start.After(end); i++ {
		if r.visits[i].End.UnixMicro() >= first {
			out = append(out, r.visits[i])
		}
	}
	return out
}

// known are the facts of a time.
func (r Record) known(first, last int64) (out []Facts) {
	from, _ := slices.BinarySearchFunc(r.facts, before(first, r.longest), func(f Facts, t int64) int { return cmp.Compare(f.Start, t) })
	for i := from; i < len(r.facts) && r.facts[i].Start <= last; i++ {
		if r.facts[i].End >= first {
			out = append(out, r.facts[i])
		}
	}
	return out
}

// before is a time so much before another, or the first there is.
func before(t, by int64) int64 {
	if b := t - by; b <= t {
		return b
	}
	return -1 << 63
}
