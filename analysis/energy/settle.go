package energy

import (
	"errors"
	"math"
	"time"

	"rimelog/analysis/robust"
)

// What follows a start slowly is the discharge gas: it warms the compressor's shell
// first, for a quarter of an hour and more. A COP by the refrigerant's states from a
// gas that is still too cold would be far too good. The shell is taken for a store
// of heat of first order: the gas will settle at what it is now, plus its slope times
// the shell's time constant, which the log's own starts tell.

// Rules of settling.
const (
	blockTime    = time.Minute     // the discharge temperature is averaged to
	afterStart   = 4 * time.Minute // pressures have settled by then
	leastRun     = 8 * time.Minute // of which the time constant is told
	leastRuns    = 5
	lagShare     = 0.04        // standard uncertainty of what is added, as a share: a shell is a store of first order nearly, and starts tell its time constant to 1 %
	mostAdded    = 40.0        // K; a gas that has further to go says nothing. Runs of some minutes have 30 K to go: without them a season would be that of the long runs, of another load
	stillSlope   = 0.1 / 60    // K/s; with an unknown time constant a faster gas says nothing: with 7 min it would have 0.7 K to go
	longestShell = 2 * 60 * 60 // s
)

var errUnsettled = errors.New("the discharge gas is still warming after a start")

// shellTime is the time constant of the discharge temperature after starts, s: the
// median over runs of that by which its slope falls as it nears its end. NaN where
// fewer than leastRuns say so.
func (l *Log) shellTime(running []bool) float64 {
	hot := l.columns[dischargeColumn]
	if hot == nil || running == nil {
		return math.NaN()
	}
	var taus []float64
	gap := gapOf(l.Time)
	for i := 0; i < len(running); i++ {
		if !running[i] {
			continue
		}
		from := i
		for i+1 < len(running) && running[i+1] && l.Time[i+1]-l.Time[i] <= gap {
			i++
		}
		if from > 0 && l.Time[i]-l.Time[from] >= leastRun.Microseconds() {
			if tau := l.runTime(hot, from, i+1); tau > 0 && tau < longestShell {
				taus = append(taus, tau)
			}
		}
	}
	if len(taus) < leastRuns {
		return math.NaN()
	}
	return median(taus)
}

// mostRun is how much of a run tells the time constant: later it follows the weather.
const mostRun = 40 * time.Minute

// runTime fits dT/dt = (end - T)/τ to the blocks of one run; NaN where T falls or
// hardly rises.
func (l *Log) runTime(hot []float64, from, to int) float64 {
	start := l.Time[from] + afterStart.Microseconds()
	end := min(l.Time[to-1], l.Time[from]+mostRun.Microseconds())
	mid, at := l.blocks(hot, start, end)
	const leastBlocks, leastRise = 3, 2.0
	if len(mid) < leastBlocks || !(mid[len(mid)-1]-mid[0] > leastRise) {
		return math.NaN()
	}
	level, rate := make([]float64, len(mid)-1), make([]float64, len(mid)-1)
	for k := range level {
		level[k], rate[k] = (mid[k+1]+mid[k])/2, (mid[k+1]-mid[k])/(at[k+1]-at[k])
	}
	_, slope, err := robust.Straight(level, rate)
	step := (at[len(at)-1] - at[0]) / float64(len(at)-1)
	if err != nil || !(slope < 0 && -slope*step/2 < 1) {
		return math.NaN()
	}
	return step / 2 / math.Atanh(-slope*step/2) // of an exponential, from differences a step long
}

// blocks are the means of a reading and of its times, s, minute by minute; minutes without
// a sample are left out.
func (l *Log) blocks(x []float64, start, end int64) (means, at []float64) {
	i, _ := l.Rows(start, end)
	for from, j := start, i; from <= end; from, i = from+blockTime.Microseconds(), j {
		for to := min(end, from+blockTime.Microseconds()-1); j < len(l.Time) && l.Time[j] <= to; j++ {
		}
		if i == j {
			continue
		}
		middle := 0.0
		for _, t := range l.Time[i:j] {
			middle += float64(t-start) / 1e6 / float64(j-i)
		}
		means, at = append(means, mean(x[i:j])), append(at, middle)
	}
	return means, at
}

// slope is how fast a reading rises from row i up to, not including, j, per second; of one
// sample nobody knows.
func (l *Log) slope(x []float64, i, j int) float64 {
	if x == nil || j-i < 2 {
		return math.NaN()
	}
	t := make([]float64, j-i)
	for k := range t {
		t[k] = float64(l.Time[i+k]-l.Time[i]) / 1e6
	}
	if j-i == 2 {
		return (x[i+1] - x[i]) / t[1]
	}
	_, slope, _ := robust.Straight(t, x[i:j])
	return slope
}

// toGo is how much further than its mean from row i up to, not including, j a reading goes
// that nears its end with a time constant, K: by the exponential, whose mean and slope in a
// long window are not those of its middle.
func (l *Log) toGo(x []float64, tau float64, i, j int) float64 {
	if x == nil || j-i < 2 || !finite(tau) {
		return math.NaN()
	}
	left := make([]float64, j-i)
	for k := range left {
		left[k] = math.Exp(-float64(l.Time[i+k]-l.Time[i]) / 1e6 / tau)
	}
	if j-i == 2 {
		return (x[i+1] - x[i]) / (1 - left[1]) * mean(left)
	}
	_, slope, err := robust.Straight(left, x[i:j])
	if err != nil {
		return math.NaN()
	}
	return -slope * mean(left)
}

// settle lets the discharge gas settle, by its slope and how far it has to go, which is
// unknown where the time constant is. It returns what was added, K. A gas whose slope nobody
// knows may still be warming.
func (s *State) settle(slope, toGo float64) (added float64, err error) {
	switch {
	case !finite(s.DischargeTemp):
		return 0, nil
	case !finite(slope), !finite(toGo) && math.Abs(slope) > stillSlope:
		return 0, errUnsettled
	case !finite(toGo):
		return 0, nil
	case math.Abs(toGo) > mostAdded:
		return 0, errUnsettled
	}
	s.DischargeTemp += toGo
	return toGo, nil
}
