package thermo

import (
	"fmt"
	"math"

	"rimelog/thermo/internal/equilibrium"
)

// TwoPhase is an equilibrium of liquid and vapour: refrigerant leaving an
// expansion device, or in an evaporator. The phases of a blend have other
// compositions than the whole; enthalpy and entropy are those of the phases in
// proportion (lever rule).
type TwoPhase struct {
	T        Kelvin
	P        Pascal
	Quality  float64 // vapour mass fraction, 0 to 1
	Density  KgPerM3 // of the mixture of both, without slip
	Enthalpy JoulePerKg
	Entropy  JoulePerKgK
}

// Quality is the vapour mass fraction at pressure p with enthalpy h (datum of
// r), from 0 to 1. Outside the two-phase region it is a *RangeError whose
// bounds are the enthalpies of bubble and dew point.
func (r *Refrigerant) Quality(p Pascal, h JoulePerKg) (float64, error) {
	s, err := r.TwoPhaseAtPH(p, h)
	return s.Quality, err
}

// TwoPhaseAtPH is the two-phase state at pressure p with enthalpy h.
func (r *Refrigerant) TwoPhaseAtPH(p Pascal, h JoulePerKg) (TwoPhase, error) {
	bubble, errB := r.BubbleAt(p)
	if errB != nil {
		return TwoPhase{}, errB
	}
	dew, errD := r.DewAt(p)
	if errD != nil {
		return TwoPhase{}, errD
	}
	if !(h >= bubble.Enthalpy && h <= dew.Enthalpy) {
		return TwoPhase{}, &RangeError{
			Refrigerant: r.Name(), Quantity: "enthalpy", Value: float64(h), Unit: "J/kg",
			Lo: float64(bubble.Enthalpy), Hi: float64(dew.Enthalpy), Reason: "not two-phase at this pressure",
		}
	}
	b, err := r.between(p)
	if err != nil {
		return TwoPhase{}, err
	}
	return r.splitAt(b, h, float64((h-bubble.Enthalpy)/(dew.Enthalpy-bubble.Enthalpy)))
}

func (r *Refrigerant) between(p Pascal) (*equilibrium.Between, error) {
	m, err := r.entry.core.model()
	if err != nil {
		return nil, err
	}
	bubble, err := r.saturatedAtP(equilibrium.Bubble, p)
	if err != nil {
		return nil, err
	}
	dew, err := r.saturatedAtP(equilibrium.Dew, p)
	if err != nil {
		return nil, err
	}
	return equilibrium.NewBetween(m.mix, m.z, bubble, dew), nil
}

// splitAt finds the vapour fraction at which the enthalpy is h, by the secant
// method kept inside a bracket: enthalpy rises with the vapour fraction.
func (r *Refrigerant) splitAt(b *equilibrium.Between, h JoulePerKg, beta float64) (TwoPhase, error) {
	lo, hi := 0.0, 1.0
	var lastBeta, lastH float64
	for i := range 80 {
		s, err := b.At(beta)
		if err != nil {
			return TwoPhase{}, fmt.Errorf("%s: two-phase state: %w", r.Name(), err)
		}
		got, slope, err := r.twoPhase(s)
		if err != nil {
			return TwoPhase{}, err
		}
		if got.Enthalpy > h {
			hi = beta
		} else {
			lo = beta
		}
		if i > 0 && beta != lastBeta {
			slope = (float64(got.Enthalpy) - lastH) / (beta - lastBeta)
		}
		lastBeta, lastH = beta, float64(got.Enthalpy)
		step := float64(h-got.Enthalpy) / slope
		if math.Abs(step) < 1e-11 || hi-lo < 1e-13 {
			return got, nil
		}
		if beta += step; !(beta >= lo && beta <= hi) {
			beta = (lo + hi) / 2
		}
	}
	return TwoPhase{}, fmt.Errorf("%s: two-phase state: %w", r.Name(), equilibrium.ErrFailed)
}

// twoPhase reads the properties of a split, and about how much the enthalpy
// rises per mole fraction of vapour.
func (r *Refrigerant) twoPhase(s equilibrium.Split) (state TwoPhase, slope float64, err error) {
	m, err := r.entry.core.model()
	if err != nil {
		return TwoPhase{}, 0, err
	}
	o, err := r.entry.core.offsets.of[r.datum]()
	if err != nil {
		return TwoPhase{}, 0, err
	}
	v := s.Vapour
	return TwoPhase{
		T: Kelvin(s.T), P: Pascal(s.P),
		Quality:  v * m.mix.MolarMass(s.Y) / m.m,
		Density:  KgPerM3(m.m / ((1-v)/s.RhoL + v/s.RhoV)),
		Enthalpy: JoulePerKg(((1-v)*s.HL + v*s.HV + o.h) / m.m),
		Entropy:  JoulePerKgK(((1-v)*s.SL + v*s.SV + o.s) / m.m),
	}, (s.HV - s.HL) / m.m, nil
}
