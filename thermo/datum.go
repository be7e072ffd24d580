package thermo

import (
	"math"
	"sync"

	"rimelog/thermo/internal/mixture"
)

// Datum says where enthalpy and entropy are counted from. Only differences
// have a meaning; never store a value without naming its datum. The state is
// the saturated (bubble) liquid of the nominal composition.
type Datum uint8

// The data.
const (
	// IIR: 200 kJ/kg and 1 kJ/(kg K) at 0 degrees C, the default. Where 0
	// degrees C is outside the bubble line, NBP is used instead (R14, R50) or
	// the nearest end of the line (R718).
	IIR Datum = iota
	// ASHRAE: 0 and 0 at -40 degrees C.
	ASHRAE
	// NBP: 0 and 0 at the bubble point of 101.325 kPa.
	NBP
)

// String is the datum's usual name.
func (d Datum) String() string { return [...]string{"IIR", "ASHRAE", "NBP"}[d] }

// normalAtmosphere is 101.325 kPa, exact (ISO 80000-4).
const normalAtmosphere = 101325

// WithDatum returns the same refrigerant with enthalpy and entropy counted
// from d.
func (r *Refrigerant) WithDatum(d Datum) *Refrigerant { return &Refrigerant{r.entry, d} }

// Datum is the datum in use.
func (r *Refrigerant) Datum() Datum { return r.datum }

// offset is what must be added to the stored equations' values, J/mol and
// J/(mol K).
type offset struct{ h, s float64 }

// offsets works the offset of each datum out at first use.
type offsets struct {
	of [3]func() (offset, error)
}

func newOffsets(c *core) *offsets {
	var o offsets
	for d := range o.of {
		o.of[d] = sync.OnceValues(func() (offset, error) { return c.anchor(Datum(d)) })
	}
	return &o
}

// anchor evaluates the stored equations at the datum state.
func (c *core) anchor(d Datum) (offset, error) {
	m, err := c.model()
	if err != nil {
		return offset{}, err
	}
	l, err := c.lines()
	if err != nil {
		return offset{}, err
	}
	t := map[Datum]float64{IIR: zeroCelsius, ASHRAE: zeroCelsius - 40}[d]
	low, high, _, _ := l.bubble.Range()
	if d == NBP || t > high {
		pt, err := l.bubble.AtP(normalAtmosphere)
		if err != nil {
			return c.anchorTriple(l, m)
		}
		return m.anchorAt(pt.T, pt.Liquid, 0, 0), nil
	}
	pt, err := l.bubble.AtT(math.Max(t, low))
	if err != nil {
		return offset{}, err
	}
	if d == IIR {
		return m.anchorAt(pt.T, pt.Liquid, 200e3*m.m, 1e3*m.m), nil
	}
	return m.anchorAt(pt.T, pt.Liquid, 0, 0), nil
}

// anchorTriple takes the cold end of the bubble line where there is no normal
// boiling point (R744 sublimes).
func (c *core) anchorTriple(l *lines, m *model) (offset, error) {
	low, _, _, _ := l.bubble.Range()
	pt, err := l.bubble.AtT(low)
	if err != nil {
		return offset{}, err
	}
	return m.anchorAt(pt.T, pt.Liquid, 0, 0), nil
}

func (m *model) anchorAt(t, rho, h, s float64) offset {
	ph := mixture.NewPhase(m.mix)
	ph.At(m.z, t)
	ph.Density(rho)
	q := ph.Caloric()
	return offset{h - q.H, s - q.S}
}
