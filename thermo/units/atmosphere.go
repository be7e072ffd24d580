package units

import (
	"fmt"
	"math"
	"math/big"
)

// SeaLevel is the pressure of the standard atmosphere at sea level, in kPa.
// Source: ISO 2533:1975, table 1.
func SeaLevel() *big.Rat { return big.NewRat(101325, 1000) }

// AirPressure is the pressure of the standard atmosphere at an altitude in
// metres, in kPa, rounded to the pascal. Valid from -1000 m to 11000 m.
//
// Formula: p = p0 (1 + β H / T0)^(-g / (β R)) with β = -0.0065 K/m,
// T0 = 288.15 K, g = 9.80665 m/s², R = 287.05287 J/(kg K).
// Source: ISO 2533:1975, sec. 2.3 and 2.7, for the layer up to 11 km; the altitude
// above sea level is taken as the geopotential one (0.03 % apart at 2000 m).
func AirPressure(altitude float64) (*big.Rat, error) {
	if !(altitude >= -1000 && altitude <= 11000) {
		return nil, fmt.Errorf("altitude %v m: want -1000 to 11000", altitude)
	}
	const lapse, t0, g, r = -0.0065, 288.15, 9.80665, 287.05287
	p := 101325 * math.Pow(1+lapse*altitude/t0, -g/(lapse*r))
	return big.NewRat(int64(math.RoundToEven(p)), 1000), nil
}
