package steady

import (
	"slices"
	"time"

	"rimelog/analysis/cycle"
)

// Earlier is what a machine's earlier visits tell of how much it scatters at rest, in time
// order: for whom no logger stays there is no day before.
type Earlier []scattered

// A scattered is a visit with how much the judged quantities scatter about straight lines,
// window's length by window's length.
type scattered struct {
	end int64
	of  [judged][]float64
}

// learnedVisits is how many visits are looked back upon: enough for what a day must show
// (two of three quarters of an hour do), and not so many that a machine that was mended is
// judged by what it was. An engineering choice, no source.
const learnedVisits = 4

// Learn takes from samples what visits after them may know, in bounded memory. Derived
// columns must be filled in.
func Learn(c *cycle.Columns, zone *time.Location, o Options) Earlier {
	o.EnsureDefaults()
	if o.FixedLimits || c.Rows() == 0 {
		return nil
	}
	_, earlier := learn(c, staysIn(c, zone, o), o, newScratch())
	return earlier.last()
}

// HasVisits tells whether times of samples are of visits, and not only of days of a logger
// that stays.
func HasVisits(times []int64, o Options) bool {
	o.EnsureDefaults()
	return slices.ContainsFunc(stays(&cycle.Columns{Time: times}, o.VisitGap, nil), func(s Stay) bool { return !s.Day })
}

// And is what these and visits after them tell.
func (e Earlier) And(later Earlier) Earlier { return slices.Concat(e, later).last() }

func (e Earlier) last() Earlier { return e[max(0, len(e)-learnedVisits):] }

// until are the visits that ended before a time.
func (e Earlier) until(micros int64) Earlier {
	n, _ := slices.BinarySearchFunc(e, micros, func(v scattered, t int64) int { return int(max(-1, min(1, v.end-t))) })
	return e[:n]
}

// noise is what the last of them tell; nil where they tell too little.
func (e Earlier) noise() *noise {
	var all [judged][]float64
	for _, v := range e.last() {
		for k, x := range v.of {
			all[k] = append(all[k], x...)
		}
	}
	if len(all[0]) < fewestLearned {
		return nil
	}
	return noiseOf(&all)
}
