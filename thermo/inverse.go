package thermo

import (
	"errors"
	"fmt"
	"math"
)

// AtPH is the single-phase state at pressure p with enthalpy h (datum of r).
// Inside the two-phase region it is a *TwoPhaseError: ask Quality.
func (r *Refrigerant) AtPH(p Pascal, h JoulePerKg) (State, error) {
	return r.invert(p, "enthalpy", "J/kg", float64(h), func(s *State) (value, slope float64) {
		return float64(s.Enthalpy), float64(s.Cp)
	})
}

// AtPS is the single-phase state at pressure p with entropy s (datum of r): the
// end of an isentropic compression when s is that of the suction state.
func (r *Refrigerant) AtPS(p Pascal, s JoulePerKgK) (State, error) {
	return r.invert(p, "entropy", "J/(kg K)", float64(s), func(s *State) (value, slope float64) {
		return float64(s.Entropy), float64(s.Cp) / float64(s.T)
	})
}

// invert finds the temperature at which a property that rises with temperature
// at constant pressure has the wanted value. get returns the property and its
// derivative.
func (r *Refrigerant) invert(p Pascal, quantity, unit string, want float64, get func(*State) (float64, float64)) (State, error) {
	if err := r.checkP(p); err != nil {
		return State{}, err
	}
	if math.IsNaN(want) || math.IsInf(want, 0) {
		return State{}, &RangeError{Refrigerant: r.Name(), Quantity: quantity, Value: want, Unit: unit, Lo: math.Inf(-1), Hi: math.Inf(1)}
	}
	lim := r.Range()
	lo, hi := float64(lim.TMin), float64(lim.TMax)
	bubble, errB := r.BubbleAt(p)
	dew, errD := r.DewAt(p)
	var super *SupercriticalError
	switch {
	case errB == nil && errD == nil:
		b, _ := get(&bubble)
		d, _ := get(&dew)
		switch {
		case want == b:
			return bubble, nil
		case want == d:
			return dew, nil
		case want < b:
			hi = float64(bubble.T)
		case want > d:
			lo = float64(dew.T)
		default:
			return State{}, &TwoPhaseError{Refrigerant: r.Name(), P: p, Bubble: bubble.T, Dew: dew.T}
		}
	case errors.As(errB, &super) || errors.As(errD, &super) || belowLine(errD, p):
		// one phase at every temperature, or only gas
	default:
		return State{}, errors.Join(errB, errD)
	}
	return r.solveT(p, lo, hi, quantity, unit, want, get)
}

// belowLine reports whether p is under the cold end of a saturation line, where
// only gas is left within the equations' range.
func belowLine(err error, p Pascal) bool {
	var e *RangeError
	return errors.As(err, &e) && e.Quantity == "pressure" && float64(p) < e.Lo
}

// solveT is Newton's method in temperature inside a shrinking bracket.
func (r *Refrigerant) solveT(p Pascal, lo, hi float64, quantity, unit string, want float64, get func(*State) (float64, float64)) (State, error) {
	first, last := lo, hi
	t := lo + 0.3*(hi-lo)
	if want < 0 || hi < float64(r.Range().TMax) {
		t = hi - 0.2*(hi-lo)
	}
	for range 100 {
		s, err := r.At(p, Kelvin(t))
		var two *TwoPhaseError
		switch {
		case errors.As(err, &two) && lo == first && hi < last, errors.As(err, &two) && last == hi && lo > first:
			return State{}, err
		case errors.As(err, &two): // rounding at the saturated end
			t += 1e-7 * (last + first - 2*t) / (last - first) * t
			continue
		case err != nil:
			return State{}, err
		}
		value, slope := get(&s)
		if value > want {
			hi = t
		} else {
			lo = t
		}
		step := (want - value) / slope
		if math.Abs(step) < 1e-10*t || hi-lo < 1e-11*t {
			return s, nil
		}
		if t += step; !(t > lo && t < hi) {
			t = (lo + hi) / 2
		}
		if hi-first < 1e-9*hi || last-lo < 1e-9*last {
			break
		}
	}
	return State{}, &RangeError{
		Refrigerant: r.Name(), Quantity: quantity, Value: want, Unit: unit,
		Lo: r.valueAt(p, first, get), Hi: r.valueAt(p, last, get), Reason: fmt.Sprintf("at %.7g Pa", float64(p)),
	}
}

func (r *Refrigerant) valueAt(p Pascal, t float64, get func(*State) (float64, float64)) float64 {
	s, err := r.At(p, Kelvin(t))
	if err != nil {
		return math.NaN()
	}
	v, _ := get(&s)
	return v
}
