package plant

import (
	"fmt"
	"math"

	"rimelog/thermo"
)

// The tables' grids. At these steps cubic interpolation is within 1e-5 of the
// equations, 1e-4 in the hottest gas: far below what any instrument shows.
const (
	coldest   = -52.5 // dew temperature, °C
	dewStep   = 2.5   // K
	riseStep  = 5.0   // superheat, K
	mostRise  = 130.0 // K
	hottest   = 75.0  // dew temperature, °C
	belowCrit = 6.0   // how near the tables come to the critical temperature, K
)

const zeroCelsius = 273.15

// NewFluid makes a refrigerant's tables. The error says where the equations end.
func NewFluid(r *thermo.Refrigerant) (*Fluid, error) {
	top := hottest
	critical, _ := r.Critical()
	top = math.Min(top, float64(critical)-zeroCelsius-belowCrit)
	t := maker{r: r, n: int((top-coldest)/dewStep) + 1}
	f := &Fluid{Name: r.Name(), molar: float64(r.MolarMass())}
	if err := t.saturation(f); err != nil {
		return nil, fmt.Errorf("tables of %s: %w", r.Name(), err)
	}
	if err := t.gas(f); err != nil {
		return nil, fmt.Errorf("tables of %s: %w", r.Name(), err)
	}
	return f, nil
}

// A maker fills tables from the equations.
type maker struct {
	r *thermo.Refrigerant
	n int // dew temperatures
}

func (m maker) dew(i int) float64 { return coldest + dewStep*float64(i) }

func (m maker) line() line { return line{coldest, dewStep, make([]float64, m.n)} }

// saturation fills the lines.
func (m maker) saturation(f *Fluid) error {
	f.logPressure, f.bubble, f.bubbleLog, f.liquidH, f.liquidRho = m.line(), m.line(), m.line(), m.line(), m.line()
	for i := range m.n {
		t := thermo.Kelvin(m.dew(i) + zeroCelsius)
		p, err := m.r.DewP(t)
		if err != nil {
			return err
		}
		bubble, err := m.r.BubbleT(p)
		if err != nil {
			return err
		}
		boiling, err := m.r.BubbleP(t)
		if err != nil {
			return err
		}
		liquid, err := m.r.BubbleAt(boiling)
		if err != nil {
			return err
		}
		f.logPressure.y[i] = math.Log(float64(p) / 1000)
		f.bubble.y[i] = float64(bubble) - zeroCelsius
		f.bubbleLog.y[i] = math.Log(float64(boiling) / 1000)
		f.liquidH.y[i] = float64(liquid.Enthalpy) / 1000
		f.liquidRho.y[i] = float64(liquid.Density)
	}
	return nil
}

// gas fills the sheet.
func (m maker) gas(f *Fluid) error {
	limit := float64(m.r.Range().TMax) - zeroCelsius - m.dew(m.n-1)
	columns := int(math.Min(mostRise, limit)/riseStep) + 1
	if columns < 6 {
		return fmt.Errorf("gas up to %.0f K of superheat only", limit)
	}
	f.gas = sheet{first: coldest, step: dewStep, rise: riseStep, columns: columns}
	for i := range m.n {
		p := thermo.Pascal(math.Exp(f.logPressure.y[i]) * 1000)
		for j := range columns {
			s, err := m.state(p, m.dew(i), float64(j)*riseStep)
			if err != nil {
				return err
			}
			f.gas.z = append(f.gas.z, float64(s.Enthalpy)/1000, float64(s.Entropy)/1000, 1/float64(s.Density))
		}
	}
	return nil
}

func (m maker) state(p thermo.Pascal, dew, rise float64) (thermo.State, error) {
	if rise == 0 {
		return m.r.DewAt(p)
	}
	return m.r.At(p, thermo.Kelvin(dew+rise+zeroCelsius))
}
