package chart

import (
	"unicode"
	"unicode/utf8"

	"rimelog/analysis/report/say"
)

// A Medium is what takes up or gives the heat on the side of the weather: the
// outdoor air, or the air, water or brine that was logged in its place. The zero
// value is the outdoor air.
type Medium struct {
	Place string // "condenser inlet water"; empty for the outdoor air
}

// At writes a temperature of the medium: "12 °C outdoors", "40 °C condenser inlet water".
func (m Medium) At(celsius float64, digits int) string {
	return say.With(say.Number(celsius, digits), "°C") + " " + m.place()
}

// Quantity is the medium's temperature in words.
func (m Medium) Quantity() string {
	if m.Place == "" {
		return "outdoor temperature"
	}
	return m.Place + " temperature"
}

// Head is the head of a column with the medium's temperature.
func (m Medium) Head() string { return capital(m.place()) + ", °C" }

func (m Medium) place() string {
	if m.Place == "" {
		return "outdoors"
	}
	return m.Place
}

// capital writes the first letter large.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
