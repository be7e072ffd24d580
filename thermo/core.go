package thermo

import (
	"fmt"
	"math"
	"sync"

	"rimelog/thermo/internal/equilibrium"
	"rimelog/thermo/internal/mixture"
	"rimelog/thermo/internal/piecewise"
)

// core holds everything about one refrigerant that is worked out from its
// equations: built at first use, read-only afterwards, shared by goroutines.
type core struct {
	entry   *entry
	model   func() (*model, error)
	lines   func() (*lines, error)
	offsets *offsets
	tables  func() (*tables, error)
	dense   func() (*piecewise.Patch, error)
}

// model is the equation of state at the nominal composition.
type model struct {
	mix        *mixture.Model
	z          []float64 // mole fractions
	m          float64   // molar mass, kg/mol
	tMin, tMax float64   // K
	pMax       float64   // Pa
	pool       sync.Pool // of *mixture.Phase
}

// lines are the two saturation lines and the critical point.
type lines struct {
	bubble, dew *equilibrium.Line
	tc, pc      float64
	tMin        float64 // where both lines have begun
}

func newCore(e *entry) *core {
	c := &core{entry: e}
	c.model = sync.OnceValues(func() (*model, error) { return newModel(e) })
	c.lines = sync.OnceValues(func() (*lines, error) { return newLines(c) })
	c.offsets = newOffsets(c)
	c.tables = sync.OnceValues(func() (*tables, error) { return newTables(c) })
	c.dense = sync.OnceValues(func() (*piecewise.Patch, error) { return newDense(c) })
	return c
}

func newModel(e *entry) (*model, error) {
	names := make([]string, len(e.parts))
	for i, p := range e.parts {
		names[i] = p.Name
	}
	mix, err := mixture.New(names...)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", e.name, err)
	}
	md := &model{mix: mix, z: moleFractions(e.parts, mix), tMax: math.Inf(1), pMax: math.Inf(1)}
	md.m = mix.MolarMass(md.z)
	for _, f := range mix.Fluids {
		md.tMax = min(md.tMax, f.TMax)
		md.pMax = min(md.pMax, f.PMax)
	}
	md.tMin = md.coldest()
	md.pool.New = func() any { return mixture.NewPhase(mix) }
	return md, nil
}

// moleFractions converts the composition by mass.
func moleFractions(parts []Component, mix *mixture.Model) []float64 {
	z := make([]float64, len(parts))
	var sum float64
	for i, p := range parts {
		z[i] = p.MassFraction / mix.Fluids[i].M
		sum += z[i]
	}
	for i := range z {
		z[i] /= sum
	}
	return z
}

// coldestReduced is the reduced temperature below which a blend is not
// evaluated: no plant works there, and the vapour has hardly any pressure.
const coldestReduced = 0.5

// coldest is the lowest temperature of a blend: the mean of its components'
// lower limits weighted by amount, but not below what a plant can reach.
func (m *model) coldest() float64 {
	var mean float64
	for i, f := range m.mix.Fluids {
		mean += m.z[i] * f.TMin
	}
	if m.mix.Len() == 1 {
		return mean
	}
	ph := mixture.NewPhase(m.mix)
	ph.At(m.z, mean)
	return max(mean, min(coldestReduced*ph.TReducing(), 200))
}

func newLines(c *core) (*lines, error) {
	m, err := c.model()
	if err != nil {
		return nil, err
	}
	l := &lines{}
	if l.bubble, err = equilibrium.Trace(m.mix, equilibrium.Bubble, m.z, m.tMin); err != nil {
		return nil, fmt.Errorf("%s: bubble line: %w", c.entry.name, err)
	}
	if l.dew, err = equilibrium.Trace(m.mix, equilibrium.Dew, m.z, m.tMin); err != nil {
		return nil, fmt.Errorf("%s: dew line: %w", c.entry.name, err)
	}
	coldB, _, _, _ := l.bubble.Range()
	coldD, _, _, _ := l.dew.Range()
	l.tMin = max(coldB, coldD)
	if f := m.mix.Fluids[0]; m.mix.Len() == 1 {
		l.tc, l.pc = f.TCrit, f.PCrit
		return l, nil
	}
	tb, pb, gapB := l.bubble.Critical()
	td, pd, gapD := l.dew.Critical()
	if l.tc, l.pc = tb, pb; gapD < gapB {
		l.tc, l.pc = td, pd
	}
	return l, nil
}
