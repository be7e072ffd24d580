package steady

import (
	"math"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// A noise is how much the judged quantities of one machine scatter about a straight line
// over a window's length, in the units of their limits: what a permanent logger shows on one
// day is known on the next, what visits show at later ones. NaN where nothing is known.
type noise struct {
	usual [judged]float64 // in the middle of its windows
	calm  [judged]float64 // in the calmer half of them: their lower quartile
}

// What a day, or the visits before, must show, how many values of a window what it tells
// counts as beside the window's own, and by how much what is learned may narrow a limit of
// spread: to three times what calm windows scatter by, but no less than a quarter of the limit. (Calm is the
// lower quartile: of windows of five values the calmest tenth are so by chance; noise goes
// beyond three times it in one of eighty of these, and never in those of thirty.) It never
// widens a limit: a machine that swings by more oscillates, however usual that is for it.
// A run of a permanent log tells of about mostLearned lengths a day, evenly; a visit of all
// of its lengths. Engineering choices, no source.
const (
	fewestLearned = 12
	mostLearned   = 60
	learnedCounts = 10
	calm          = 0.25
	calmTimes     = 3.0
	mostNarrowed  = 0.25
)

// A diary is the noise of each day of a permanent log, by days of UTC since 1970. A day's
// windows are judged by the day before alone, so that they do not depend on how far back
// the log goes.
type diary map[int64]*noise

// dayOf is the day of a time, in microseconds.
func dayOf(micros int64) int64 { return micros / (24 * time.Hour).Microseconds() }

// learn keeps a diary over stretches of windows' length, one after the other from where the
// machine may be judged, whatever they are graded as: most of them are at rest. What visits
// show stands apart.
func learn(c *cycle.Columns, stays []Stay, o Options, memory *scratch) (diary, Earlier) {
	seen := map[int64]*[judged][]float64{}
	var visits Earlier
	for _, s := range stays {
		if o.FixedLimits {
			break
		}
		dt, visit := spacing(c.Time[s.from:s.to]), scattered{end: s.End}
		for _, r := range s.stretches(c, dt) {
			b := evenBins(c, r, dt, o, memory)
			if !s.Day {
				b.scatters(o, 1, &visit.of)
				continue
			}
			day := dayOf(c.Time[r.from])
			if seen[day] == nil {
				seen[day] = &[judged][]float64{}
			}
			b.scatters(o, max(1, int64(24*time.Hour/o.Window)/mostLearned), seen[day])
		}
		if !s.Day {
			visits = append(visits, visit)
		}
	}
	out := diary{}
	for day, scatters := range seen {
		if len(scatters[0]) >= fewestLearned {
			out[day] = noiseOf(scatters)
		}
	}
	return out, visits
}

// scatters adds how much the quantities scatter in lengths of a window, each so many lengths
// of a run.
func (b *bins) scatters(o Options, each int64, to *[judged][]float64) {
	length := o.Window.Microseconds()
	every := length * each
	limits := o.Limits.all()
	for from, end := b.c.Time[b.r.from], b.c.Time[b.r.to-1]+b.dt; from+length <= end; from += every {
		r := b.part(from, from+length)
		for k, l := range limits {
			x, _ := b.series(l.quantity, r)
			if len(x) < fewest {
				continue
			}
			of := lineOf(x)
			to[k] = append(to[k], of.scatter()/l.scale(of.mean))
		}
	}
}

// scale is what a limit is a share of; 1 where it is none.
func (l limit) scale(mean float64) float64 {
	if l.relative {
		return math.Abs(mean)
	}
	return 1
}

func noiseOf(scatters *[judged][]float64) *noise {
	n := &noise{}
	for k, x := range scatters {
		n.usual[k], n.calm[k] = math.NaN(), math.NaN()
		if len(x) >= fewestLearned {
			n.usual[k], _ = robust.Median(x)
			n.calm[k], _ = robust.Quantile(x, calm)
		}
	}
	return n
}

// spreadLimit is beyond which spread a quantity oscillates.
func (n *noise) spreadLimit(k int, l limit) float64 {
	if n == nil || math.IsNaN(n.calm[k]) {
		return l.Spread
	}
	return min(l.Spread, max(calmTimes*n.calm[k], mostNarrowed*l.Spread))
}

// pooled is the standard deviation about a line by a window's own values and what the day
// before tells, and how many degrees of freedom it has: variances weighed by theirs (the
// pooled estimate of JCGM 100:2008, H.5.2.5).
func (n *noise) pooled(k int, of line, scale float64) (sd float64, free int) {
	free = int(of.n) - 2
	if !n.knows(k) {
		return of.scatter(), free
	}
	before := n.usual[k] * scale
	all := free + learnedCounts
	return math.Sqrt((learnedCounts*before*before + of.left()) / float64(all)), all
}

// knows tells whether the noise of a quantity is known.
func (n *noise) knows(k int) bool { return n != nil && !math.IsNaN(n.usual[k]) }
