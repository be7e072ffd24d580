package thermo

import (
	"errors"
	"fmt"
	"math"

	"rimelog/thermo/internal/equilibrium"
)

// side picks one of the two saturation lines.
type side = equilibrium.Kind

// DewT is the dew temperature at absolute pressure p: where the last liquid
// evaporates, and superheat begins.
//
// Like all saturation calls it returns a *RangeError for a pressure that is
// not positive or below the line, and a *SupercriticalError at or above the
// critical point.
func (r *Refrigerant) DewT(p Pascal) (Kelvin, error) {
	pt, err := r.saturatedAtP(equilibrium.Dew, p)
	return Kelvin(pt.T), err
}

// BubbleT is the bubble temperature at absolute pressure p: where the first
// vapour appears, and subcooling begins.
func (r *Refrigerant) BubbleT(p Pascal) (Kelvin, error) {
	pt, err := r.saturatedAtP(equilibrium.Bubble, p)
	return Kelvin(pt.T), err
}

// DewP is the pressure of the dew line at temperature t.
func (r *Refrigerant) DewP(t Kelvin) (Pascal, error) {
	pt, err := r.saturatedAtT(equilibrium.Dew, t)
	return Pascal(pt.P), err
}

// BubbleP is the pressure of the bubble line at temperature t.
func (r *Refrigerant) BubbleP(t Kelvin) (Pascal, error) {
	pt, err := r.saturatedAtT(equilibrium.Bubble, t)
	return Pascal(pt.P), err
}

// DewSlope is dT/dp along the dew line, K/Pa: it turns the uncertainty of a
// pressure into one of the dew temperature.
func (r *Refrigerant) DewSlope(p Pascal) (float64, error) {
	pt, err := r.saturatedAtP(equilibrium.Dew, p)
	return slope(pt), err
}

// BubbleSlope is dT/dp along the bubble line, K/Pa.
func (r *Refrigerant) BubbleSlope(p Pascal) (float64, error) {
	pt, err := r.saturatedAtP(equilibrium.Bubble, p)
	return slope(pt), err
}

func slope(pt equilibrium.Point) float64 {
	if pt.P == 0 {
		return 0
	}
	return pt.DlnTDlnP * pt.T / pt.P
}

// Superheat is how far vapour at temperature t is above the dew temperature at
// its own pressure, a difference in K. It is negative for a reading below the
// dew line.
func (r *Refrigerant) Superheat(p Pascal, t Kelvin) (Kelvin, error) {
	if err := r.checkT(t); err != nil {
		return 0, err
	}
	dew, err := r.DewT(p)
	if err != nil {
		return 0, fmt.Errorf("superheat: %w", err)
	}
	return t - dew, nil
}

// Subcooling is how far liquid at temperature t is below the bubble
// temperature at its own pressure, a difference in K. It is negative for a
// reading above the bubble line.
func (r *Refrigerant) Subcooling(p Pascal, t Kelvin) (Kelvin, error) {
	if err := r.checkT(t); err != nil {
		return 0, err
	}
	bubble, err := r.BubbleT(p)
	if err != nil {
		return 0, fmt.Errorf("subcooling: %w", err)
	}
	return bubble - t, nil
}

// Glide is the difference between dew and bubble temperature at p, K.
func (r *Refrigerant) Glide(p Pascal) (Kelvin, error) {
	dew, err := r.DewT(p)
	if err != nil {
		return 0, err
	}
	bubble, err := r.BubbleT(p)
	return dew - bubble, err
}

func (l *lines) side(k side) *equilibrium.Line {
	if k == equilibrium.Bubble {
		return l.bubble
	}
	return l.dew
}

func (r *Refrigerant) saturatedAtP(k side, p Pascal) (equilibrium.Point, error) {
	l, err := r.entry.core.lines()
	if err != nil {
		return equilibrium.Point{}, err
	}
	pt, err := l.side(k).AtP(float64(p))
	if err != nil {
		_, _, lo, hi := l.side(k).Range()
		return equilibrium.Point{}, r.saturationError(l, err, "pressure", float64(p), "Pa", lo, hi, l.pc)
	}
	return pt, nil
}

func (r *Refrigerant) saturatedAtT(k side, t Kelvin) (equilibrium.Point, error) {
	l, err := r.entry.core.lines()
	if err != nil {
		return equilibrium.Point{}, err
	}
	pt, err := l.side(k).AtT(float64(t))
	if err != nil {
		lo, hi, _, _ := l.side(k).Range()
		return equilibrium.Point{}, r.saturationError(l, err, "temperature", float64(t), "K", lo, hi, l.tc)
	}
	return pt, nil
}

// saturationError dresses an error of a line with the value and its range.
func (r *Refrigerant) saturationError(l *lines, err error, quantity string, value float64, unit string, lo, hi, critical float64) error {
	rng := RangeError{Refrigerant: r.Name(), Quantity: quantity, Value: value, Unit: unit, Lo: lo, Hi: hi}
	switch {
	case errors.Is(err, equilibrium.ErrAbove) && value >= critical:
		e := &SupercriticalError{Range: rng}
		e.Range.Reason = "saturation ends at the critical point"
		e.Critical.T, e.Critical.P = Kelvin(l.tc), Pascal(l.pc)
		return e
	case errors.Is(err, equilibrium.ErrAbove):
		rng.Reason = "too near the critical point"
	case errors.Is(err, equilibrium.ErrBelow):
		rng.Reason = "saturation line"
	default:
		return fmt.Errorf("%s: saturation at %s %.7g %s: %w", r.Name(), quantity, value, unit, err)
	}
	return &rng
}

// checkT refuses a temperature outside the range of the equations.
func (r *Refrigerant) checkT(t Kelvin) error {
	lim := r.Range()
	if !(t >= lim.TMin*(1-1e-9) && t <= lim.TMax*(1+1e-9)) {
		return &RangeError{Refrigerant: r.Name(), Quantity: "temperature", Value: float64(t), Unit: "K", Lo: float64(lim.TMin), Hi: float64(lim.TMax)}
	}
	return nil
}

// checkP refuses a pressure that is not positive or above the equations' limit.
func (r *Refrigerant) checkP(p Pascal) error {
	m, err := r.entry.core.model()
	if err != nil {
		return err
	}
	if !(p > 0 && float64(p) <= m.pMax) || math.IsInf(float64(p), 0) {
		return &RangeError{Refrigerant: r.Name(), Quantity: "pressure", Value: float64(p), Unit: "Pa", Lo: 0, Hi: m.pMax, Reason: "absolute pressure"}
	}
	return nil
}
