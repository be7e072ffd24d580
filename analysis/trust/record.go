package trust

import (
	"slices"
	"sort"
	"time"
)

// A Use is what became of a visit: of table visits what a Record needs, since a logger that
// stays has more than a thousand.
type Use struct {
	Start       time.Time `col:"start" doc:"first sample, UTC"`
	End         time.Time `col:"end" doc:"last sample, UTC"`
	Use         string    `col:"use" doc:"trend, spot or none"`
	Reason      string    `col:"reason" doc:"why it is not used for trends"`
	Judged      float64   `col:"judged_min" doc:"minutes in windows"`
	Logged      float64   `col:"logged_min" doc:"minutes logged"`
	Off         float64   `col:"off_min" doc:"minutes with the compressor standing still"`
	LeftOut     float64   `col:"left_out_min" doc:"minutes of running that no window may hold"`
	Fingerprint string    `col:"fingerprint" doc:"by what its instruments are known again"`
	Engineer    string    `col:"engineer" doc:"who was there"`
	Doubt       string    `col:"doubt" doc:"rules for which something of it is hidden"`
}

// A Record is the visits of a system and what the rules know of them, fit to be asked for
// times: a logger that stays has a visit a day and may send as many uploads.
type Record struct {
	visits  []Use   // by start
	facts   []Facts // by start
	longest int64   // of both, microseconds
}

// NewRecord puts them in order, where they are not.
func NewRecord(visits []Use, facts []Facts) Record {
	r := Record{
		visits: ordered(visits, func(a, b Use) int { return a.Start.Compare(b.Start) }),
		facts:  ordered(facts, byStart),
	}
	for i := range r.visits {
		r.longest = max(r.longest, r.visits[i].End.Sub(r.visits[i].Start).Microseconds())
	}
	for i := range r.facts {
		r.longest = max(r.longest, r.facts[i].End-r.facts[i].Start)
	}
	return r
}

// ordered is a list in order: itself where it is, as it mostly is.
func ordered[E any](list []E, order func(a, b E) int) []E {
	if slices.IsSortedFunc(list, order) {
		return list
	}
	list = slices.Clone(list)
	slices.SortStableFunc(list, order)
	return list
}

// visited are the visits that touch a time, by place: they are long to copy.
func (r Record) visited(first, last int64) (out []*Use) {
	since, end := before(first, r.longest), time.UnixMicro(last)
	from := sort.Search(len(r.visits), func(i int) bool { return r.visits[i].Start.UnixMicro() >= since })
	for i := from; i < len(r.visits) && !r.visits[i].Start.After(end); i++ {
		if r.visits[i].End.UnixMicro() >= first {
			out = append(out, &r.visits[i])
		}
	}
	return out
}

// known are the facts of a time, the same.
func (r Record) known(first, last int64) (out []*Facts) {
	since := before(first, r.longest)
	from := sort.Search(len(r.facts), func(i int) bool { return r.facts[i].Start >= since })
	for i := from; i < len(r.facts) && r.facts[i].Start <= last; i++ {
		if r.facts[i].End >= first {
			out = append(out, &r.facts[i])
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
