package robust

import (
	"math"
	"slices"
)

// A Sorted is a sample in order, whose quantiles are asked for again and again while single
// values come and go: each costs a search, where sorting or selecting anew would cost the
// more, the longer the sample grew. Gaps (NaN) are left out. The zero Sorted is empty.
type Sorted struct{ x []float64 }

// Len is how many values there are.
func (s *Sorted) Len() int { return len(s.x) }

// Add takes a value in.
func (s *Sorted) Add(v float64) {
	if math.IsNaN(v) {
		return
	}
	at, _ := slices.BinarySearch(s.x, v)
	s.x = slices.Insert(s.x, at, v)
}

// Remove takes a value out again, once.
func (s *Sorted) Remove(v float64) {
	if at, there := slices.BinarySearch(s.x, v); there {
		s.x = slices.Delete(s.x, at, at+1)
	}
}

// Median is that of the values, as the function gives it; NaN where there are none.
func (s *Sorted) Median() float64 {
	if len(s.x) == 0 {
		return math.NaN()
	}
	return middle(s.x)
}

// Quantile is the value below which the share p (0..1) of the values lies, as the function
// gives it; NaN where there are none.
func (s *Sorted) Quantile(p float64) float64 {
	if len(s.x) == 0 {
		return math.NaN()
	}
	rank := min(max(p, 0), 1) * float64(len(s.x))
	above := max(int(math.Ceil(rank))-1, 0)
	if above == 0 {
		return s.x[0]
	}
	share := float64(above+1) - rank
	return share*s.x[above-1] + (1-share)*s.x[above]
}
