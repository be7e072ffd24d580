package robust

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Line is a fitted straight line y = Intercept + Slope·t with an interval of
// its slope.
type Line struct {
	Slope     float64
	Lo, Hi    float64 // interval of the slope at the confidence asked for
	Intercept float64 // median of y less Slope times median of t
	N         int     // values used
}

// TheilSen fits a line whose slope is the median of the slopes between all pairs
// of points at different t. More than a quarter of the points may be wild
// without moving it far. confidence lies between 0 and 1, e.g. 0.95.
//
// The interval takes the ordered pair slopes at ranks (N ∓ C)/2, with C the
// normal quantile times the standard deviation of Kendall's S, ties counted.
// Sources: Theil, Proc. Kon. Ned. Akad. Wet. A 53 (1950) 386; Sen, J. Am. Stat.
// Assoc. 63 (1968) 1379. Memory and time grow with the square of the number of
// points.
func TheilSen(t, y []float64, confidence float64) (Line, error) {
	c, err := rows("a Theil-Sen line", 2, t, y)
	if err != nil {
		return Line{}, err
	}
	return theilSen([]block{{c[0], c[1]}}, confidence)
}

func theilSen(blocks []block, confidence float64) (Line, error) {
	variance := 0.0
	for _, b := range blocks {
		v, _ := varianceOfS(b.t, b.y)
		variance += v
	}
	return lineThrough(blocks, variance, confidence)
}

// lineThrough is such a line where the variance of S is known.
func lineThrough(blocks []block, variance, confidence float64) (Line, error) {
	var room [fewPairs]float64
	slopes := pairSlopes(blocks, room[:0])
	if len(slopes) == 0 {
		return Line{}, ErrSingular
	}
	t, y := joined(blocks)
	l := Line{Slope: medianOf(slopes), N: len(t)}
	l.Lo, l.Hi = slopeInterval(slopes, variance, confidence)
	l.Intercept = medianOf(y) - l.Slope*medianOf(t)
	return l, nil
}

// fewPairs is how many pairs are gone through without asking for memory: those of 40 values.
const fewPairs = 40 * 39 / 2

// pairSlopes are the slopes between all pairs, in the room of into as far as it goes.
func pairSlopes(blocks []block, into []float64) []float64 {
	most := 0
	for _, b := range blocks {
		most += len(b.t) * (len(b.t) - 1) / 2
	}
	slopes := slices.Grow(into, most)
	for _, b := range blocks {
		for j := range b.t {
			for i := range j {
				if dt := b.t[j] - b.t[i]; dt != 0 {
					slopes = append(slopes, (b.y[j]-b.y[i])/dt)
				}
			}
		}
	}
	return slopes
}

func slopeInterval(slopes []float64, variance, confidence float64) (lo, hi float64) {
	z := distuv.UnitNormal.Quantile((1 + confidence) / 2)
	half := z * math.Sqrt(max(variance, 0))
	n := float64(len(slopes))
	lower := int(math.RoundToEven((n-half)/2)) - 1
	upper := int(math.RoundToEven((n + half) / 2))
	lo, hi = math.Inf(-1), math.Inf(1)
	if lower >= 0 {
		lo = nth(slopes, lower)
	}
	if upper < len(slopes) {
		hi = nth(slopes, upper)
	}
	return lo, hi
}

func joined(blocks []block) (t, y []float64) {
	n := 0
	for _, b := range blocks {
		n += len(b.t)
	}
	space := make([]float64, 2*n)
	t, y = space[:0:n], space[n:n]
	for _, b := range blocks {
		t = append(t, b.t...)
		y = append(y, b.y...)
	}
	return t, y
}
