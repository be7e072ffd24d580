package energy

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"rimelog/analysis/robust"
)

// A Shape is the form of a model of electricity over outdoor temperature. Source of
// the forms: ASHRAE Guideline 14-2014, annex D; Kissock, Haberl and Claridge,
// ASHRAE RP-1050 (2002); both from memory.
type Shape string

// The shapes, with (x)⁺ for x where it is above zero, else zero.
const (
	Mean2P   Shape = "2P" // b0 + b1·T
	Heating3 Shape = "3P heating"
	Cooling3 Shape = "3P cooling"
	Both4    Shape = "4P" // b0 + b1·(c-T)⁺ + b2·(T-c)⁺
	Both5    Shape = "5P" // b0 + b1·(c1-T)⁺ + b2·(T-c2)⁺

	// A machine whose load and efficiency both follow the weather has no change point:
	// a line of two or three pieces would be 1 % off at the ends of its range.
	Parabola Shape = "parabola" // b0 + b1·T + b2·T²
)

// Shapes lists them, the plainest first.
func Shapes() []Shape { return []Shape{Mean2P, Parabola, Heating3, Cooling3, Both4, Both5} }

// An Observation is a day: its mean outdoor temperature, whether it is of another
// type (a weekend, say), and the electricity of the day.
type Observation struct {
	Day    int // number of the day, so that pauses are known
	Temp   float64
	Other  bool
	Y      float64
	Ground float64 // by how much what heat comes from was warmer than in the mean of a year, K; 0 where it is the outdoor air, or unknown
}

// A Model is y = base + left·(low-T)⁺ + right·(T-high)⁺ + other·(other day type).
// For 2P and the parabola, base is at 0 °C and right the slope there; left is the
// parabola's factor of T².
type Model struct {
	Shape       Shape
	Base        float64
	Left, Right float64 // per K below Low and above High
	Low, High   float64 // change points, °C; equal for 4P
	Other       float64 // what days of the other type use more
	DayTypes    bool    // Other was fitted

	N, P      int     // observations, parameters
	SSE       float64 // sum of squared residuals
	CV        float64 // CV(RMSE) with n-p, %
	NMBE      float64 // %, with n-p; positive where the model is too low
	Rho       float64 // autocorrelation of the residuals from one day to the next
	LowT, Top float64 // range of temperatures it was fitted on

	observations []Observation
	residuals    []float64
}

// Value is the model's figure for an observation; its Y does not matter.
func (m *Model) Value(o Observation) float64 {
	y := m.Base + m.Left*pos(m.Low-o.Temp) + m.Right*pos(o.Temp-m.High)
	switch m.Shape {
	case Mean2P:
		y = m.Base + m.Right*o.Temp
	case Parabola:
		y = m.Base + m.Right*o.Temp + m.Left*o.Temp*o.Temp
	}
	if o.Other {
		y += m.Other
	}
	return y
}

func pos(x float64) float64 { return max(0, x) }

// Least observations on either side of a change point, and least in all.
const (
	leastSide = 4
	leastDays = 12
)

// ErrFlat is returned where temperatures do not vary enough for the shape.
var ErrFlat = errors.New("outdoor temperature does not vary enough for this model")

// Fit fits a shape by least squares: change points on a grid over the observed
// temperatures, then by golden sections about the best; the linear part inside by
// QR. dayTypes adds a term for days of the other type.
func Fit(shape Shape, obs []Observation, dayTypes bool) (*Model, error) {
	obs = slices.Clone(obs)
	slices.SortStableFunc(obs, func(a, b Observation) int { return cmp.Compare(a.Day, b.Day) })
	if len(obs) < leastDays {
		return nil, &robust.TooFewError{What: "a model of electricity over outdoor temperature", Need: leastDays, Have: len(obs)}
	}
	f := fitter{shape: shape, obs: obs, dayTypes: dayTypes && bothTypes(obs)}
	f.temps = make([]float64, len(obs))
	for i, o := range obs {
		f.temps[i] = o.Temp
		f.mean += o.Y / float64(len(obs))
	}
	slices.Sort(f.temps)
	low, high, err := f.search()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shape, err)
	}
	return f.model(low, high)
}

func bothTypes(obs []Observation) bool {
	n := 0
	for _, o := range obs {
		if o.Other {
			n++
		}
	}
	return n >= 2 && n <= len(obs)-2
}

// A fitter finds the best change points of one shape.
type fitter struct {
	shape    Shape
	obs      []Observation
	temps    []float64 // sorted
	dayTypes bool
	mean     float64 // of y
}

// gridSteps is how many change points are tried before the search by sections.
const gridSteps = 40

// search returns the best change points.
func (f *fitter) search() (low, high float64, err error) {
	if f.temps[len(f.temps)-1]-f.temps[0] < 2 {
		return 0, 0, ErrFlat
	}
	from, to := f.temps[min(leastSide, len(f.temps)-1)], f.temps[max(0, len(f.temps)-1-leastSide)]
	switch {
	case f.shape == Mean2P || f.shape == Parabola:
		return 0, 0, nil
	case !(from < to):
		return 0, 0, ErrFlat
	case f.shape == Both5:
		return f.pair(from, to)
	}
	c := f.line(from, to, func(c float64) float64 { return f.sse(c, c) })
	return c, c, nil
}

// line finds the least of a function between two temperatures.
func (f *fitter) line(from, to float64, sse func(float64) float64) float64 {
	step := (to - from) / gridSteps
	best, least := from, math.Inf(1)
	for i := range gridSteps + 1 {
		c := from + float64(i)*step
		if s := sse(c); s < least {
			best, least = c, s
		}
	}
	return golden(max(from, best-step), min(to, best+step), sse)
}

// golden narrows down to the least between two points (Kiefer 1953).
func golden(a, b float64, f func(float64) float64) float64 {
	const ratio = 0.6180339887498949
	x, y := b-ratio*(b-a), a+ratio*(b-a)
	fx, fy := f(x), f(y)
	for b-a > 1e-6 {
		if fx <= fy {
			b, y, fy = y, x, fx
			x = b - ratio*(b-a)
			fx = f(x)
		} else {
			a, x, fx = x, y, fy
			y = a + ratio*(b-a)
			fy = f(y)
		}
	}
	return (a + b) / 2
}

// pair finds two change points: a coarse grid of pairs, then each in turn.
func (f *fitter) pair(from, to float64) (low, high float64, err error) {
	const steps = 14
	least := math.Inf(1)
	at := func(i int) float64 { return from + (to-from)*float64(i)/steps }
	for i := range steps {
		for j := i + 1; j <= steps; j++ {
			if s := f.sse(at(i), at(j)); s < least {
				low, high, least = at(i), at(j), s
			}
		}
	}
	if math.IsInf(least, 1) {
		return 0, 0, ErrFlat
	}
	width := (to - from) / steps
	for range 6 {
		low = golden(max(from, low-width), min(high, low+width), func(c float64) float64 { return f.sse(c, high) })
		high = golden(max(low, high-width), min(to, high+width), func(c float64) float64 { return f.sse(low, c) })
		width /= 2
	}
	return low, high, nil
}

// sse is the sum of squared residuals of the linear part at some change points, by
// the normal equations of values taken from their means: enough for a search.
func (f *fitter) sse(low, high float64) float64 {
	m := Model{Shape: f.shape, Low: low, High: high, DayTypes: f.dayTypes}
	var g gram
	for _, o := range f.obs {
		m.linearInto(&g.row, o)
		g.add(o.Y - f.mean)
	}
	return g.residual()
}

// columns are the columns of the linear part.
func (f *fitter) columns(low, high float64) (x [][]float64, y []float64) {
	m := Model{Shape: f.shape, Low: low, High: high, DayTypes: f.dayTypes}
	for _, o := range f.obs {
		row := m.linear(o)
		if x == nil {
			x = make([][]float64, len(row))
		}
		for k, v := range row {
			x[k] = append(x[k], v)
		}
		y = append(y, o.Y)
	}
	return x, y
}

// mostColumns is the most that the linear part has.
const mostColumns = 4

// A row is the values of an observation in the linear part.
type row struct {
	x [mostColumns]float64
	n int
}

func (r *row) put(v float64) { r.x[r.n], r.n = v, r.n+1 }

// linear is the row of an observation in the linear part: one, what the slopes
// count, and the day's type.
func (m *Model) linear(o Observation) []float64 {
	var r row
	m.linearInto(&r, o)
	return slices.Clone(r.x[:r.n])
}

func (m *Model) linearInto(r *row, o Observation) {
	r.n = 0
	r.put(1)
	switch m.Shape {
	case Mean2P:
		r.put(o.Temp)
	case Parabola:
		r.put(o.Temp)
		r.put(o.Temp * o.Temp)
	case Heating3:
		r.put(pos(m.Low - o.Temp))
	case Cooling3:
		r.put(pos(o.Temp - m.High))
	default:
		r.put(pos(m.Low - o.Temp))
		r.put(pos(o.Temp - m.High))
	}
	switch {
	case m.DayTypes && o.Other:
		r.put(1)
	case m.DayTypes:
		r.put(0)
	}
}

// A gram holds sums of products of the columns and y.
type gram struct {
	row row
	xx  [mostColumns][mostColumns]float64
	xy  [mostColumns]float64
	yy  float64
}

func (g *gram) add(y float64) {
	for i := range g.row.n {
		for j := range i + 1 {
			g.xx[i][j] += g.row.x[i] * g.row.x[j]
		}
		g.xy[i] += g.row.x[i] * y
	}
	g.yy += y * y
}

// residual is the sum of squares that the columns leave, by Cholesky's
// factorization; infinite where they depend on each other.
func (g *gram) residual() float64 {
	left := g.yy
	for i := range g.row.n {
		diagonal := g.xx[i][i]
		for j := range i {
			for k := range j {
				g.xx[i][j] -= g.xx[i][k] * g.xx[j][k]
			}
			g.xx[i][j] /= g.xx[j][j]
			g.xx[i][i] -= g.xx[i][j] * g.xx[i][j]
			g.xy[i] -= g.xx[i][j] * g.xy[j]
		}
		if !(g.xx[i][i] > 1e-10*diagonal) {
			return math.Inf(1)
		}
		g.xx[i][i] = math.Sqrt(g.xx[i][i])
		g.xy[i] /= g.xx[i][i]
		left -= g.xy[i] * g.xy[i]
	}
	return left
}

// model fits the linear part at the best change points.
func (f *fitter) model(low, high float64) (*Model, error) {
	x, y := f.columns(low, high)
	fit, err := robust.LeastSquares(y, x...)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", f.shape, err)
	}
	m := &Model{Shape: f.shape, Low: low, High: high, DayTypes: f.dayTypes, N: len(y), observations: f.obs, residuals: fit.Residuals}
	c := fit.Coefficients
	if m.DayTypes {
		m.Other, c = c[len(c)-1], c[:len(c)-1]
	}
	m.Base = c[0]
	switch f.shape {
	case Heating3:
		m.Left = c[1]
	case Mean2P, Cooling3:
		m.Right = c[1]
	case Parabola:
		m.Right, m.Left = c[1], c[2]
	default:
		m.Left, m.Right = c[1], c[2]
	}
	m.P = len(fit.Coefficients) + f.points()
	m.LowT, m.Top = f.temps[0], f.temps[len(f.temps)-1]
	m.judge()
	return m, nil
}

// points is how many change points the shape has.
func (f *fitter) points() int {
	switch f.shape {
	case Mean2P, Parabola:
		return 0
	case Both5:
		return 2
	}
	return 1
}
