package reference

import (
	"fmt"
	"math"

	"rimelog/thermo"
)

// Deviation is the largest difference between two sources of properties over
// the states of a set.
type Deviation struct {
	SatT    float64 // K, both lines
	SatP    float64 // relative, both lines
	SatRho  float64 // relative, saturated liquid and vapour
	Density float64 // relative, single phase
	H, S    float64 // kJ/kg and kJ/(kg K), all states
	Cp, W   float64 // relative, single phase
	States  int
	Refused []string // states that have no answer, with the reason
}

// source is the common part of *thermo.Refrigerant and *thermo.Fast.
type source interface {
	BubbleT(thermo.Pascal) (thermo.Kelvin, error)
	DewT(thermo.Pascal) (thermo.Kelvin, error)
	BubbleP(thermo.Kelvin) (thermo.Pascal, error)
	DewP(thermo.Kelvin) (thermo.Pascal, error)
	At(thermo.Pascal, thermo.Kelvin) (thermo.State, error)
}

// Equations compares the equations of r with the set.
func (s *Set) Equations(r *thermo.Refrigerant) (*Deviation, error) {
	return s.compare(r, r, func(bubble bool, p thermo.Pascal) (rho, h, e float64, err error) {
		at := r.DewAt
		if bubble {
			at = r.BubbleAt
		}
		x, err := at(p)
		return float64(x.Density), float64(x.Enthalpy), float64(x.Entropy), err
	})
}

// Fast compares the fast path of r with the set.
func (s *Set) Fast(r *thermo.Refrigerant) (*Deviation, error) {
	f, err := r.Fast()
	if err != nil {
		return nil, err
	}
	return s.compare(r, f, func(bubble bool, p thermo.Pascal) (rho, h, e float64, err error) {
		at := f.DewAt
		if bubble {
			at = f.BubbleAt
		}
		x, err := at(p)
		return float64(x.Density), float64(x.Enthalpy), float64(x.Entropy), err
	})
}

type comparison struct {
	d        Deviation
	from     source
	line     func(bubble bool, p thermo.Pascal) (rho, h, s float64, err error)
	hRef, sR float64 // at the anchor, J
}

func (s *Set) compare(r *thermo.Refrigerant, from source, line func(bool, thermo.Pascal) (rho, h, e float64, err error)) (*Deviation, error) {
	p, err := r.BubbleP(thermo.Kelvin(s.Anchor))
	if err != nil {
		return nil, fmt.Errorf("anchor: %w", err)
	}
	a, err := r.BubbleAt(p)
	if err != nil {
		return nil, fmt.Errorf("anchor: %w", err)
	}
	c := &comparison{from: from, line: line, hRef: float64(a.Enthalpy), sR: float64(a.Entropy)}
	for i := range s.Rows {
		row := &s.Rows[i]
		c.d.States++
		if row.Line == "bubble" || row.Line == "dew" {
			err = c.saturation(row)
		} else {
			err = c.single(row)
		}
		if err != nil {
			c.d.Refused = append(c.d.Refused, err.Error())
		}
	}
	return &c.d, nil
}

func worst(into *float64, v float64) {
	if math.Abs(v) > *into || math.IsNaN(v) {
		*into = math.Abs(v)
	}
}

func (c *comparison) saturation(row *Row) error {
	bubble := row.Line == "bubble"
	pressure, temperature := c.from.DewP, c.from.DewT
	if bubble {
		pressure, temperature = c.from.BubbleP, c.from.BubbleT
	}
	p, err := pressure(thermo.Kelvin(row.T))
	if err != nil {
		return err
	}
	t, err := temperature(thermo.Pascal(row.P))
	if err != nil {
		return err
	}
	rho, h, s, err := c.line(bubble, thermo.Pascal(row.P))
	if err != nil {
		return err
	}
	worst(&c.d.SatP, float64(p)/row.P-1)
	worst(&c.d.SatT, float64(t)-row.T)
	worst(&c.d.SatRho, rho/row.Density-1)
	c.caloric(row, h, s)
	return nil
}

func (c *comparison) single(row *Row) error {
	s, err := c.from.At(thermo.Pascal(row.P), thermo.Kelvin(row.T))
	if err != nil {
		return err
	}
	worst(&c.d.Density, float64(s.Density)/row.Density-1)
	worst(&c.d.Cp, float64(s.Cp)/1e3/row.Cp-1)
	worst(&c.d.W, float64(s.Sound)/row.Sound-1)
	c.caloric(row, float64(s.Enthalpy), float64(s.Entropy))
	return nil
}

func (c *comparison) caloric(row *Row, h, s float64) {
	worst(&c.d.H, (h-c.hRef)/1e3-row.Enthalpy)
	worst(&c.d.S, (s-c.sR)/1e3-row.Entropy)
}
