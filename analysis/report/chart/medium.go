package chart

import "rimelog/analysis/say"

// A Medium is what takes up or gives the heat on the side of the weather: the
// outdoor air, or the air, water or brine that was logged in its place. The zero
// value is the outdoor air.
type Medium struct {
	Place say.Text // "condenser inlet water"; empty for the outdoor air
	Say   say.Locale
}

// At writes a temperature of the medium in the reader's unit: "12 °C outdoors", "40 °C
// condenser inlet water".
func (m Medium) At(t float64, digits int) string {
	return m.Say.With(m.Say.Number(t, digits), m.Say.Unit(say.Temperature)) + " " + m.Words()
}

// Quantity is the medium's temperature in words.
func (m Medium) Quantity() string {
	if m.Place == "" {
		return m.Say.Text("outdoor temperature")
	}
	return m.Say.Text("%s temperature", m.Words())
}

// Head is the head of a column with the medium's temperature.
func (m Medium) Head() string { return say.Capital(m.Words()) + ", " + m.Say.Unit(say.Temperature) }

// Words are where the medium is: "outdoors", "condenser inlet water".
func (m Medium) Words() string {
	if m.Place == "" {
		return m.Say.Text("outdoors")
	}
	return m.Say.Text(m.Place)
}
