package energy

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// CVRMSE is the coefficient of variation of the root mean square error, %:
// 100·√(Σ(y-ŷ)²/(n-p))/ȳ. Source: ASHRAE Guideline 14-2014, 5.2.11, from memory;
// sources differ on n or n-p: here n-p, with p = 1 for a calibrated simulation.
func CVRMSE(y, fitted []float64, p int) float64 {
	square, total := 0.0, 0.0
	for i := range y {
		square, total = square+(y[i]-fitted[i])*(y[i]-fitted[i]), total+y[i]
	}
	n := float64(len(y))
	return 100 * math.Sqrt(square/(n-float64(p))) / (total / n)
}

// NMBE is the normalised mean bias error, %: 100·Σ(y-ŷ)/((n-p)·ȳ), positive where
// the model is too low. Source as for CVRMSE; the sign differs between sources.
func NMBE(y, fitted []float64, p int) float64 {
	bias, total := 0.0, 0.0
	for i := range y {
		bias, total = bias+y[i]-fitted[i], total+y[i]
	}
	n := float64(len(y))
	return 100 * bias / ((n - float64(p)) * total / n)
}

// A Path is a named set of limits a model must meet before its savings are stated.
type Path struct {
	Name string
	CV   float64 // most CV(RMSE), %
	NMBE float64 // most |NMBE|, %
}

// The paths of ASHRAE Guideline 14. Limits of calibrated simulation as published
// (monthly 15 and 5 %, hourly 30 and 10 %); those of whole-building regression from
// memory: check the edition before use. A day lies between a month and an hour, and
// has no limits of its own there: the hourly ones are taken.
var (
	CalibratedMonthly = Path{"calibrated simulation, monthly", 15, 5}
	CalibratedHourly  = Path{"calibrated simulation, hourly", 30, 10}
	WholeBuilding     = Path{"whole-building regression", 25, 0.5}
)

// Paths lists them.
func Paths() []Path { return []Path{CalibratedHourly, CalibratedMonthly, WholeBuilding} }

// Meets says why a model does not meet the path's limits, or "".
func (p Path) Meets(m *Model) string {
	switch {
	case !(m.CV <= p.CV):
		return fmt.Sprintf("CV(RMSE) %.0f %% is above %.0f %% (%s)", m.CV, p.CV, p.Name)
	case !(math.Abs(m.NMBE) <= p.NMBE):
		return fmt.Sprintf("NMBE %.1f %% is above %.1f %% (%s)", m.NMBE, p.NMBE, p.Name)
	}
	return ""
}

// judge works out how well the model fits.
func (m *Model) judge() {
	y, fitted := make([]float64, m.N), make([]float64, m.N)
	for i, o := range m.observations {
		y[i], fitted[i] = o.Y, o.Y-m.residuals[i]
		m.SSE += m.residuals[i] * m.residuals[i]
	}
	m.CV, m.NMBE = CVRMSE(y, fitted, m.P), NMBE(y, fitted, m.P)
	m.Rho = m.autocorrelation()
}

// mostRho bounds the autocorrelation that is believed: nearer to 1 nothing could be said.
const mostRho = 0.95

// noise is the scatter of a day, by differences from one week to the next, which slow change
// of the machine leaves alone (after von Neumann, Ann. Math. Statist. 12 (1941) 367).
func (m *Model) noise() float64 {
	square := 0.0
	for i := week; i < m.N; i++ {
		apart := m.residuals[i] - m.residuals[i-week]
		square += apart * apart
	}
	return math.Sqrt(square / float64(2*(m.N-week)))
}

const week = 7 // days

// autocorrelation is that of residuals one day apart, from the pairs there are,
// corrected for the bias of small samples by (1+4ρ)/n (Kendall, Biometrika 41
// (1954) 403, for a mean that is estimated); never below 0, which would narrow
// intervals.
func (m *Model) autocorrelation() float64 {
	var product, square float64
	pairs := 0
	for i := 1; i < m.N; i++ {
		if m.observations[i].Day-m.observations[i-1].Day == 1 {
			product += m.residuals[i] * m.residuals[i-1]
			square += (m.residuals[i]*m.residuals[i] + m.residuals[i-1]*m.residuals[i-1]) / 2
			pairs++
		}
	}
	if pairs < leastDays || square == 0 {
		return 0
	}
	rho := product / square
	return math.Max(0, math.Min(mostRho, rho+(1+4*rho)/float64(pairs)))
}

// worth is how many independent days the residuals are worth.
func (m *Model) worth() float64 { return float64(m.N) * (1 - m.Rho) / (1 + m.Rho) }

// criterion is Schwarz's (1978): n·ln(SSE/N) + p·ln(n) with n independent days of N.
func (m *Model) criterion(worth float64) float64 {
	return worth*math.Log(math.Max(m.SSE, 1e-300)/float64(m.N)) + float64(m.P)*math.Log(worth)
}

// Best fits every shape and returns the one with the least criterion. Shapes that no
// machine has, with less electricity the further from the change point on both sides,
// are not considered. All are held to the independent days that the closest fit leaves: a
// poor fit's residuals follow each other for its own fault.
func Best(obs []Observation, dayTypes bool) (*Model, error) {
	var list []*Model
	var closest *Model
	var first error
	for _, shape := range Shapes() {
		m, err := Fit(shape, obs, dayTypes)
		switch {
		case err != nil && first == nil:
			first = err
		case err != nil, m.Left < 0 && m.Right < 0:
		default:
			list = append(list, m)
			if closest == nil || m.SSE < closest.SSE {
				closest = m
			}
		}
	}
	if closest == nil {
		return nil, first
	}
	worth := closest.worth()
	return slices.MinFunc(list, func(a, b *Model) int { return cmp.Compare(a.criterion(worth), b.criterion(worth)) }), nil
}
