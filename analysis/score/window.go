package score

import (
	"slices"
	"time"

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
		for _, x := range s.files {
			if elsewhere(x) {
				continue
			}
			both, window, rest := s.overlap(x)
			precision.add(x.Path, both, window)
			recall.add(x.Path, both, rest)
		}
		bias = append(bias, s.bias()...)
	}
	return Windows{precision.share(), recall.share(), mean(bias)}
}

// elsewhere tells whether the samples of a log lie at other times or under another
// system than the true ones.
func elsewhere(f truth.File) bool {
	return slices.ContainsFunc(f.Mistakes, func(m truth.Mistake) bool { return m.ID == "D15" || m.ID == "D32" })
}

// overlap counts the samples of a log in windows, at rest, and both.
func (s *subject) overlap(f truth.File) (both, window, rest int) {
	from, _ := slices.BinarySearch(s.Samples, f.Start.UnixMicro())
	to, _ := slices.BinarySearch(s.Samples, f.End.UnixMicro()+1)
	var windows []truth.Stretch
	for _, w := range s.Windows {
		if full(w) && !w.Start.After(f.End) && !w.End.Before(f.Start) {
			windows = append(windows, truth.Stretch{From: w.Start, To: w.End})
		}
	}
	inWindow, atRest := within(windows), within(f.Steady)
	for _, t := range s.Samples[from:to] {
		w, r := inWindow(t), atRest(t)
		if w {
			window++
		}
		if r {
			rest++
		}
		if w && r {
			both++
		}
	}
	return both, window, rest
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
func full(w table.Window) bool { return w.Grade != "spot" && !w.Provisional }

// bias lists how far superheat in windows of unspoilt logs lies above the true one.
func (s *subject) bias() (list []float64) {
	for _, w := range s.Windows {
		f, ok := s.fileAt(w.Start)
		if full(w) && ok && usable(f) {
			list = append(list, w.Superheat-s.mean(suctionSuperheat, w.Start, w.End))
		}
	}
	return list
}

// A quantity is one of a true operating point.
type quantity func(truth.Point) float64

func suctionSuperheat(p truth.Point) float64 { return p.SuctionSuperheat }
func trueSubcooling(p truth.Point) float64   { return p.Subcooling }

// mean is the true value of a quantity between two times, from the operating points
// at five of them; absent where there are none.
func (s *subject) mean(of quantity, from, to time.Time) float64 {
	var sum float64
	const parts = 4
	for k := range parts + 1 {
		sum += s.at(of, from.Add(to.Sub(from)*time.Duration(k)/parts))
	}
	return sum / (parts + 1)
}

// farthest is how far apart two operating points may be that have something to say of
// the time between them.
const farthest = 25 * time.Minute

// at is the true value at a time, between the points before and after it.
func (s *subject) at(of quantity, t time.Time) float64 {
	i, hit := slices.BinarySearchFunc(s.Points, t, func(p truth.Point, t time.Time) int { return p.Time.Compare(t) })
	if hit {
		return of(s.Points[i])
	}
	if i == 0 || i == len(s.Points) || s.Points[i].Time.Sub(s.Points[i-1].Time) > farthest {
		return float64(absent)
	}
	a, b := s.Points[i-1], s.Points[i]
	w := float64(t.Sub(a.Time)) / float64(b.Time.Sub(a.Time))
	return of(a) + w*(of(b)-of(a))
}
