package energy

import (
	"fmt"
	"math"
)

// Moist air by the equations of the ASHRAE Handbook - Fundamentals (2017),
// chapter 1, "Psychrometrics": perfect gases, saturation pressure by Hyland and
// Wexler (1983), ASHRAE Trans. 89(2A) 500. Valid from -100 to 200 °C and 60 to
// 120 kPa; within 0.7 % of real moist air at these pressures (same chapter).

// Air is a state of moist air.
type Air struct {
	Temp     float64 // dry bulb, °C
	Ratio    float64 // kg of water vapour per kg of dry air
	Pressure float64 // kPa absolute
}

// molarRatio is the molar mass of water over that of dry air (eq. 20).
const molarRatio = 0.621945

// Saturation pressure of water, ln(Pa), over ice and over liquid, by powers of the
// temperature in K from -1 to 3 (ice to 4), and of its logarithm (eq. 5, 6).
var (
	overIce    = [...]float64{-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019}
	overLiquid = [...]float64{-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0, 6.5459673}
)

// triplePoint parts ice from liquid, °C.
const triplePoint = 0.01

// SaturationPressure is that of water over liquid, or below the triple point over
// ice, in kPa at t °C (-100 to 200). Outside it is NaN.
func SaturationPressure(t float64) float64 {
	if !(t >= -100 && t <= 200) {
		return math.NaN()
	}
	c := &overLiquid
	if t <= triplePoint {
		c = &overIce
	}
	k := t + 273.15
	return math.Exp(c[0]/k+c[1]+k*(c[2]+k*(c[3]+k*(c[4]+k*c[5])))+c[6]*math.Log(k)) / 1000
}

// Humid is air at t °C and a relative humidity in % (0 to 100), at a pressure in kPa.
func Humid(t, humidity, pressure float64) (Air, error) {
	if !(humidity >= 0 && humidity <= 100) {
		return Air{}, fmt.Errorf("relative humidity of %.1f %%: want 0 to 100", humidity)
	}
	return airOf(t, humidity/100*SaturationPressure(t), pressure)
}

// Saturated is air at its dew point.
func Saturated(t, pressure float64) (Air, error) { return airOf(t, SaturationPressure(t), pressure) }

// airOf is air with a partial pressure of vapour, kPa (eq. 20).
func airOf(t, vapour, pressure float64) (Air, error) {
	if !(vapour < pressure) {
		return Air{}, fmt.Errorf("air at %.1f °C and %.1f kPa: no such moist air", t, pressure)
	}
	return Air{t, molarRatio * vapour / (pressure - vapour), pressure}, nil
}

// Enthalpy is in kJ per kg of dry air, from dry air and liquid water at 0 °C (eq. 30).
func (a Air) Enthalpy() float64 { return 1.006*a.Temp + a.Ratio*(2501+1.86*a.Temp) }

// Volume is in m³ per kg of dry air (eq. 26).
func (a Air) Volume() float64 {
	return 0.287042 * (a.Temp + 273.15) * (1 + 1.607858*a.Ratio) / a.Pressure
}

// DewPoint is the temperature at which the air is saturated, °C (frost point below
// 0 °C), by bisection of SaturationPressure; NaN for dry air.
func (a Air) DewPoint() float64 {
	vapour := a.Ratio * a.Pressure / (molarRatio + a.Ratio)
	if !(vapour > SaturationPressure(-100)) {
		return math.NaN()
	}
	lo, hi := -100.0, 200.0
	for hi-lo > 1e-7 {
		if mid := (lo + hi) / 2; SaturationPressure(mid) < vapour {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Heat of vaporisation of ice to vapour less that to liquid at 0 °C, kJ/kg
// (ASHRAE Handbook - Fundamentals 2017, chapter 1: enthalpy of ice at 0 °C).
const melting = 333.4

// water is the enthalpy of what leaves the air at a surface of t °C, kJ/kg.
func water(t float64) float64 {
	if t < 0 {
		return -melting + 2.102*t
	}
	return 4.186 * t
}

// A Coil is air that passes an evaporator.
type Coil struct {
	On      Air     // entering
	Off     float64 // °C, dry bulb leaving
	Surface float64 // °C, mean temperature of the surface
	Flow    float64 // m³/h as it enters
}

// Heat is what the air gives to the coil, kW: the sensible part, and the latent
// part where the surface is colder than the air's dew point. The state leaving
// lies on the line from the state entering to saturation at the surface, where the
// measured temperature puts it (bypass factor; ASHRAE Handbook - HVAC Systems and
// Equipment, "Air-cooling and dehumidifying coils", from memory).
func (c Coil) Heat() (sensible, latent float64, err error) {
	dry := c.Flow / 3600 / c.On.Volume()
	sensible = dry * (1.006 + 1.86*c.On.Ratio) * (c.On.Temp - c.Off)
	if dew := c.On.DewPoint(); !(c.Surface < dew) || c.Off >= c.On.Temp {
		return sensible, 0, nil
	}
	if c.Off <= c.Surface {
		return 0, 0, fmt.Errorf("air leaves at %.1f °C, colder than the coil's %.1f °C: check both probes", c.Off, c.Surface)
	}
	wall, err := Saturated(c.Surface, c.On.Pressure)
	if err != nil {
		return 0, 0, err
	}
	bypass := (c.Off - c.Surface) / (c.On.Temp - c.Surface)
	off := Air{c.Off, wall.Ratio + bypass*(c.On.Ratio-wall.Ratio), c.On.Pressure}
	removed := c.On.Ratio - off.Ratio
	total := dry * (c.On.Enthalpy() - off.Enthalpy() - removed*water(c.Surface))
	return sensible, total - sensible, nil
}

// AirPressure is that of the standard atmosphere at a height in m, kPa
// (ISO 2533:1975); at sea level where the height is unknown.
func AirPressure(altitude float64) float64 {
	if math.IsNaN(altitude) {
		altitude = 0
	}
	return 101.325 * math.Pow(1-2.25577e-5*altitude, 5.25588)
}
