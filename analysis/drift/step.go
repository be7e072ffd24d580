package drift

import (
	"fmt"
	"math"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The verdicts of a step.
const (
	StepShows      = "shows"
	StepMissing    = "does not show"
	StepUnknown    = "cannot be told"
	StepUnrecorded = "possible unrecorded addition"
)

// How a step is looked for: up to besideStep visits on either side, within nearStep of it.
// An unrecorded one must be larger than any weather or wild visit makes (common practice,
// no source), and hold at two visits on either side.
const (
	besideStep = 3
	leastSide  = 2
	nearStep   = 200 * 24 * time.Hour
	unrecorded = 2.5 // K
	stepSure   = 4.0 // standard uncertainties of an unrecorded step
	shownSure  = 1.645
)

// Steps holds every weighed addition and recovery against the step of subcooling that it
// should make, and looks for steps upwards that no row explains. Subcooling is compared at
// the weather's part of the baseline.
func (r Record) Steps(baselines []table.Baseline) (out []table.StepSeen) {
	if cannotJudge(r.System, features()[atSubcooling]) != "" {
		return nil
	}
	slope := 0.0
	for _, b := range baselines {
		if b.System == r.System.ID && b.Feature == Subcooling {
			slope = b.PerOutdoor
		}
	}
	var points []point
	for _, p := range r.points {
		if !math.IsNaN(p.values[atSubcooling]) && !math.IsNaN(p.outdoor) && inSeason(r.System, p.outdoor) {
			p.values = []float64{p.values[atSubcooling] - slope*(p.outdoor-reference)}
			points = append(points, p)
		}
	}
	for _, e := range r.Events {
		if (e.Kind == register.ChargeAdded || e.Kind == register.Recovered) && math.Abs(e.KG) > 0 {
			out = append(out, r.recorded(e, points))
		}
	}
	return append(out, r.withoutRow(points, stepRule{unrecorded, stepSure})...)
}

// sides are the points just before and after a time.
func sides(points []point, at time.Time) (before, after []point) {
	for _, p := range points {
		switch {
		case p.at.Before(at) && at.Sub(p.at) <= nearStep:
			before = append(before, p)
		case !p.at.Before(at) && p.at.Sub(at) <= nearStep && len(after) < besideStep:
			after = append(after, p)
		}
	}
	return before[max(0, len(before)-besideStep):], after
}

// stepOf is the step between points, with its standard uncertainty.
func stepOf(before, after []point) (step, u float64) {
	var a, b, doubt []float64
	same := true
	for _, p := range before {
		a = append(a, p.values[atSubcooling])
	}
	for _, p := range after {
		b = append(b, p.values[atSubcooling])
		same = same && p.set == before[0].set
		if !math.IsNaN(p.doubts[atSubcooling]) {
			doubt = append(doubt, p.doubts[atSubcooling])
		}
	}
	scatter := func(x []float64) float64 { return scatterOf(x, mean(x), leastSpread) / math.Sqrt(float64(len(x))) }
	u = math.Hypot(scatter(a), scatter(b))
	if !same {
		off := mostOff / 2
		if len(doubt) > 0 {
			off = math.Max(leastOff, mean(doubt))
		}
		u = math.Hypot(u, off*math.Sqrt2)
	}
	return mean(b) - mean(a), u
}

// recorded holds one booked mass against its step.
func (r Record) recorded(e register.Event, points []point) table.StepSeen {
	before, after := sides(points, e.Time)
	nan := math.NaN()
	s := table.StepSeen{System: r.System.ID, On: e.Time, KG: e.KG, Before: int64(len(before)), After: int64(len(after)), Step: nan, StepU: nan, Expected: nan, Verdict: StepUnknown}
	switch {
	case !(r.System.Charge.KG > 0):
		s.Note = "design charge is not in the register"
		return s
	case len(before) == 0 || len(after) == 0:
		s.Note = "no visit in the season of its charge before or after it"
		return s
	}
	s.Step, s.StepU = stepOf(before, after)
	s.Expected = 100 * e.KG / r.System.Charge.KG * alone(r.System)
	s.Verdict, s.Note = stepVerdict(s)
	if s.Verdict == StepMissing && r.System.Receiver == register.ReceiverUnknown {
		s.Verdict, s.Note = StepUnknown, "receiver is not in the register: with one, subcooling says little about charge"
	}
	return s
}

// stepVerdict says whether the step that should be there is: the sensitivity is believed
// within a factor of two only, so that half of what is expected is asked for.
func stepVerdict(s table.StepSeen) (verdict, note string) {
	least := math.Abs(s.Expected) / 2
	toward := s.Step * sign(s.Expected)
	switch {
	case toward >= least-shownSure*s.StepU && toward > shownSure*s.StepU:
		return StepShows, ""
	case least < 2*shownSure*s.StepU:
		return StepUnknown, fmt.Sprintf("%.1f K are expected, and visits or instruments scatter by %.1f K", s.Expected, s.StepU)
	case toward < least-shownSure*s.StepU:
		return StepMissing, "check the line's system, day and kilograms, and the liquid probe at the next visit; refrigerant may have been lost again soon after"
	}
	return StepUnknown, "smaller than expected, within its uncertainty"
}

// A stepRule is how large an unrecorded step must be, K, and how many times its standard
// uncertainty.
type stepRule struct{ least, sure float64 }

// withoutRow finds steps upwards between neighbouring visits that no act explains: the
// largest rise of each stretch without an act.
func (r Record) withoutRow(points []point, rule stepRule) (out []table.StepSeen) {
	for k := leastSide; k <= len(points)-leastSide; k++ {
		if points[k-1].era != points[k].era {
			continue
		}
		before, after := points[max(0, k-besideStep):k], points[k:min(len(points), k+besideStep)]
		if before[0].era != after[len(after)-1].era {
			continue
		}
		step, u := stepOf(before, after)
		gap := points[k].values[atSubcooling] - points[k-1].values[atSubcooling]
		if step < rule.least || step < rule.sure*u || gap < rule.least {
			continue
		}
		out = append(out, table.StepSeen{
			System: r.System.ID, On: points[k].at, KG: math.NaN(), Before: int64(len(before)), After: int64(len(after)),
			Step: step, StepU: u, Expected: math.NaN(), Verdict: StepUnrecorded,
			Note: "subcooling rose at once and no line of events.csv says why: if refrigerant was added, write it, and a new baseline begins there",
		})
		k += besideStep - 1
	}
	return out
}
