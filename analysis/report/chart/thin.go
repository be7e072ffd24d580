package chart

import "math"

// A Trace is a channel as it was logged. Times (milliseconds) never fall; a value
// that is not a number is a gap.
type Trace struct {
	Times  []int64
	Values []float64
}

// Thin returns at most about limit points of a trace: of each of even buckets of
// time the lowest and the highest point, in their order in time, and the first
// and last point of every stretch without a gap. So no spike is lost and no gap is
// bridged: between two stretches stands a point that is not a number.
func (t Trace) Thin(limit int) Trace {
	parts := segments(t.Times, func(i int) bool { return !math.IsNaN(t.Values[i]) && !math.IsInf(t.Values[i], 0) })
	total := 0
	for _, p := range parts {
		total += p[1] - p[0]
	}
	var out Trace
	for k, p := range parts {
		if k > 0 {
			out.add(t.Times[p[0]-1]+(t.Times[p[0]]-t.Times[p[0]-1])/2, math.NaN())
		}
		n := p[1] - p[0]
		out.thin(Trace{t.Times[p[0]:p[1]], t.Values[p[0]:p[1]]}, max(4, int(float64(limit)*float64(n)/float64(total))))
	}
	return out
}

func (t *Trace) add(time int64, value float64) {
	t.Times = append(t.Times, time)
	t.Values = append(t.Values, value)
}

// thin appends a stretch without gaps, thinned to about limit points.
func (t *Trace) thin(part Trace, limit int) {
	n := len(part.Times)
	if n <= limit {
		t.Times = append(t.Times, part.Times...)
		t.Values = append(t.Values, part.Values...)
		return
	}
	t.add(part.Times[0], part.Values[0])
	buckets := max(1, (limit-2)/2)
	first, last := part.Times[0], part.Times[n-1]
	for i := 1; i < n-1; {
		b := bucket(part.Times[i], first, last, buckets)
		lo, hi := i, i
		for ; i < n-1 && bucket(part.Times[i], first, last, buckets) == b; i++ {
			if part.Values[i] < part.Values[lo] {
				lo = i
			}
			if part.Values[i] > part.Values[hi] {
				hi = i
			}
		}
		t.add(part.Times[min(lo, hi)], part.Values[min(lo, hi)])
		if lo != hi {
			t.add(part.Times[max(lo, hi)], part.Values[max(lo, hi)])
		}
	}
	t.add(part.Times[n-1], part.Values[n-1])
}

func bucket(t, first, last int64, buckets int) int {
	if last == first {
		return 0
	}
	return min(buckets-1, int(float64(t-first)/float64(last-first)*float64(buckets)))
}
