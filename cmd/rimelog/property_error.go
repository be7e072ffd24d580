package main

import (
	"errors"
	"fmt"

	"rimelog/thermo"
)

// sentence says an error of package thermo in the units of this command, with
// the valid range and what to do about it. r may be nil.
func sentence(err error, r *thermo.Refrigerant) string {
	var unknown *thermo.UnknownError
	var super *thermo.SupercriticalError
	var two *thermo.TwoPhaseError
	var out *thermo.RangeError
	switch {
	case errors.As(err, &unknown):
		return err.Error() + "; `rimelog refrigerants` lists all"
	case errors.As(err, &super):
		return beyondCritical(super)
	case errors.As(err, &two):
		return fmt.Sprintf("%s: %s at %s is a two-phase state%s; give only one of them for bubble and dew point",
			two.Refrigerant, quantity("Pa", float64(two.P)), quantity("K", float64(two.T)), lines(r, two.P))
	case errors.As(err, &out):
		return outside(out)
	}
	return err.Error()
}

// beyondCritical says why there is no saturation, and what to ask instead.
func beyondCritical(e *thermo.SupercriticalError) string {
	remedy := otherUnit(&e.Range)
	if remedy == "" {
		remedy = "; give pressure and temperature for the state of the gas"
	}
	return fmt.Sprintf("%s: no saturation at %s, the critical point is %.2f °C and %.4g kPa%s",
		e.Range.Refrigerant, quantity(e.Range.Unit, e.Range.Value), e.Critical.T.Celsius(), float64(e.Critical.P)/1000, remedy)
}

// outside says what range a value has left, and what the usual mistake is.
func outside(e *thermo.RangeError) string {
	v, unit := usual(e.Unit, e.Value)
	s := fmt.Sprintf("%s: %s %.8g %s is outside %s", e.Refrigerant, e.Quantity, v, unit, span(e))
	if e.Reason != "" && e.Reason != "absolute pressure" {
		s += " (" + e.Reason + ")"
	}
	return s + otherUnit(e)
}

// otherUnit asks for the unit when the value would fit in another.
func otherUnit(e *thermo.RangeError) string {
	fits := func(v float64) bool { return v >= e.Lo && v <= e.Hi && v > 0 }
	switch {
	case e.Unit == "Pa" && e.Value <= 0:
		return "; pressures are absolute: add the air pressure, about 101.3 kPa at sea level, to a gauge reading"
	case e.Unit == "Pa" && e.Value < e.Lo && fits(e.Value*100):
		return "; pressures are in kPa: is it in bar?"
	case e.Unit == "Pa" && fits(e.Value/1000):
		return "; pressures are in kPa: is it in Pa?"
	case e.Unit == "K" && e.Value > e.Hi && fits(e.Value-273.15):
		return "; temperatures are in °C: is it in K?"
	}
	return ""
}

// span is the range of an error in the units of this command.
func span(e *thermo.RangeError) string {
	lo, unit := usual(e.Unit, e.Lo)
	hi, _ := usual(e.Unit, e.Hi)
	if e.Unit == "Pa" {
		unit += " absolute"
	}
	return fmt.Sprintf("%.7g to %.7g %s", lo, hi, unit)
}

// usual converts an SI value to the units of this command.
func usual(unit string, value float64) (float64, string) {
	switch unit {
	case "Pa":
		return rounded(value/1000, 9), "kPa"
	case "K":
		return rounded(value-273.15, 9), "°C"
	}
	return value, unit
}

// lines tells where the two-phase region is at a pressure.
func lines(r *thermo.Refrigerant, p thermo.Pascal) string {
	if r == nil {
		return ""
	}
	bubble, errB := r.BubbleT(p)
	dew, errD := r.DewT(p)
	if errors.Join(errB, errD) != nil {
		return ""
	}
	if r.Pure() {
		return fmt.Sprintf(", it boils at %.4f °C", dew.Celsius())
	}
	return fmt.Sprintf(", between %.4f °C (bubble) and %.4f °C (dew)", bubble.Celsius(), dew.Celsius())
}

// quantity prints a value of package thermo in the units of this command.
func quantity(unit string, value float64) string {
	v, u := usual(unit, value)
	return fmt.Sprintf("%.8g %s", v, u)
}
