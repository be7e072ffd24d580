package plant

import "math"

// Expansion is the kind of expansion device.
type Expansion uint8

// The kinds of expansion device.
const (
	Thermostatic Expansion = iota // opens in proportion to superheat
	Electronic                    // holds superheat
	Fixed                         // capillary or orifice
)

// A Valve lets the refrigerant expand.
type Valve struct {
	Kind      Expansion
	Area      float64 // flow area times discharge coefficient, fully open, m²
	Closed    float64 // superheat at which it starts to open, K
	Gradient  float64 // superheat from closed to fully open, K; 0 for an electronic valve
	Stuck     float64 // share of the stroke it is stuck at; 0 if it moves
	LineShare float64 // share of the high side's pressure drop lost in a clean liquid line

	now float64 // opening of several valves taken as one
}

// chokeShare is where a fixed opening chokes: pressure in the throat over the
// saturation pressure of the liquid before it (assumed; makes the flow follow
// subcooling as it does in short tubes).
const chokeShare = 0.8

// beyondOpen is how far superheat rises per unit of the valve unknown once the
// device is fully open, K. It only scales the unknown.
const beyondOpen = 20.0

// position turns the valve's unknown into opening and superheat. Superheat nears
// the most that the source allows, but never gets there.
func (v Valve) position(u, most float64) (opening, superheat float64) {
	open := v.Closed + v.Gradient
	switch {
	case v.Stuck > 0:
		return v.Stuck, level(beyondOpen*u, most)
	case v.Kind == Fixed:
		return 1, level(beyondOpen*u, most)
	case u > 1:
		return 1, open + level(beyondOpen*(u-1), most-open)
	}
	return u, v.Closed + v.Gradient*u
}

// unknown is the valve's unknown at a wanted superheat and opening.
func (v Valve) unknown(opening, superheat, most float64) float64 {
	if v.Stuck > 0 || v.Kind == Fixed {
		return unlevel(superheat, most) / beyondOpen
	}
	return opening
}

// level is a value that grows as x does at first and levels out at a bound. It is
// NaN where the bound is not above zero. Below zero it is x.
func level(x, most float64) float64 {
	if x <= 0 {
		return x
	}
	if !(most > 0) {
		return math.NaN()
	}
	return -most * math.Expm1(-x/most)
}

// unlevel is the inverse of level.
func unlevel(y, most float64) float64 {
	if y <= 0 {
		return y
	}
	return -most * math.Log1p(-y/most)
}

// flow is what passes at an opening, kg/s: density and pressure before it, and the
// pressure after it or in its throat, where that is higher, kPa. blocked is the share of
// the liquid line's area that is lost.
func (v Valve) flow(opening, density, before, after, blocked float64) float64 {
	drop := before - after
	if !(drop > 0) {
		return 0
	}
	return v.throat(opening, blocked) * math.Sqrt(2*density*drop*1000)
}

// throat is the area of valve and liquid line in a row, m².
func (v Valve) throat(opening, blocked float64) float64 {
	valve := opening * v.Area
	line := v.Area * math.Sqrt(1/v.LineShare-1) * (1 - blocked)
	return valve * line / math.Hypot(valve, line)
}
