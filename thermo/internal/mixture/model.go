package mixture

import (
	"fmt"
	"math"

	"rimelog/thermo/internal/helmholtz"
	"rimelog/thermo/internal/tables"
)

// Model is a set of components with their pair parameters. It is read-only
// after New and may be shared.
type Model struct {
	Fluids    []*tables.Fluid
	tRed      [][]pairTerm // upper triangle, [i][j-i-1]
	vRed      [][]pairTerm
	departure [][]departure
	estimated []string
	sources   []string
	fitted    bool
}

// departure is one weighted departure function; fn is nil where there is none.
type departure struct {
	f  float64
	fn *helmholtz.Residual
}

// New builds the model of the named pure fluids. A pair without published
// parameters is estimated by the Lorentz-Berthelot rule (all parameters 1) and
// listed by Estimated.
func New(names ...string) (*Model, error) {
	m := &Model{fitted: true}
	for _, name := range names {
		f, err := tables.ReadFluid(name)
		if err != nil {
			return nil, err
		}
		m.Fluids = append(m.Fluids, f)
		m.sources = append(m.sources, f.Cite)
	}
	n := len(names)
	m.tRed, m.vRed, m.departure = make([][]pairTerm, n), make([][]pairTerm, n), make([][]departure, n)
	for i := range names {
		for j := i + 1; j < n; j++ {
			if err := m.addPair(i, j); err != nil {
				return nil, err
			}
		}
	}
	return m, nil
}

func (m *Model) addPair(i, j int) error {
	a, b := m.Fluids[i], m.Fluids[j]
	p, ok, err := tables.ReadPair(a.Name, b.Name)
	if err != nil {
		return err
	}
	if !ok {
		p = tables.Pair{BetaT: 1, GammaT: 1, BetaV: 1, GammaV: 1}
		m.estimated = append(m.estimated, a.Name+"+"+b.Name)
	} else {
		m.sources = append(m.sources, p.Cite)
	}
	va, vb := 1/a.RhoRed, 1/b.RhoRed
	vab := math.Pow(math.Cbrt(va)+math.Cbrt(vb), 3) / 8
	m.tRed[i] = append(m.tRed[i], pairTerm{2 * p.BetaT * p.GammaT * math.Sqrt(a.TRed*b.TRed), p.BetaT * p.BetaT})
	m.vRed[i] = append(m.vRed[i], pairTerm{2 * p.BetaV * p.GammaV * vab, p.BetaV * p.BetaV})
	d := departure{}
	if p.F != 0 {
		fn, err := tables.ReadDeparture(p.Departure)
		if err != nil {
			return fmt.Errorf("pair %s + %s: %w", a.Name, b.Name, err)
		}
		d = departure{p.F, fn}
	} else {
		m.fitted = false
	}
	m.departure[i] = append(m.departure[i], d)
	return nil
}

// Len is the number of components.
func (m *Model) Len() int { return len(m.Fluids) }

// Estimated lists the pairs without published parameters, "R22+R124".
func (m *Model) Estimated() []string { return m.estimated }

// Sources lists the citations of the equations, then of the pairs.
func (m *Model) Sources() []string { return m.sources }

// Departs reports whether every pair has a fitted departure function.
func (m *Model) Departs() bool { return m.fitted }

// MolarMass of composition x, kg/mol.
func (m *Model) MolarMass(x []float64) float64 {
	var sum float64
	for i, f := range m.Fluids {
		sum += x[i] * f.M
	}
	return sum
}

// GasConstant of composition x, J/(mol K).
func (m *Model) GasConstant(x []float64) float64 {
	var sum float64
	for i, f := range m.Fluids {
		sum += x[i] * f.R
	}
	return sum
}
