// Package robust is the statistics of small, dirty samples: a few visits, some
// of them odd.
//
//  1. Median, MAD and Qn say where values lie and how far they spread.
//  2. TheilSen fits a line through values over time, MannKendall and Kendall say
//     whether such a line could be noise.
//  3. LeastSquares and Huber fit a value against several others; Partial combines
//     all of these: the trend that is left when other influences are taken out.
//  4. Break finds a change after a baseline, every onset tried and paid for.
//  5. Mixed tells lines that may bend as far as a series tells; Pool weighs designs of
//     which any may hold.
//  6. Autocorrelation and Period look at the rhythm of an evenly sampled series.
//
// Gaps are NaN. Every function drops them first (whole rows, where it takes
// several slices) and says in its result how many values it used. Fewer than it
// needs is a *TooFewError; an infinite value is an error too. Slices given are
// never changed. Slices of different lengths are a caller's mistake and panic.
package robust

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// A TooFewError says that a statistic needs more values than there are.
type TooFewError struct {
	What string // the statistic
	Need int
	Have int // values that are not gaps
}

func (e *TooFewError) Error() string {
	return fmt.Sprintf("%s needs %d values, has %d", e.What, e.Need, e.Have)
}

// ErrInfinite is returned for a value that is infinite: a division by zero
// upstream, not a measurement.
var ErrInfinite = errors.New("robust: infinite value")

// ErrSingular is returned where the given values cannot tell two influences
// apart, or do not vary at all.
var ErrSingular = errors.New("robust: influences that cannot be told apart")

// rows returns copies of the columns with every row dropped that has a gap.
func rows(what string, need int, cols ...[]float64) ([][]float64, error) {
	out := make([][]float64, len(cols))
	n := len(cols[0])
	space := make([]float64, len(cols)*n)
	for k, c := range cols {
		if len(c) != n {
			panic("robust: slices of different lengths")
		}
		out[k] = space[k*n : k*n : (k+1)*n]
	}
	for i := range n {
		if gap(cols, i) {
			continue
		}
		for k, c := range cols {
			if math.IsInf(c[i], 0) {
				return nil, fmt.Errorf("%s: value %d: %w", what, i, ErrInfinite)
			}
			out[k] = append(out[k], c[i])
		}
	}
	if have := len(out[0]); have < need {
		return nil, &TooFewError{What: what, Need: need, Have: have}
	}
	return out, nil
}

// values is rows for one column, in the room of into as far as it goes.
func values(what string, need int, x, into []float64) ([]float64, error) {
	into = slices.Grow(into, len(x))
	if len(x) >= need && !gapped(x) {
		return append(into, x...), nil
	}
	for i, v := range x {
		switch {
		case math.IsNaN(v):
			continue
		case math.IsInf(v, 0):
			return nil, fmt.Errorf("%s: value %d: %w", what, i, ErrInfinite)
		}
		into = append(into, v)
	}
	if len(into) < need {
		return nil, &TooFewError{What: what, Need: need, Have: len(into)}
	}
	return into, nil
}

// wholeRows is rows for those who change nothing: where there is no gap they get what
// they gave.
func wholeRows(what string, need int, cols ...[]float64) ([][]float64, error) {
	if allWhole(need, cols) {
		return cols, nil
	}
	return rows(what, need, cols...)
}

// allWhole tells whether columns are of one length, long enough and without gaps.
func allWhole(need int, cols [][]float64) bool {
	for _, c := range cols {
		if len(c) != len(cols[0]) || len(c) < need || gapped(c) {
			return false
		}
	}
	return true
}

// gapped tells whether a column has a gap or is infinite somewhere.
func gapped(x []float64) bool {
	for _, v := range x {
		if v-v != 0 {
			return true
		}
	}
	return false
}

func gap(cols [][]float64, i int) bool {
	for _, c := range cols {
		if math.IsNaN(c[i]) {
			return true
		}
	}
	return false
}
