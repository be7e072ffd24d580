package drift

import (
	"strings"

	"rimelog/pipeline/table"
)

// Where the liquid has a pressure sensor of its own, before the valve, subcooling counts from
// there. Above a riser that is less than at the condenser: the column of liquid takes its
// weight off the pressure. Values of the two places are compared as those of different
// instruments are, which may lie apart by what a lift makes.

// liftSpread is how far subcooling may lie apart between the two places, K: ρ g h of 1,100 kg/m³
// over 10 m is 108 kPa, and R134a at 40 °C loses a kelvin of saturation every 26 kPa, R404A
// every 42 (Clausius-Clapeyron by their vapour pressures, from memory).
const liftSpread = 4.0

const valveMark = " (liquid at the valve)"

// setOf names the instruments of a visit, and where they measured the liquid.
func setOf(v *table.Visit) string {
	if !(v.LiquidPressure > 0) {
		return v.Instruments
	}
	return v.Instruments + valveMark
}

// atValve tells whether a set measured the liquid's pressure before the valve.
func atValve(set string) bool { return strings.HasSuffix(set, valveMark) }

// lifted is how far a gauge may lie apart between two sets for the place of the liquid alone, K.
func (g gauge) lifted(a, b string) float64 {
	if g.column == Subcooling && atValve(a) != atValve(b) {
		return liftSpread
	}
	return 0
}

// serialsOf are the serials of a set.
func serialsOf(set string) []string { return strings.Fields(strings.TrimSuffix(set, valveMark)) }
