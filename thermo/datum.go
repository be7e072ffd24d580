package thermo

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"rimelog/thermo/internal/equilibrium"
	"rimelog/thermo/internal/mixture"
)

// Datum says where enthalpy and entropy are counted from. Only differences
// have a meaning; never store a value without naming its datum. The state is
// the saturated (bubble) liquid of the nominal composition. Where it does not
// exist the nearest one does instead: the bubble point of 101.325 kPa for a
// refrigerant that is critical below the datum's temperature (R14, R50), the
// cold end of the bubble line for one that is solid there (R718, R744).
type Datum uint8

// The data.
const (
	// IIR: 200 kJ/kg and 1 kJ/(kg K) at 0 degrees C, the default.
	IIR Datum = iota
	// ASHRAE: 0 and 0 at -40 degrees C.
	ASHRAE
	// NBP: 0 and 0 at the bubble point of 101.325 kPa.
	NBP
)

// String is the datum's usual name.
func (d Datum) String() string { return [...]string{"IIR", "ASHRAE", "NBP"}[d] }

// ParseDatum reads "iir", "ashrae" or "nbp", in any case.
func ParseDatum(s string) (Datum, error) {
	for _, d := range []Datum{IIR, ASHRAE, NBP} {
		if strings.EqualFold(s, d.String()) {
			return d, nil
		}
	}
	return 0, fmt.Errorf("datum %q: want iir, ashrae or nbp", s)
}

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
	pt, err := l.datumPoint(d)
	if err != nil {
		return offset{}, err
	}
	if d == IIR {
		return m.anchorAt(pt.T, pt.Liquid, 200e3*m.m, 1e3*m.m), nil
	}
	return m.anchorAt(pt.T, pt.Liquid, 0, 0), nil
}

// datumPoint is the point of the bubble line that a datum names, or the nearest
// there is.
func (l *lines) datumPoint(d Datum) (equilibrium.Point, error) {
	low, high, pLow, _ := l.bubble.Range()
	t := zeroCelsius
	if d == ASHRAE {
		t -= 40
	}
	switch {
	case d != NBP && t <= high:
		return l.bubble.AtT(math.Max(t, low))
	case normalAtmosphere < pLow: // R744 sublimes
		return l.bubble.AtT(low)
	}
	return l.bubble.AtP(normalAtmosphere)
}

func (m *model) anchorAt(t, rho, h, s float64) offset {
	ph := mixture.NewPhase(m.mix)
	ph.At(m.z, t)
	ph.Density(rho)
	q := ph.Caloric()
	return offset{h - q.H, s - q.S}
}
