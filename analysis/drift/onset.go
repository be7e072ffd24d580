package drift

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// onset looks for a change that began after a baseline, and takes it over where it
// is surer than noise. A straight line through a whole record is the wrong
// question for a fault that began late: what it does not fit counts as scatter.
func (t *trend) onset(s series, f feature, significance float64, space *robust.Workspace, o Options) bool {
	b, outdoor, ok := s.breaks(f, significance, space, o)
	if !ok || b.P > significance || !lasts(b) || b.Lo < 0 && b.Hi > 0 {
		return false
	}
	t.Verdict = direction(b.Size)
	t.Visits, t.Suspected = int64(b.Before+b.After), s.timeOf(b.Onset)
	t.PerYear, t.Lo, t.Hi = b.PerTime, b.RateLo, b.RateHi
	t.Change, t.ChangeLo, t.ChangeHi = b.Size, b.Lo, b.Hi
	t.Level, t.Noise, t.Significance = b.Level, b.Noise, b.P
	t.PerOutdoor, t.OutdoorRef = math.NaN(), math.NaN()
	if outdoor {
		t.PerOutdoor, t.OutdoorRef = b.Influence[0], b.Reference[0]
	}
	how := evenly
	if b.Sudden {
		how = suddenly
	}
	t.Note = fmt.Sprintf("%s%s before; it went %s", againstBaseline, visitsOf(b.Before), how)
	return true
}

// The words of the note of a trend that broke from its baseline.
const (
	againstBaseline = "against a baseline of the "
	evenly          = "at an even rate"
	suddenly        = "at once"
)

// Broke tells whether a trend is a break from a baseline at its suspected onset,
// rather than one line over all of its visits, and whether it came at once.
func Broke(t table.Trend) (sudden, ok bool) {
	return strings.Contains(t.Note, "it went "+suddenly), strings.Contains(t.Note, againstBaseline)
}

// lasting is the share of a change by which the last three visits must lie off the
// baseline in the middle, so that one wild visit raises nothing.
const lasting = 0.5

func lasts(b robust.Break) bool { return b.Lasting/b.Size >= lasting }

// plausible is how many times the chance that is asked for a sketched change may have, for it
// to be looked at more closely: the sketch tries few onsets and may miss the clearest, but
// takes no account of what trying all of them costs, about as much.
const plausible = 10

// breaks is the likeliest break of a series, with the influences that explain the
// record best; not ok where none is plausible. The influences are those that explain it
// best at the onset that the plainest model finds likeliest.
func (s series) breaks(f feature, significance float64, space *robust.Workspace, o Options) (b robust.Break, outdoor, ok bool) {
	doubt, _ := robust.Median(s.doubt)
	course := robust.Course{T: s.t, Y: s.y, Group: s.groups(), GroupSD: doubt, Era: s.era, Space: space}
	of := func(m model) robust.Course {
		course.Influences, course.Bends = m.influences, m.bends
		return course
	}
	models := s.models(f)
	best := models[0]
	k, err := of(best).Sketch()
	if err != nil {
		return b, false, false
	}
	most := k.Evidence
	for _, m := range models {
		for i, x := range of(m).Evidences(k.At, m.also) {
			if x > most {
				best, most = m.bent(m.also[i]), x
			}
		}
	}
	if most > k.Evidence {
		k, err = of(best).Sketch()
	}
	if err != nil || k.P > plausible*significance {
		return b, false, false
	}
	b, err = of(best).Break(o.Confidence)
	return b, best.outdoor, err == nil
}

// A model is the influences that a baseline follows, and what bends it; and what may bend it
// too, nil for nothing.
type model struct {
	influences, bends, also [][]float64
	outdoor                 bool
}

// bent is a model with a bend.
func (m model) bent(bend []float64) model {
	if m.also = nil; bend != nil {
		m.bends = [][]float64{bend}
	}
	return m
}

// From how many visits on a bend or a second influence is tried, and both: five or
// more for each coefficient, since a baseline that bends to every visit makes the
// scatter look small.
const (
	visitsForBend = 15
	visitsForBoth = 24
)

// models lists what a baseline may follow.
func (s series) models(f feature) []model {
	n := len(s.y)
	base := s.base(f)
	if n < visitsForBend {
		return []model{base}
	}
	with := base
	if len(base.influences) > 0 {
		base.also = bends(base.influences[0])
	}
	if !whole(s.room) || spread(s.room) < leastRoomRange {
		return []model{base}
	}
	with.influences, with.also = append(slices.Clone(with.influences), s.room), [][]float64{nil}
	if n >= visitsForBoth && len(base.influences) > 0 {
		with.also = append(with.also, base.also...)
	} else if n >= visitsForBoth {
		with.also = append(with.also, bends(s.room)...)
	}
	return []model{base, with}
}

// base follows the outdoor temperature, or what stands in for it.
func (s series) base(f feature) model {
	switch {
	case whole(s.outdoor) && spread(s.outdoor) >= leastOutdoorRange:
		return model{influences: [][]float64{s.outdoor}, outdoor: true}
	case !whole(s.outdoor) && whole(s.condensing) && f.column != CondenserTD:
		return model{influences: [][]float64{s.condensing}}
	}
	return model{}
}

// kneeAt is at which quantiles of the first influence a baseline may have a knee:
// head pressure control and staged fans take hold somewhere.
var kneeAt = [...]float64{0.35, 0.5, 0.65}

// bends are a parabola and knees in an influence.
func bends(x []float64) (out [][]float64) {
	mid, _ := robust.Median(x)
	add := func(of func(float64) float64) {
		bend := make([]float64, len(x))
		for i, v := range x {
			bend[i] = of(v)
		}
		out = append(out, bend)
	}
	add(func(v float64) float64 { return (v - mid) * (v - mid) })
	for _, q := range kneeAt {
		knee, _ := robust.Quantile(x, q)
		add(func(v float64) float64 { return math.Max(0, v-knee) })
	}
	return out
}

// groups numbers the sets of instruments. A set whose serials are all in another
// one is the same with a channel missing.
func (s series) groups() []int {
	out := make([]int, len(s.set))
	var names []string // as they come
	for i, set := range s.set {
		if out[i] = slices.Index(names, set); out[i] < 0 {
			out[i] = len(names)
			names = append(names, set)
		}
	}
	if len(names) == 1 {
		return out
	}
	same := merged(names)
	for i := range out {
		out[i] = same[out[i]]
	}
	return out
}

// merged gives each set of instruments the number of the largest that holds it.
func merged(names []string) []int {
	serials := make([][]string, len(names))
	order := make([]int, len(names))
	for i, n := range names {
		serials[i], order[i] = serialsOf(n), i
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(names[b]) - len(names[a]) })
	var sets []int
	out := make([]int, len(names))
	for _, i := range order {
		out[i] = slices.IndexFunc(sets, func(of int) bool { return atValve(names[i]) == atValve(names[of]) && within(serials[i], serials[of]) })
		if out[i] < 0 {
			out[i] = len(sets)
			sets = append(sets, i)
		}
	}
	return out
}

// within tells whether all serials of a set are in another; a set without any is only
// in itself.
func within(set, of []string) bool {
	if len(set) == 0 || len(of) == 0 {
		return len(set) == len(of)
	}
	for _, serial := range set {
		if !slices.Contains(of, serial) {
			return false
		}
	}
	return true
}
