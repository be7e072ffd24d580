package thermo

// Named quantities keep a temperature from being passed as a pressure. All are
// SI and absolute.
type (
	Pascal         float64 // absolute pressure
	Kelvin         float64 // absolute temperature, or a difference where said
	JoulePerKg     float64 // specific enthalpy or energy
	JoulePerKgK    float64 // specific entropy or heat capacity
	KgPerM3        float64 // density
	MetrePerSecond float64 // speed of sound
	KgPerSecond    float64 // mass flow
	Watt           float64 // power
)

// zeroCelsius is 0 degrees C in K, exact by definition (SI Brochure, 9th ed.,
// sec. 2.3.1).
const zeroCelsius = 273.15

// Celsius returns the temperature in degrees C.
func (t Kelvin) Celsius() float64 { return float64(t) - zeroCelsius }

// FromCelsius converts degrees C to K.
func FromCelsius(c float64) Kelvin { return Kelvin(c + zeroCelsius) }
