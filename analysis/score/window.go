package score

import (
	"math"
	"slices"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// Windows is how well windows meet the stretches in which systems ran as at rest.
type Windows struct {
	Precision Share  `json:"precision"` // of the samples in windows, those truly at rest
	Recall    Share  `json:"recall"`    // of the samples truly at rest, those in windows
	BiasK     Number `json:"bias_k"`    // mean of superheat in windows above the true one, K
}

func (f fleet) windows() Windows {
	var precision, recall tally
	var bias []float64
	for _, s := range f.subjects {
		for _, x := range s.overlaps {
			precision.add(x.log, x.both, x.window)
			recall.add(x.log, x.both, x.rest)
		}
		bias = append(bias, s.bias...)
	}
	return Windows{precision.share(), recall.share(), mean(bias)}
}

// elsewhere tells whether the samples of a log lie at other times or under another
// system than the true ones.
func elsewhere(f truth.File) bool {
	return slices.ContainsFunc(f.Mistakes, func(m truth.Mistake) bool { return m.ID == "D15" || m.ID == "D32" })
}

// An overlap counts the samples of a log in windows, at rest, and both.
type overlap struct {
	log                string
	both, window, rest int
}

func (v view) overlap(f truth.File) overlap {
	n := overlap{log: f.Path}
	from, _ := slices.BinarySearch(v.Samples, f.Start.UnixMicro())
	to, _ := slices.BinarySearch(v.Samples, f.End.UnixMicro()+1)
	var windows []truth.Stretch
	for _, w := range v.Windows {
		if full(w) && !w.Start.After(f.End) && !w.End.Before(f.Start) {
			windows = append(windows, truth.Stretch{From: w.Start, To: w.End})
		}
	}
	inWindow, atRest := within(windows), within(f.Steady)
	for _, t := range v.Samples[from:to] {
		w, r := inWindow(t), atRest(t)
		if w {
			n.window++
		}
		if r {
			n.rest++
		}
		if w && r {
			n.both++
		}
	}
	return n
}

// within tells of times, in microseconds and in order, whether they lie in one of the
// stretches, ends included.
func within(stretches []truth.Stretch) func(int64) bool {
	sorted := slices.Clone(stretches)
	slices.SortFunc(sorted, func(a, b truth.Stretch) int { return a.From.Compare(b.From) })
	return func(t int64) bool {
		for len(sorted) > 0 && sorted[0].To.UnixMicro() < t {
			sorted = sorted[1:]
		}
		return len(sorted) > 0 && sorted[0].From.UnixMicro() <= t
	}
}

// full tells whether a window may be judged.
func full(w table.Window) bool {
	return w.Grade != table.GradeSpot && w.Grade != table.GradeSingles && !w.Provisional
}

// bias lists how far superheat in windows of unspoilt logs lies above the true one, where the
// analysis states it: of a visit in doubt it hides superheat and uses no window.
func (v view) bias() (list []float64) {
	hidden := within(v.inDoubt())
	for _, w := range v.Windows {
		f, ok := v.fileAt(w.Start)
		if full(w) && ok && usable(f) && !hidden(w.Start.UnixMicro()) {
			list = append(list, w.Superheat-v.mean(suctionSuperheat, w.Start, w.End))
		}
	}
	return list
}

// inDoubt are the visits of which the analysis hides superheat.
func (v view) inDoubt() (list []truth.Stretch) {
	for _, visit := range v.Visits {
		if visit.Doubt != "" && math.IsNaN(visit.Superheat) {
			list = append(list, truth.Stretch{From: visit.Start, To: visit.End})
		}
	}
	return list
}
