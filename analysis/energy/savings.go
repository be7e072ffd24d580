package energy

import (
	"fmt"
	"math"
	"slices"

	"rimelog/analysis/robust"
)

// An Interval is an estimate with its lower and upper end.
type Interval struct{ Value, Lo, Hi float64 }

// Levels are the confidences at which savings are stated.
var Levels = [3]float64{0.68, 0.90, 0.95}

// A Saving is what an event avoided, or why nothing can be said.
type Saving struct {
	Model    *Model // of the days before; nil where there is none
	Days     int    // after the event that count
	Outside  int    // days after it outside the temperatures seen before, left out
	Actual   float64
	Expected float64 // of the same days, had nothing been done
	Avoided  [3]Interval
	U        float64 // standard uncertainty of what was avoided
	Why      string  // why it is not stated; empty where it is
}

// Rules of a statement.
const (
	leastBefore   = 28   // days before and
	leastAfter    = 14   // after an event: four weeks and two, so that every day of the week counts
	mostRelative  = 0.50 // of the saving at 68 %: Guideline 14's own test of a saving
	beyondWeather = 1.0  // K beyond the temperatures seen before that a day after may lie
)

// Save works out what was avoided after an event: the model of the days before says
// what the days after would have used. Days outside the temperatures of before are
// left out, not extrapolated to. The standard uncertainty holds the model's
// coefficients and change points (linearised) and the scatter of the days after,
// both with residuals that follow each other as a first-order process does (that
// of the days before); shapes that fit nearly as well as the best count by their
// weights, and what they differ by is doubt as well; intervals are Student's with the degrees of freedom that
// the independent days are worth. Source: least squares with a known covariance of
// the residuals; ASHRAE Guideline 14-2014, annex B, for the test at 68 %.
//
// A saving is stated when the path's limits are met and the half width at 68 % is
// less than half of it; otherwise Why says what is missing, and the intervals are
// given for the reader to see how far it is from that.
func Save(before, after []Observation, dayTypes bool, path Path) Saving {
	var s Saving
	if len(before) < leastBefore || len(after) < leastAfter {
		s.Why = fmt.Sprintf("%d complete days before and %d after: want %d and %d", len(before), len(after), leastBefore, leastAfter)
		return s
	}
	models, err := likely(before, dayTypes)
	if err != nil {
		s.Why = err.Error()
		return s
	}
	m := models[0].model
	s.Model = m
	var used []Observation
	for _, o := range after {
		if o.Temp < m.LowT-beyondWeather || o.Temp > m.Top+beyondWeather {
			s.Outside++
			continue
		}
		used = append(used, o)
		s.Actual += o.Y
	}
	s.Days = len(used)
	if s.Days < leastAfter {
		s.Why = fmt.Sprintf("only %d days after it had weather as before: want %d", s.Days, leastAfter)
		return s
	}
	if s.Expected, s.U, err = expect(models, used); err != nil {
		s.Why = err.Error()
		return s
	}
	s.state(m, path)
	return s
}

// leastWeight is that of a model which counts beside the best.
const leastWeight = 0.01

// expect is what the models together expect of some days, and its standard uncertainty:
// that of each, and by how much they differ. A model whose doubt cannot be worked out
// does not count, unless it is the best.
func expect(models []likelihood, days []Observation) (kwh, u float64, err error) {
	var total, square float64
	for i, l := range models {
		if l.weight < leastWeight {
			break
		}
		variance, err := l.model.variance(days)
		if err != nil && i == 0 {
			return 0, 0, err
		} else if err != nil {
			continue
		}
		var sum float64
		for _, o := range days {
			sum += l.model.Value(o)
		}
		apart := sum - kwh // West, Commun. ACM 22, 1979: means and squares in one pass
		total += l.weight
		kwh += apart * l.weight / total
		square += l.weight * (variance + apart*(sum-kwh))
	}
	return kwh, math.Sqrt(square / total), nil
}

// state fills in the intervals and decides whether they are stated.
func (s *Saving) state(m *Model, path Path) {
	avoided := s.Expected - s.Actual
	df := m.freedom()
	for i, level := range Levels {
		half := robust.Student(level, df) * s.U
		s.Avoided[i] = Interval{avoided, avoided - half, avoided + half}
	}
	half := s.Avoided[0].Hi - avoided
	switch why := path.Meets(m); {
	case why != "":
		s.Why = "the model does not qualify: " + why
	case half >= mostRelative*math.Abs(avoided):
		s.Why = fmt.Sprintf("within noise: ± %.0f kWh at 68 %% is not less than half of %.0f kWh", half, math.Abs(avoided))
	}
}

// freedom is the degrees of freedom of the residuals, for independent days.
func (m *Model) freedom() int {
	return max(1, int(float64(m.N)*(1-m.Rho)/(1+m.Rho))-m.P)
}

// variance is that of the sum of expected less actual over some days.
func (m *Model) variance(days []Observation) (float64, error) {
	columns := make([][]float64, m.P)
	for _, o := range m.observations {
		for k, v := range m.gradient(o) {
			columns[k] = append(columns[k], v)
		}
	}
	total := make([]float64, m.P)
	for _, o := range days {
		for k, v := range m.gradient(o) {
			total[k] += v
		}
	}
	w, err := robust.Weights(total, columns...)
	if err != nil {
		return 0, err
	}
	one := make([]float64, len(days))
	for i := range one {
		one[i] = 1
	}
	// Residuals that follow each other look smaller than they are: they are worth
	// fewer days.
	scale := m.SSE / float64(m.freedom()) * float64(m.freedom()+m.P) / float64(m.N)
	return scale * (m.quadratic(w, m.observations) + m.quadratic(one, days)), nil
}

// quadratic is Σ w[i]·w[j]·ρ^|day i - day j|.
func (m *Model) quadratic(w []float64, obs []Observation) float64 {
	days := slices.Clone(obs)
	slices.SortFunc(days, func(a, b Observation) int { return a.Day - b.Day })
	sum, tail := 0.0, 0.0 // tail: Σ of earlier w, faded to the present day
	for i := range days {
		if i > 0 {
			tail *= math.Pow(m.Rho, float64(days[i].Day-days[i-1].Day))
		}
		sum += w[i]*w[i] + 2*w[i]*tail
		tail += w[i]
	}
	return sum
}

// gradient is how the model's figure for an observation moves with its
// parameters: the linear ones, then the change points.
func (m *Model) gradient(o Observation) []float64 {
	row := m.linear(o)
	below, above := 0.0, 0.0
	if o.Temp < m.Low {
		below = m.Left
	}
	if o.Temp > m.High {
		above = -m.Right
	}
	switch m.Shape {
	case Heating3:
		row = append(row, below)
	case Cooling3:
		row = append(row, above)
	case Both4:
		row = append(row, below+above)
	case Both5:
		row = append(row, below, above)
	}
	return row
}
