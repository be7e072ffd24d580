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

// inversion is the search for the temperature at which a property that rises
// with temperature at constant pressure has a wanted value.
type inversion struct {
	r              *Refrigerant
	p              Pascal
	quantity, unit string
	want           float64
	get            func(*State) (value, slope float64)
	lo, hi         float64 // K, bracket
	atDew          bool    // lo is the dew temperature
	atBubble       bool    // hi is the bubble temperature
}

// invert finds the single-phase state at p where get's value is want.
func (r *Refrigerant) invert(p Pascal, quantity, unit string, want float64, get func(*State) (value, slope float64)) (State, error) {
	if err := r.checkP(p); err != nil {
		return State{}, err
	}
	lim := r.Range()
	v := &inversion{r: r, p: p, quantity: quantity, unit: unit, want: want, get: get, lo: float64(lim.TMin), hi: float64(lim.TMax)}
	if !finite(want) {
		return State{}, v.outside(math.Inf(-1), math.Inf(1))
	}
	if s, done, err := v.bracket(); done || err != nil {
		return s, err
	}
	if err := v.checkEnds(); err != nil {
		return State{}, err
	}
	return v.solve()
}

// bracket narrows the search to the liquid or the gas when p has a saturation.
// done is true when the state is a saturated one.
func (v *inversion) bracket() (s State, done bool, err error) {
	bubble, errB := v.r.BubbleAt(v.p)
	dew, errD := v.r.DewAt(v.p)
	if aboveLine(errB, v.p) || aboveLine(errD, v.p) {
		return State{}, false, nil // one phase at every temperature, but for a spot at the critical point
	}
	if belowLine(errD, v.p) {
		return State{}, false, nil // only gas within the equations' range
	}
	if errD != nil {
		return State{}, false, errD
	}
	d, _ := v.get(&dew)
	if v.want == d {
		return dew, true, nil
	}
	if v.want > d {
		v.lo, v.atDew = float64(dew.T), true
		return State{}, false, nil
	}
	if errB != nil {
		return State{}, false, errB
	}
	b, _ := v.get(&bubble)
	if v.want > b {
		return State{}, false, &TwoPhaseError{Refrigerant: v.r.Name(), P: v.p, Bubble: bubble.T, Dew: dew.T}
	}
	v.hi, v.atBubble = float64(bubble.T), true
	return bubble, v.want == b, nil
}

// belowLine reports whether p is under the cold end of a saturation line.
func belowLine(err error, p Pascal) bool {
	var e *RangeError
	return errors.As(err, &e) && e.Quantity == "pressure" && float64(p) < e.Lo
}

// aboveLine reports whether p is beyond the critical end of a saturation line.
func aboveLine(err error, p Pascal) bool {
	var e *RangeError
	return errors.As(err, &e) && e.Quantity == "pressure" && float64(p) > e.Hi
}

// checkEnds refuses a value beyond the ends of the equations' range.
func (v *inversion) checkEnds() error {
	low, high := math.Inf(-1), math.Inf(1)
	if !v.atDew {
		s, err := v.r.At(v.p, Kelvin(v.lo))
		if err != nil {
			return err
		}
		low, _ = v.get(&s)
	}
	if !v.atBubble {
		s, err := v.r.At(v.p, Kelvin(v.hi))
		if err != nil {
			return err
		}
		high, _ = v.get(&s)
	}
	if v.want < low || v.want > high {
		return v.outside(low, high)
	}
	return nil
}

func (v *inversion) outside(low, high float64) error {
	return &RangeError{
		Refrigerant: v.r.Name(), Quantity: v.quantity, Value: v.want, Unit: v.unit,
		Lo: low, Hi: high, Reason: fmt.Sprintf("at %.7g Pa", float64(v.p)),
	}
}

// solve is Newton's method in temperature inside a shrinking bracket, halving
// it where Newton's step leaves it or gains too little.
func (v *inversion) solve() (State, error) {
	t := v.lo + 0.3*(v.hi-v.lo)
	if v.atBubble {
		t = v.hi - 0.1*(v.hi-v.lo)
	}
	before := math.Inf(1)
	for range 200 {
		s, err := v.r.At(v.p, Kelvin(t))
		var two *TwoPhaseError
		if errors.As(err, &two) { // rounding at the saturated end
			if v.atDew {
				v.lo = t
			} else {
				v.hi = t
			}
			t = (v.lo + v.hi) / 2
			continue
		}
		if err != nil {
			return State{}, err
		}
		value, slope := v.get(&s)
		if value > v.want {
			v.hi = t
		} else {
			v.lo = t
		}
		step := (v.want - value) / slope
		if math.Abs(step) < 1e-10*t || v.hi-v.lo < 1e-11*t {
			return s, nil
		}
		miss := math.Abs(v.want - value)
		if t += step; !(t > v.lo && t < v.hi) || miss > 0.5*before {
			t = (v.lo + v.hi) / 2
		}
		before = miss
	}
	return State{}, fmt.Errorf("%s: no state at %.7g Pa with %s %.7g %s found", v.r.Name(), float64(v.p), v.quantity, v.want, v.unit)
}
