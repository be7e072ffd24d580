package trust

import (
	"fmt"
	"math"
	"slices"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// segmentGap parts the samples that Screen looks at together, microseconds.
const segmentGap = 3600e6

// Screen takes out of samples what no sensor measured of the machine: the minutes
// before hoses were connected and after they came off, codes that stand for errors,
// channels that stick, and what probes show that fell off. It returns what it took
// out, with spans. Derived columns are not there yet.
func Screen(c *cycle.Columns, site Site) (found []Doubt) {
	for from, i := 0, 1; i <= c.Rows(); i++ {
		if i < c.Rows() && float64(c.Time[i]-c.Time[i-1]) <= segmentGap {
			continue
		}
		s := segment{c, from, i}
		found = append(found, s.open(site)...)
		found = append(found, s.codes()...)
		found = append(found, s.fallen()...)
		found = append(found, s.stuck()...)
		from = i
	}
	return found
}

// A segment is a stretch of samples without a long gap.
type segment struct {
	c        *cycle.Columns
	from, to int
}

func (s segment) values(q cycle.Quantity) []float64 {
	if !s.c.Has(q) {
		return nil
	}
	return s.c.Values[q][s.from:s.to]
}

// step is the usual distance of samples, s.
func (s segment) step() float64 {
	if s.to-s.from < 2 {
		return 0
	}
	return float64(s.c.Time[s.to-1]-s.c.Time[s.from]) / 1e6 / float64(s.to-s.from-1)
}

// errorCodes are what sensors and loggers print for an error: an open or shorted
// input, a counter at its end, the value a digital sensor holds before its first
// conversion. Common practice, no source.
var errorCodes = [...]float64{-127, 85, 999.9, 999, 3276.7, 6553.5, -273.15, -273.1, -40, -50, -200, 850}

// besideOthers is how far an error code is from the values around it, K.
const besideOthers = 12.0

// codes takes error codes out of temperatures.
func (s segment) codes() (found []Doubt) {
	for _, q := range temperatures {
		v := s.values(q)
		if !slices.ContainsFunc(v, isCode) {
			continue
		}
		usual, err := robust.Median(v)
		if err != nil {
			continue
		}
		n, first, last, code := 0, 0, 0, 0.0
		for i, x := range v {
			if isCode(x) && math.Abs(x-usual) > besideOthers && s.jumps(v, i) && !natural(v, x) {
				if n == 0 {
					first, code = i, x
				}
				n, last = n+1, i
			}
		}
		if n == 0 || 2*n > len(v) {
			continue
		}
		for i := first; i <= last; i++ {
			if isCode(v[i]) {
				v[i] = math.NaN()
			}
		}
		found = append(found, Doubt{
			Rule: "D13", Channels: about(q), From: s.c.Time[s.from+first], To: s.c.Time[s.from+last],
			Evidence: fmt.Sprintf("%g stands %d times in %s, far from %.1f °C before and after: a code, not a temperature; taken out", code, n, ChannelOf(q), usual),
			Remedy:   "check the probe, its plug and its battery",
		})
	}
	return found
}

// besideCode is within what other values than a code show that the channel gets there by
// itself: hot gas has 85 °C, and a probe in the cold -40 °C, without any error.
const besideCode = 8.0 // K

func natural(v []float64, code float64) bool {
	return slices.ContainsFunc(v, func(x float64) bool { d := math.Abs(x - code); return d > 0.06 && d < besideCode })
}

func isCode(x float64) bool {
	if x > -39 && x < 84 { // no code lies there: most values leave here
		return false
	}
	return slices.ContainsFunc(errorCodes[:], func(code float64) bool { return math.Abs(x-code) < 0.06 })
}

// jumps tells whether the nearest values on both sides that are no codes are far off.
func (s segment) jumps(v []float64, i int) bool {
	for _, way := range []int{-1, 1} {
		k := i
		for k >= 0 && k < len(v) && (v[k] != v[k] || isCode(v[k])) {
			k += way
		}
		if k >= 0 && k < len(v) && math.Abs(v[k]-v[i]) < besideOthers {
			return false
		}
	}
	return true
}

// A probe that fell off: the step of a clamped probe's temperature, the time it takes,
// and what the medians on either side are taken over. Source: more than 5 K within two
// samples, common practice, no source; less where the channel is quiet otherwise, as the
// liquid is while the high pressure stays.
const (
	leastStep  = 4.0   // K
	leastQuiet = 3.0   // K, of the liquid
	quietTimes = 5.0   // of the channel's noise
	stepTime   = 60.0  // s
	besideStep = 180.0 // s
	samePress  = 0.08  // of each pressure
	leastSmall = 2.0   // K, where the pressures have not moved at all
	pressSmall = 0.015 // of each pressure
)

// clamped are the probes on pipes.
var clamped = [...]cycle.Quantity{cycle.SuctionTemp, cycle.LiquidTemp, cycle.DischargeTemp, cycle.OutletTemp}

// fallen takes out what a probe shows after it fell off.
func (s segment) fallen() (found []Doubt) {
	dt := s.step()
	if dt <= 0 || dt > stepTime {
		return nil
	}
	beside, within := int(besideStep/dt), max(1, int(stepTime/dt))
	if beside < 3 {
		return nil
	}
	for _, q := range clamped {
		v := s.values(q)
		at, before, after := largestStep(v, beside, within)
		if (q == cycle.SuctionTemp || q == cycle.OutletTemp) && after < before || q == cycle.DischargeTemp && after > before {
			continue // not toward the air
		}
		step, least, press := math.Abs(after-before), leastStep, samePress
		if q == cycle.LiquidTemp {
			least = leastQuiet
		}
		if step < least {
			least, press = leastSmall, pressSmall
		}
		if step < least || !s.runsOn(at, beside, within, press) || !alone(v, at, beside, within, after-before) {
			continue
		}
		found = append(found, Doubt{
			Rule: "D11", Channels: about(q), From: s.c.Time[s.from+at], To: s.c.Time[s.to-1],
			Evidence: fmt.Sprintf("%s goes from %.1f to %.1f °C within a minute and stays, while the pressures do not move; taken out from there on", ChannelOf(q), before, after),
			Remedy:   "fasten the probe again and log again; the visit is used up to the step",
		})
		for i := at; i < len(v); i++ {
			v[i] = math.NaN()
		}
	}
	return found
}

// largestStep finds where medians of the values before and after differ most.
func largestStep(v []float64, beside, within int) (at int, before, after float64) {
	for i := beside; i+within+beside <= len(v); i++ {
		raw := math.Abs(v[i+within] - v[i-1])
		if !(raw >= leastSmall*0.7) {
			continue
		}
		for i+within+beside < len(v) && math.Abs(v[i+within+1]-v[i]) > raw { // up to the steepest place
			i++
			raw = math.Abs(v[i+within] - v[i-1])
		}
		a, errA := robust.Median(v[i-beside : i])
		b, errB := robust.Median(v[i+within : i+within+beside])
		if errA == nil && errB == nil && math.Abs(b-a) > math.Abs(after-before) {
			at, before, after = i, a, b
		}
		i += within
	}
	return at, before, after
}

// alone tells whether a step stands out of what the channel does otherwise, and
// whether what follows stays on its side.
func alone(v []float64, at, beside, within int, step float64) bool {
	noise := func(x []float64) float64 {
		_, spread, err := robust.MAD(x)
		if err != nil {
			return math.Inf(1)
		}
		return spread
	}
	rest := v[at+within:]
	level, errL := robust.Median(rest)
	first, errF := robust.Median(rest[:min(beside, len(rest))])
	if errL != nil || errF != nil || math.Abs(level-first) > 0.5*math.Abs(step) {
		return false
	}
	return math.Abs(step) > quietTimes*math.Max(noise(v[at-beside:at]), noise(rest[:min(beside, len(rest))]))
}

// runsOn tells whether the machine ran on unmoved through a step: both pressures, and
// power or current.
func (s segment) runsOn(at, beside, within int, press float64) bool {
	ratio := 1.0
	for _, q := range []cycle.Quantity{cycle.SuctionPressure, cycle.DischargePressure, cycle.Power, cycle.Current} {
		v := s.values(q)
		if v == nil {
			continue
		}
		a, errA := robust.Median(v[at-beside : at])
		b, errB := robust.Median(v[min(at+within, len(v)-1):min(at+within+beside, len(v))])
		if errA != nil || errB != nil || math.Abs(b-a) > press*math.Abs(a) {
			return false
		}
		switch q {
		case cycle.SuctionPressure:
			ratio /= b
		case cycle.DischargePressure:
			ratio *= b
		}
	}
	return ratio > 1.2 || ratio < 1/1.2 || s.values(cycle.DischargePressure) == nil || s.values(cycle.SuctionPressure) == nil
}

// A channel that sticks: how long at least, and how unlikely it must be for one that
// changes from sample to sample as often as it did.
// One that comes to life again must have stood longer: slow temperatures stand still for
// some minutes by themselves.
const (
	leastStuck = 300.0 // s
	leastAgain = 600.0 // s
	unlikely   = 16.0  // -ln of the chance
)

// stuck takes out values of channels that stand still to the last digit.
func (s segment) stuck() (found []Doubt) {
	dt := s.step()
	for q := cycle.Quantity(0); q.Column() != ""; q++ {
		v := s.values(q)
		if v == nil || q == cycle.Speed || q == cycle.SinkFlow || dt <= 0 {
			continue
		}
		from, n := longestRun(v)
		if 3*max(otherRun(v, from, n), 2) > n {
			continue
		}
		share := changes(v, from, n)
		if float64(n)*dt < leastStuck || from+n < len(v)-2 && float64(n)*dt < leastAgain || n < fewest || v[from] == 0 || share < leastChange(q) || -float64(n-1)*math.Log(1-math.Min(share, 0.95)) < unlikely || !s.othersMove(q, from, n) {
			continue
		}
		found = append(found, Doubt{
			Rule: "D12", Channels: about(q), From: s.c.Time[s.from+from], To: s.c.Time[s.from+from+n-1],
			Evidence: fmt.Sprintf("%s stands at %g for %.0f minutes, though it changed in %.0f %% of the samples before; taken out", ChannelOf(q), v[from], float64(n)*dt/60, 100*share),
			Remedy:   "check the probe and the logger's input",
		})
		for i := from; i < from+n; i++ {
			v[i] = math.NaN()
		}
	}
	return found
}

// leastChange is in what share of samples a channel must change for a standstill to say
// something: power in steps of the meter stands still by itself.
func leastChange(q cycle.Quantity) float64 {
	if q == cycle.Power || q == cycle.Current {
		return 0.7
	}
	return 0.2
}

// longestRun is the longest run of equal values, the first of several. A longer one than is
// known must reach that far from where it begins: values are looked at from there back, and
// most of a series that changes never are.
func longestRun(v []float64) (from, n int) {
	for start := 0; start+n < len(v); {
		far := start + n
		if v[far] != v[far] {
			start = far + 1
			continue
		}
		begins := far
		for begins > start && v[begins-1] == v[far] {
			begins--
		}
		if begins > start {
			start = begins
			continue
		}
		end := far + 1
		for end < len(v) && v[end] == v[far] {
			end++
		}
		from, n, start = start, end-start, end
	}
	return from, n
}

// otherRun is the longest run of equal values outside a run.
func otherRun(v []float64, from, n int) int {
	_, before := longestRun(v[:from])
	_, after := longestRun(v[from+n:])
	return max(before, after)
}

// changes is the share of samples outside a run that differ from the one before.
func changes(v []float64, from, n int) float64 {
	changed, all := 0, 0
	for i := 1; i < len(v); i++ {
		if i >= from && i < from+n || v[i] != v[i] || v[i-1] != v[i-1] {
			continue
		}
		all++
		if v[i] != v[i-1] {
			changed++
		}
	}
	if all < 2*fewest {
		return 0
	}
	return float64(changed) / float64(all)
}

// othersMove tells whether another channel changes during a run.
func (s segment) othersMove(not cycle.Quantity, from, n int) bool {
	for q := cycle.Quantity(0); q.Column() != ""; q++ {
		if v := s.values(q); q != not && v != nil {
			if _, run := longestRun(v[from : from+n]); 2*run < n && v[from] == v[from] {
				return true
			}
		}
	}
	return false
}
