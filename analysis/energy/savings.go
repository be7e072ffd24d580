package energy

import (
	"fmt"
	"math"
	"slices"

	"rimelog/analysis/robust"
)

// An Interval is an estimate with its lower and upper end.
type Interval struct{ Value, Lo, Hi float64 }

// Levels are the confidences at which savings are stated.
var Levels = [3]float64{0.68, 0.90, 0.95}

// A Saving is what an event avoided, or why nothing can be said.
type Saving struct {
	Model            *Model  // that tells the days before best; nil where there is none
	Days             int     // after the event that count
	Outside          int     // days after it outside the temperatures that were seen often enough before, left out
	Coldest, Warmest float64 // bounds of the outdoor temperature of days that count, °C
	Rho              float64 // autocorrelation of what the lines leave over, from one day to the next
	Actual           float64
	Expected         float64 // of the same days, had nothing been done
	Avoided          [3]Interval
	U                float64 // standard uncertainty of what was avoided
	Why              string  // why it is not stated; empty where it is
}

// Rules of a statement.
const (
	leastBefore  = 28   // days before and
	leastAfter   = 14   // after an event: four weeks and two, so that every day of the week counts
	mostRelative = 0.50 // of the saving at 68 %: Guideline 14's own test of a saving
	leastBeyond  = 4    // days before that were colder, and warmer, than any day after that counts
	mostSilent   = 14   // days between the last complete day before an event and the event (engineering choice, no source): what it ended may have come in them
)

// Save works out what was avoided after an event on a day: the effect of the event, as the days
// before and after it tell it together, on the days after. Days with weather that was seldom
// seen before are left out, not extrapolated to. The standard uncertainty holds how well the
// days tell the effect, its way to come and the bends of both lines, with scatter that
// follows itself from day to day. Of the ways in which the fault may have come, most say nearly
// the same and few something else altogether: the estimate is the median of all, and intervals
// leave out as much of them below as above, wider by Student's factor with the degrees of
// freedom that the independent days are worth.
//
// A saving is stated when the model that tells the days before best meets the path's
// limits and the half width at 68 % is less than half of it (ASHRAE Guideline 14-2014,
// annex B); otherwise Why says what is missing, and the intervals are given for the
// reader to see how far it is from that.
func Save(on int, before, after []Observation, dayTypes bool, path Path) Saving {
	var s Saving
	if len(before) < leastBefore || len(after) < leastAfter {
		s.Why = fmt.Sprintf("%d complete days before and %d after: want %d and %d", len(before), len(after), leastBefore, leastAfter)
		return s
	}
	if silent := on - lastOf(before); silent > mostSilent {
		s.Why = fmt.Sprintf("no complete day in the %d days before it: what it ended may have come in them", silent-1)
		return s
	}
	m, err := Best(before, dayTypes)
	if err != nil {
		s.Why = err.Error()
		return s
	}
	s.Model = m
	s.Coldest, s.Warmest = rangeOf(before)
	var used []Observation
	for _, o := range after {
		if o.Temp < s.Coldest || o.Temp > s.Warmest {
			s.Outside++
			continue
		}
		used = append(used, o)
		s.Actual += o.Y
	}
	s.Days = len(used)
	if s.Days < leastAfter {
		s.Why = fmt.Sprintf("only %d days after it had weather as before: want %d", s.Days, leastAfter)
		return s
	}
	e, err := effectOf(on, before, after, dayTypes, m)
	if err != nil {
		s.Why = err.Error()
		return s
	}
	s.Rho = e.mixture.Rho
	total, u := e.avoided(used)
	s.U = u
	s.state(total, path)
	return s
}

// lastOf is the last of some days.
func lastOf(days []Observation) int {
	return slices.MaxFunc(days, func(a, b Observation) int { return a.Day - b.Day }).Day
}

// rangeOf is the range of outdoor temperature that was seen often enough: beyond each end
// lie leastBeyond days.
func rangeOf(days []Observation) (coldest, warmest float64) {
	temps := make([]float64, len(days))
	for i, o := range days {
		temps[i] = o.Temp
	}
	slices.Sort(temps)
	return temps[leastBeyond], temps[len(temps)-1-leastBeyond]
}

// state fills in the intervals and decides whether they are stated.
func (s *Saving) state(total robust.Total, path Path) {
	for i, level := range Levels {
		lo, avoided, hi := total.Interval(level)
		s.Avoided[i] = Interval{avoided, lo, hi}
	}
	half, avoided := (s.Avoided[0].Hi-s.Avoided[0].Lo)/2, s.Avoided[0].Value
	s.Expected = s.Actual + avoided
	switch why := path.Meets(s.Model); {
	case why != "":
		s.Why = "the model does not qualify: " + why
	case half >= mostRelative*math.Abs(avoided):
		s.Why = fmt.Sprintf("within noise: ± %.0f kWh at 68 %% is not less than half of %.0f kWh", half, math.Abs(avoided))
	}
}
