package robust

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"
)

// summary averages what the trials say.
func (c *course) summary(tries []trial, best trial, confidence float64) Break {
	x := best.best
	b := Break{Before: x.at, After: len(x.proj.rows) - x.at, Reference: slices.Clone(c.reference)}
	fit := c.fit(x)
	b.Influence, b.Noise = fit.influence, math.Sqrt(x.rest/float64(x.free()))
	inflation := c.inflation(fit.left)
	for _, t := range tries {
		b.P += t.weight * chanceOfBest(t, inflation)
	}
	b.P = math.Min(1, b.P)
	all := c.average(tries, inflation)
	half := Student(confidence, x.free())
	b.Sudden = all.sudden > 0.5
	b.Size, b.Lo, b.Hi = all.size.interval(half)
	rate := all.rate
	if b.Sudden {
		rate = c.rateAfter(x, inflation)
	}
	b.PerTime, b.RateLo, b.RateHi = rate.interval(half)
	b.Onset = all.onset()
	b.Level = fit.constant + b.Size
	b.Lasting = fit.lasting
	return b
}

// belief is how much of the chance of a false alarm each shape may use: what this is
// for goes on at an even rate, mostly.
var belief = [shapes]float64{ramp: 0.75, step: 0.25}

// chanceOfBest is the chance, in noise, of correlations as large as the best of a
// trial, either way: of the shape that is least likely, for the share it may use.
func chanceOfBest(t trial, inflation float64) float64 {
	least := 1.0
	for s := range shapes {
		if best, ok := bestOf(t.candidates, s); ok {
			least = math.Min(least, chanceOfShape(t.candidates, best, inflation)/belief[s])
		}
	}
	return least
}

func bestOf(found []candidate, s shape) (best candidate, ok bool) {
	for _, x := range found {
		if x.shape == s && (!ok || x.evidence > best.evidence) {
			best, ok = x, true
		}
	}
	return best, ok
}

func chanceOfShape(found []candidate, best candidate, inflation float64) float64 {
	free := best.free()
	stat := best.t(inflation)
	r2 := stat * stat / (stat*stat + float64(free))
	return curveLength(found, best.shape)/math.Pi*math.Pow(1-r2, float64(free-1)/2) + studentChance(stat, free)
}

// curveLength is the sum of angles between neighbouring candidates of a shape.
func curveLength(found []candidate, s shape) (length float64) {
	var last *candidate
	for i := range found {
		x := &found[i]
		if x.shape != s {
			continue
		}
		if last != nil {
			length += math.Acos(math.Max(-1, math.Min(1, last.along(x))))
		}
		last = x
	}
	return length
}

// along is the correlation of two changes over the rows that they share.
func (c *candidate) along(x *candidate) (sum float64) {
	if c.proj == x.proj {
		return dot(c.unit, x.unit)
	}
	k := 0
	for j, row := range x.proj.rows {
		for k < len(c.unit) && c.proj.rows[k] < row {
			k++
		}
		if k < len(c.unit) && c.proj.rows[k] == row {
			sum += c.unit[k] * x.unit[j]
		}
	}
	return sum
}

// A mean is a weighted mean with its variance.
type mean struct{ weight, sum, squares float64 }

func (m *mean) add(weight, value, se float64) {
	m.weight += weight
	m.sum += weight * value
	m.squares += weight * (value*value + se*se)
}

// interval is the mean and its ends at so many standard deviations.
func (m mean) interval(factor float64) (value, lo, hi float64) {
	if m.weight == 0 {
		return math.NaN(), math.NaN(), math.NaN()
	}
	value = m.sum / m.weight
	half := factor * math.Sqrt(math.Max(0, m.squares/m.weight-value*value))
	return value, value - half, value + half
}

// An average is over onsets, shapes and ratios.
type average struct {
	size, rate mean
	sudden     float64
	onsets     map[float64]float64
}

func (c *course) average(tries []trial, inflation float64) average {
	a := average{onsets: map[float64]float64{}}
	root := math.Sqrt(inflation)
	for _, t := range tries {
		sum := 0.0
		for _, x := range t.candidates {
			sum += math.Exp((x.evidence - t.best.evidence) / 2)
		}
		for _, x := range t.candidates {
			w := t.weight * math.Exp((x.evidence-t.best.evidence)/2) / sum
			rate, se := x.rate()
			h := x.height(c.t)
			a.size.add(w, rate*h, se*h*root)
			if x.shape == ramp {
				a.rate.add(w, rate, se*root)
				a.onsets[c.t[x.at-1]] += w
			} else {
				a.sudden += w
				a.onsets[c.t[x.at]] += w
			}
		}
	}
	return a
}

// onset is the weighted median of the onsets.
func (a average) onset() float64 {
	var at []float64
	for t := range a.onsets {
		at = append(at, t)
	}
	sort.Float64s(at)
	sum := 0.0
	for _, t := range at {
		if sum += a.onsets[t]; sum >= 0.5 {
			return t
		}
	}
	return at[len(at)-1]
}

// rateAfter is how fast the value goes on after a step.
func (c *course) rateAfter(x candidate, inflation float64) (m mean) {
	p := *x.proj
	p.basis = append(append([][]float64(nil), p.basis...), x.unit)
	after := c.column(x.at, ramp)
	for i := x.at; i < len(after); i++ {
		after[i] = c.t[i] - c.t[x.at]
	}
	v := c.space.take(len(p.rows))
	p.whiten(v, after, c.group)
	orthogonal(v, p.basis)
	long := norm(v)
	free := x.free() - 1
	if free < 1 || long == 0 {
		return m
	}
	rate := dot(v, p.rest) / long / long
	noise := math.Sqrt(math.Max(0, x.rest-rate*rate*long*long) / float64(free))
	m.add(1, rate, noise/long*math.Sqrt(inflation))
	return m
}

// A lineFit is the coefficients behind a candidate.
type lineFit struct {
	constant  float64
	influence []float64 // first order
	left      []float64 // residuals
	lasting   float64
}

// fit solves for the coefficients of constant and influences beside a change.
func (c *course) fit(x candidate) lineFit {
	p := x.proj
	change := c.column(x.at, x.shape)
	rate, _ := x.rate()
	flat := make([]float64, len(c.y))
	for i, y := range c.y {
		flat[i] = y - rate*change[i]
	}
	var cols [][]float64
	white := func(col []float64) []float64 {
		v := c.space.take(len(p.rows))
		p.whiten(v, col, c.group)
		return v
	}
	for _, col := range c.columns {
		cols = append(cols, white(col))
	}
	f, err := solve(white(flat), cols, false)
	if err != nil {
		return lineFit{constant: math.NaN()}
	}
	out := lineFit{constant: f.Coefficients[0], influence: f.Coefficients[1 : 1+len(c.influences)], left: f.Residuals}
	var last []float64
	for _, i := range p.rows[max(0, len(p.rows)-leastAfter):] {
		left := c.y[i]
		for k, col := range c.columns {
			left -= f.Coefficients[k] * col[i]
		}
		last = append(last, left)
	}
	out.lasting, _ = Median(last)
	return out
}

// From correctFrom values on, neighbours are asked whether they resemble each
// other, up to correctLags apart: with fewer values the correlation is mostly
// noise, with more lags the correction becomes wild (Hamed & Rao 1998).
const (
	correctFrom = 15
	correctLags = 3
)

// inflation is at least 1.
func (c *course) inflation(left []float64) float64 {
	if len(left) < correctFrom {
		return 1
	}
	by, err := Inflation(left, correctLags)
	if err != nil {
		return 1
	}
	return math.Max(1, by)
}

// studentChance is the chance of a Student value beyond ±t; 0/0 is no evidence.
func studentChance(t float64, df int) float64 {
	if math.IsNaN(t) {
		return 1
	}
	return 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}.CDF(-t)
}
