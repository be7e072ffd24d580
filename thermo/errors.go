package thermo

import (
	"fmt"
	"strings"
)

// UnknownError says that a name designates no refrigerant, or several.
type UnknownError struct {
	Name      string
	Ambiguous bool     // Nearest are the refrigerants it could mean
	Nearest   []string // canonical names, best first
}

func (e *UnknownError) Error() string {
	what := "is not a known refrigerant; nearest are"
	if e.Ambiguous {
		what = "is ambiguous; write one of"
	}
	return fmt.Sprintf("%q %s %s", e.Name, what, strings.Join(e.Nearest, ", "))
}

// RangeError says that a value is outside the range in which a refrigerant's
// equation, or a saturation line, holds. Nothing is ever extrapolated.
type RangeError struct {
	Refrigerant string
	Quantity    string // "pressure", "temperature", ...
	Value       float64
	Unit        string
	Lo, Hi      float64
	Reason      string // what bounds the range, may be empty
}

func (e *RangeError) Error() string {
	s := fmt.Sprintf("%s: %s %.7g %s is outside %.7g to %.7g %s", e.Refrigerant, e.Quantity, e.Value, e.Unit, e.Lo, e.Hi, e.Unit)
	if e.Reason != "" {
		s += " (" + e.Reason + ")"
	}
	return s
}

// SupercriticalError says that there is no saturation at a pressure or
// temperature because it is at or above the critical point: a transcritical
// plant has a gas cooler and no condensing temperature. It unwraps to a
// *RangeError.
type SupercriticalError struct {
	Range    RangeError
	Critical struct {
		T Kelvin
		P Pascal
	}
}

func (e *SupercriticalError) Error() string {
	return fmt.Sprintf("%s: no saturation at %s %.7g %s: critical point %.2f K, %.4g kPa",
		e.Range.Refrigerant, e.Range.Quantity, e.Range.Value, e.Range.Unit, float64(e.Critical.T), float64(e.Critical.P)/1000)
}

// Unwrap returns the range that was left.
func (e *SupercriticalError) Unwrap() error { return &e.Range }

// TwoPhaseError says that a state asked for as a single phase lies between the
// bubble and dew points.
type TwoPhaseError struct {
	Refrigerant string
	P           Pascal
	T           Kelvin // 0 when the state was given by enthalpy or entropy
	Bubble, Dew Kelvin // at P; 0 when the comparison was made at T
}

func (e *TwoPhaseError) Error() string {
	if e.T == 0 {
		return fmt.Sprintf("%s: state at %.7g Pa is two-phase, between %.2f K (bubble) and %.2f K (dew)",
			e.Refrigerant, float64(e.P), float64(e.Bubble), float64(e.Dew))
	}
	return fmt.Sprintf("%s: %.7g Pa and %.2f K are a two-phase state; ask for BubbleAt, DewAt or give an enthalpy",
		e.Refrigerant, float64(e.P), float64(e.T))
}
