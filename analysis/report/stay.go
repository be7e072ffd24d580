package report

import (
	"math"
	"slices"
	"time"

	"rimelog/analysis/drift"
	"rimelog/pipeline/table"
)

// A stay is one time that somebody logged at a system: a visit or a day, or the two
// parts of one that an intervention split.
type stay struct {
	found *table.Visit // the whole of it, or as found
	left  *table.Visit // as left; nil where nobody intervened
}

// longestWork is how long the work between the two parts of a stay lasts at most;
// common practice, no source.
const longestWork = 12 * time.Hour

// stays are the stays at a system in time order.
func (s System) stays() (out []stay) {
	out = make([]stay, 0, len(s.Visits))
	for i := range s.Visits {
		v := &s.Visits[i]
		if n := len(out); n > 0 && v.Part == table.AsLeft && out[n-1].found.Part == table.AsFound && out[n-1].left == nil &&
			v.Start.Sub(out[n-1].found.End) < longestWork {
			out[n-1].left = v
			continue
		}
		out = append(out, stay{found: v})
	}
	return out
}

func (y stay) start() time.Time { return y.found.Start }

func (y stay) end() time.Time {
	if y.left != nil {
		return y.left.End
	}
	return y.found.End
}

// parts are the visits of the stay.
func (y stay) parts() []table.Visit {
	if y.left != nil {
		return []table.Visit{*y.found, *y.left}
	}
	return []table.Visit{*y.found}
}

// known is what was known of each feature after the stay, from data up to it only.
func (s System) known(y stay) map[string]table.Trend {
	return latestOf(s.Trends, func(on time.Time) bool { return !on.After(y.end()) })
}

// openAfter are the findings that stood open after the stay, most urgent first.
func (s System) openAfter(y stay) []table.Finding {
	return s.findings(func(f table.Finding) bool {
		closed := f.State != drift.Open && !closing(f).After(y.end())
		return !f.RaisedOn.After(y.end()) && !closed
	})
}

// closing is when a finding ceased to be open.
func closing(f table.Finding) time.Time {
	if f.ClearedOn.IsZero() {
		return f.ChangedOn
	}
	return f.ClearedOn
}

// doubts are the problems of data at a stay.
func (s System) doubts(y stay) (out []table.Problem) {
	for _, p := range s.Quality {
		if !p.Visit.IsZero() && slices.ContainsFunc(y.parts(), func(v table.Visit) bool { return v.Start.Equal(p.Visit) }) {
			out = append(out, p)
		}
	}
	return out
}

// A shift is by how much a feature moved from one visit to another, with the standard
// uncertainty of that: what the same instruments show too much at both cancels.
type shift struct{ size, u float64 }

// shiftOf compares two visits at the medium's temperature of the later one. Where it
// is not known how a feature follows that temperature, values are compared as read.
func shiftOf(f feature, before, after *table.Visit, t table.Trend) shift {
	a, ua := f.value(before)
	b, ub := f.value(after)
	if f.repeat != nil && before.Instruments == after.Instruments && after.Instruments != "" {
		ua, ub = f.repeat(before), f.repeat(after)
	}
	size := b - a
	if weather := t.PerOutdoor * (after.OutdoorTemp - before.OutdoorTemp); judged(t) && !math.IsNaN(weather) {
		size -= weather
	}
	return shift{size, math.Hypot(ua, ub)}
}

// noise tells whether what was measured may be no change at all.
func (d shift) noise() bool { return !(math.Abs(d.size) > 2*d.u) }
