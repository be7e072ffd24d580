package robust

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Rank is a test of whether one quantity goes up with another, whatever the
// shape: the count of pairs that agree minus those that disagree.
type Rank struct {
	S   float64 // concordant minus discordant pairs
	Var float64 // variance of S if there were no association, ties counted
	Z   float64 // S, a step nearer to zero, over its standard deviation
	P   float64 // chance of so large an |S| if there were no association
	N   int     // values used
}

// MannKendall tests whether values in time order have a trend.
//
// Sources: Mann, Econometrica 13 (1945) 245; Kendall, Rank Correlation Methods
// (1975), ch. 4, for ties. P is exact for up to 30 values without ties, else
// from the normal distribution with continuity correction.
func MannKendall(y []float64) (Rank, error) {
	t := make([]float64, len(y))
	for i := range t {
		t[i] = float64(i)
	}
	return Kendall(t, y)
}

// Kendall tests whether y goes up or down with t. Ties in both are counted in
// the variance (Kendall 1975, eq. 4.3).
func Kendall(t, y []float64) (Rank, error) {
	c, err := rows("Kendall's test", 3, t, y)
	if err != nil {
		return Rank{}, err
	}
	return rank([]block{{c[0], c[1]}}), nil
}

// exactUpTo is the largest sample for which the exact distribution of S is used.
const exactUpTo = 30

// A block is a set of rows that may be compared with each other.
type block struct{ t, y []float64 }

// rank is the test over blocks.
func rank(blocks []block) Rank {
	r := count(blocks)
	r.P = r.chance(blocks)
	return r
}

// count sums S and its variance over blocks, as Hirsch, Slack & Smith (Water
// Resour. Res. 18 (1982) 107) do over seasons.
func count(blocks []block) Rank {
	var r Rank
	for _, b := range blocks {
		r.S += concordance(b.t, b.y)
		v, _ := varianceOfS(b.t, b.y)
		r.Var += v
		r.N += len(b.y)
	}
	if r.Var > 0 {
		r.Z = (r.S - sign(r.S)) / math.Sqrt(r.Var)
	}
	return r
}

// chance is the P of a count: exact where that is known.
func (r Rank) chance(blocks []block) float64 {
	if len(blocks) == 1 && r.N <= exactUpTo {
		if _, ties := varianceOfS(blocks[0].t, blocks[0].y); !ties {
			return exactP(r.N, int(math.Abs(r.S)))
		}
	}
	return twoSided(r.Z)
}

func concordance(t, y []float64) (s float64) {
	for j := range y {
		for i := range j {
			s += sign(t[j]-t[i]) * sign(y[j]-y[i])
		}
	}
	return s
}

func varianceOfS(t, y []float64) (v float64, ties bool) {
	n := float64(len(y))
	full := n * (n - 1) * (2*n + 5)
	t2, t3, tv := tieSums(t)
	u2, u3, uv := tieSums(y)
	v = (full - tv - uv) / 18
	if t2 > 0 && u2 > 0 {
		v += t2 * u2 / (2 * n * (n - 1))
		if n > 2 {
			v += t3 * u3 / (9 * n * (n - 1) * (n - 2))
		}
	}
	return v, t2 > 0 || u2 > 0
}

// tieSums returns Σk(k-1), Σk(k-1)(k-2) and Σk(k-1)(2k+5) over groups of equal values.
func tieSums(x []float64) (two, three, v float64) {
	s := append([]float64(nil), x...)
	sort.Float64s(s)
	for i := 0; i < len(s); {
		j := i
		for j < len(s) && s[j] == s[i] {
			j++
		}
		k := float64(j - i)
		two += k * (k - 1)
		three += k * (k - 1) * (k - 2)
		v += k * (k - 1) * (2*k + 5)
		i = j
	}
	return two, three, v
}

// exactP is the chance that |S| reaches s among all orders of n different
// values. The number of orders with a given count of discordant pairs follows
// the recursion of Kendall (1975), sec. 5.2.
func exactP(n, s int) float64 {
	if s == 0 {
		return 1
	}
	pairs := n * (n - 1) / 2
	share := []float64{1}
	for k := 2; k <= n; k++ {
		next := make([]float64, k*(k-1)/2+1)
		for i, p := range share {
			for d := range k {
				next[i+d] += p / float64(k)
			}
		}
		share = next
	}
	tail := 0.0
	for d := 0; pairs-2*d >= s; d++ {
		tail += share[d]
	}
	return min(1, 2*tail)
}

// twoSided is the chance of a standard normal value beyond ±|z|.
func twoSided(z float64) float64 {
	return 2 * distuv.UnitNormal.CDF(-math.Abs(z))
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}

// Inflation is the factor by which the variance of S grows because neighbours
// in a series resemble each other: n/n* of Hamed & Rao, J. Hydrol. 204 (1998)
// 182, from the ranks of the series less its Theil-Sen line. Lags beyond maxLag
// and lags within ±1.96/√n do not count; maxLag 0 means all lags. It corrects
// only in part (with a lag-1 correlation of 0.6 a test at 5 % still fires at
// about 15 %), so prefer values that are far apart. It is at least 0.1.
func Inflation(y []float64, maxLag int) (float64, error) {
	v, err := values("the correction for autocorrelation", 4, y, nil)
	if err != nil {
		return math.NaN(), err
	}
	n := len(v)
	if maxLag <= 0 || maxLag > n-1 {
		maxLag = n - 1
	}
	var room [fewPairs]float64
	slopes := pairSlopes([]block{{steps(n), v}}, room[:0])
	slope := medianOf(slopes)
	detrended := make([]float64, n)
	for i := range v {
		detrended[i] = v[i] - slope*float64(i)
	}
	rho, err := Autocorrelation(ranks(detrended), maxLag)
	if err != nil {
		return 1, nil // all ranks alike: nothing to correct
	}
	return max(0.1, inflation(rho, n)), nil
}

func inflation(rho []float64, n int) float64 {
	limit := 1.96 / math.Sqrt(float64(n))
	sum := 0.0
	for k := 1; k < len(rho); k++ {
		if math.Abs(rho[k]) > limit {
			sum += float64(n-k) * float64(n-k-1) * float64(n-k-2) * rho[k]
		}
	}
	return 1 + 2*sum/(float64(n)*float64(n-1)*float64(n-2))
}

func steps(n int) []float64 {
	t := make([]float64, n)
	for i := range t {
		t[i] = float64(i)
	}
	return t
}

// Order lists the places of values from the least to the greatest; equal values stay in
// their order.
func Order(x []float64) []int {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	return order
}

// ranks returns each value's rank from 1; equal values share their mean rank.
func ranks(x []float64) []float64 {
	order := Order(x)
	r := make([]float64, len(x))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && x[order[j]] == x[order[i]] {
			j++
		}
		for _, k := range order[i:j] {
			r[k] = float64(i+j+1) / 2
		}
		i = j
	}
	return r
}
