package thermo

import (
	"fmt"
	"math"

	"rimelog/thermo/internal/equilibrium"
	"rimelog/thermo/internal/mixture"
)

// State is one homogeneous state: a single phase, or a saturated liquid or
// vapour of the nominal composition. Enthalpy and entropy count from the
// refrigerant's datum.
type State struct {
	T        Kelvin
	P        Pascal
	Density  KgPerM3
	Enthalpy JoulePerKg
	Entropy  JoulePerKgK
	Cp, Cv   JoulePerKgK
	Sound    MetrePerSecond
}

// At is the single-phase state at pressure p and temperature t.
//
// Errors: *RangeError outside the equations, *TwoPhaseError between the bubble
// and dew lines (on the line itself, for a pure fluid).
func (r *Refrigerant) At(p Pascal, t Kelvin) (State, error) {
	if err := r.check(p, t); err != nil {
		return State{}, err
	}
	ph, release, err := r.phase(float64(t))
	if err != nil {
		return State{}, err
	}
	defer release()
	rho, err := r.density(ph, p, t)
	if err != nil {
		return State{}, err
	}
	ph.Density(rho)
	return r.state(ph)
}

// BubbleAt is the saturated liquid at pressure p.
func (r *Refrigerant) BubbleAt(p Pascal) (State, error) {
	return r.saturated(equilibrium.Bubble, p)
}

// DewAt is the saturated vapour at pressure p.
func (r *Refrigerant) DewAt(p Pascal) (State, error) {
	return r.saturated(equilibrium.Dew, p)
}

func (r *Refrigerant) saturated(k side, p Pascal) (State, error) {
	pt, err := r.saturatedAtP(k, p)
	if err != nil {
		return State{}, err
	}
	ph, release, err := r.phase(pt.T)
	if err != nil {
		return State{}, err
	}
	defer release()
	if k == equilibrium.Bubble {
		ph.Density(pt.Liquid)
	} else {
		ph.Density(pt.Vapour)
	}
	s, err := r.state(ph)
	s.P = p // of the line, which the cold liquid's equation cannot resolve
	return s, err
}

func (r *Refrigerant) check(p Pascal, t Kelvin) error {
	if err := r.checkP(p); err != nil {
		return err
	}
	return r.checkT(t)
}

// phase borrows a phase of the nominal composition at t; release gives it back.
func (r *Refrigerant) phase(t float64) (ph *mixture.Phase, release func(), err error) {
	m, err := r.entry.core.model()
	if err != nil {
		return nil, nil, err
	}
	ph = m.pool.Get().(*mixture.Phase)
	ph.At(m.z, t)
	return ph, func() { m.pool.Put(ph) }, nil
}

// state reads the properties of an evaluated phase.
func (r *Refrigerant) state(ph *mixture.Phase) (State, error) {
	c := r.entry.core
	m, err := c.model()
	if err != nil {
		return State{}, err
	}
	o, err := c.offsets.of[r.datum]()
	if err != nil {
		return State{}, err
	}
	q := ph.Caloric()
	return State{
		T: Kelvin(ph.T), P: Pascal(ph.P()),
		Density:  KgPerM3(ph.Rho * m.m),
		Enthalpy: JoulePerKg((q.H + o.h) / m.m),
		Entropy:  JoulePerKgK((q.S + o.s) / m.m),
		Cp:       JoulePerKgK(q.Cp / m.m),
		Cv:       JoulePerKgK(q.Cv / m.m),
		Sound:    MetrePerSecond(math.Sqrt(q.W2)),
	}, nil
}

// onLine is how near, relative, a pressure may come to saturation before the
// phase of a pure fluid is undecided.
const onLine = 1e-9

// density finds the molar density of the single phase at p and t.
func (r *Refrigerant) density(ph *mixture.Phase, p Pascal, t Kelvin) (float64, error) {
	l, err := r.entry.core.lines()
	if err != nil {
		return 0, err
	}
	bubble, errB := l.bubble.AtT(float64(t))
	if errB == nil && float64(p) > bubble.P*(1+onLine) {
		return r.liquidDensity(ph, float64(p), bubble.Liquid)
	}
	dew, errD := l.dew.AtT(float64(t))
	if errD == nil && float64(p) < dew.P*(1-onLine) {
		return r.gasDensity(ph, float64(p), dew.Vapour)
	}
	if errB == nil && errD == nil {
		return 0, &TwoPhaseError{Refrigerant: r.Name(), P: p, T: t}
	}
	return r.denseDensity(ph, l, p, t)
}

func (r *Refrigerant) liquidDensity(ph *mixture.Phase, p, saturated float64) (float64, error) {
	hi, err := equilibrium.Upper(ph, p, saturated*1.001)
	if err != nil {
		return 0, r.densityError(ph, p, err)
	}
	rho, err := equilibrium.Density(ph, p, saturated*(1-1e-9), hi, saturated)
	if err != nil {
		return 0, r.densityError(ph, p, err)
	}
	return rho, nil
}

func (r *Refrigerant) gasDensity(ph *mixture.Phase, p, saturated float64) (float64, error) {
	ideal := p / (ph.R * ph.T)
	rho, err := equilibrium.Density(ph, p, ideal*0.2, saturated*(1+1e-9), ideal)
	if err != nil {
		return 0, r.densityError(ph, p, err)
	}
	return rho, nil
}

// denseDensity finds the density above the ends of the saturation lines, where
// pressure rises with density all the way, or refuses the small region around
// the critical point where that is not sure.
func (r *Refrigerant) denseDensity(ph *mixture.Phase, l *lines, p Pascal, t Kelvin) (float64, error) {
	_, tb, _, pb := l.bubble.Range()
	_, td, _, pd := l.dew.Range()
	low, high := min(tb, td), max(tb, td)
	if float64(t) < low {
		return 0, &RangeError{Refrigerant: r.Name(), Quantity: "temperature", Value: float64(t), Unit: "K", Lo: low, Hi: high, Reason: "below the saturation lines"}
	}
	if float64(t) < high && float64(p) > 0.9*min(pb, pd) && float64(p) < 1.02*max(pb, pd) {
		return 0, &RangeError{Refrigerant: r.Name(), Quantity: "temperature", Value: float64(t), Unit: "K", Lo: low, Hi: high, Reason: "too near the critical point"}
	}
	m, err := r.entry.core.model()
	if err != nil {
		return 0, err
	}
	hi, err := equilibrium.Upper(ph, float64(p), equilibrium.StartDensity(m.mix, m.z))
	if err != nil {
		return 0, r.densityError(ph, float64(p), err)
	}
	ideal := float64(p) / (ph.R * ph.T)
	rho, err := equilibrium.Density(ph, float64(p), min(ideal*0.2, hi/100), hi, min(ideal, hi/2))
	if err != nil {
		return 0, r.densityError(ph, float64(p), err)
	}
	return rho, nil
}

func (r *Refrigerant) densityError(ph *mixture.Phase, p float64, err error) error {
	return fmt.Errorf("%s: density at %.7g Pa, %.2f K: %w", r.Name(), p, ph.T, err)
}
