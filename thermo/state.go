package thermo

import (
	"errors"
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

// onLine is how near, relative, a temperature may come to saturation before
// the phase is undecided.
const onLine = 1e-10

// clearly is how far, relative, a temperature must be from an estimate of
// saturation for the phase to be decided by it.
const clearly = 2e-3

// wellAbove is how far above the critical pressure an isotherm just below the
// critical temperature has only one density.
const wellAbove = 1.05

// density finds the molar density of the single phase at p and t. Liquid is
// denser than at the bubble point of the same temperature, gas thinner than at
// the dew point of the same pressure; between those an isotherm has false roots.
func (r *Refrigerant) density(ph *mixture.Phase, p Pascal, t Kelvin) (float64, error) {
	l, err := r.entry.core.lines()
	if err != nil {
		return 0, err
	}
	if tb, _, ok := l.bubble.NearP(float64(p)); ok && float64(t) < tb*(1-clearly) {
		if rho, ok := l.bubble.NearT(float64(t)); ok {
			return r.liquidDensity(ph, float64(p), rho*(1-1e-4))
		}
	}
	if td, rho, ok := l.dew.NearP(float64(p)); ok && float64(t) > td*(1+clearly) {
		return r.gasDensity(ph, float64(p), rho*(1+1e-4))
	}
	dew, errD := l.dew.AtP(float64(p))
	bubble, errB := l.bubble.AtP(float64(p))
	_, _, coldest, _ := l.dew.Range()
	switch {
	case errors.Is(errD, equilibrium.ErrBelow):
		return r.gasDensity(ph, float64(p), coldest/(ph.R*ph.T)*2)
	case errD == nil && float64(t) > dew.T*(1+onLine) && !errors.Is(errB, equilibrium.ErrAbove):
		return r.gasDensity(ph, float64(p), dew.Vapour*(1+1e-9))
	case errB == nil && errD == nil && float64(t) < bubble.T*(1-onLine):
		return r.liquidBelow(l, ph, p, t)
	case errD == nil && (errB == nil || errors.Is(errB, equilibrium.ErrBelow)):
		return 0, &TwoPhaseError{Refrigerant: r.Name(), P: p, T: t}
	}
	return r.denseDensity(ph, l, p, t)
}

// liquidBelow finds the density of liquid at t, above the bubble point there.
func (r *Refrigerant) liquidBelow(l *lines, ph *mixture.Phase, p Pascal, t Kelvin) (float64, error) {
	pt, err := l.bubble.AtT(float64(t))
	if err != nil {
		return 0, r.densityError(ph, float64(p), err)
	}
	return r.liquidDensity(ph, float64(p), pt.Liquid*(1-1e-9))
}

func (r *Refrigerant) liquidDensity(ph *mixture.Phase, p, least float64) (float64, error) {
	hi, err := equilibrium.Upper(ph, p, least*1.001)
	if err != nil {
		return 0, r.densityError(ph, p, err)
	}
	rho, err := equilibrium.Density(ph, p, least, hi, hi)
	if err != nil {
		return 0, r.densityError(ph, p, err)
	}
	return rho, nil
}

func (r *Refrigerant) gasDensity(ph *mixture.Phase, p, most float64) (float64, error) {
	ideal := p / (ph.R * ph.T)
	rho, err := equilibrium.Density(ph, p, ideal*0.2, max(most, ideal*1.01), ideal)
	if err != nil {
		return 0, r.densityError(ph, p, err)
	}
	return rho, nil
}

// denseDensity finds the density at a pressure without saturation. Below the
// ends of the lines it compares with saturation at t; above them pressure rises
// with density all the way. Between is a small region around the critical point
// that is refused.
func (r *Refrigerant) denseDensity(ph *mixture.Phase, l *lines, p Pascal, t Kelvin) (float64, error) {
	_, tb, _, pb := l.bubble.Range()
	_, td, _, pd := l.dew.Range()
	if float64(t) > max(tb, td) || float64(t) > min(tb, td) && float64(p) > wellAbove*max(pb, pd) {
		return r.supercriticalDensity(ph, float64(p))
	}
	bubble, errB := l.bubble.AtT(float64(t))
	if errB == nil && float64(p) > bubble.P {
		return r.liquidDensity(ph, float64(p), bubble.Liquid*(1-1e-9))
	}
	dew, errD := l.dew.AtT(float64(t))
	if errD == nil && float64(p) < dew.P {
		return r.gasDensity(ph, float64(p), dew.Vapour*(1+1e-9))
	}
	if errB == nil && errD == nil {
		return 0, &TwoPhaseError{Refrigerant: r.Name(), P: p, T: t}
	}
	return 0, &RangeError{Refrigerant: r.Name(), Quantity: "temperature", Value: float64(t), Unit: "K",
		Lo: l.tMin, Hi: min(tb, td), Reason: "too near the critical point"}
}

func (r *Refrigerant) supercriticalDensity(ph *mixture.Phase, p float64) (float64, error) {
	m, err := r.entry.core.model()
	if err != nil {
		return 0, err
	}
	hi, err := equilibrium.Upper(ph, p, equilibrium.StartDensity(m.mix, m.z))
	if err != nil {
		return 0, r.densityError(ph, p, err)
	}
	ideal := p / (ph.R * ph.T)
	rho, err := equilibrium.Density(ph, p, min(ideal*0.2, hi/100), hi, min(ideal, hi/2))
	if err != nil {
		return 0, r.densityError(ph, p, err)
	}
	return rho, nil
}

func (r *Refrigerant) densityError(ph *mixture.Phase, p float64, err error) error {
	return fmt.Errorf("%s: density at %.7g Pa, %.2f K: %w", r.Name(), p, ph.T, err)
}
