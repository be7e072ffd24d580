package main

import "rimelog/thermo"

// A form is what is given of a state; it decides which results there are.
type form uint8

const (
	atPressure    form = iota // saturation at a pressure
	atTemperature             // saturation at a temperature
	singlePhase               // gas or liquid, both given
)

// columns names the results of a form in the order of the output. They are an
// interface to other programs: never rename or move one.
func (f form) columns() []string {
	lines := []string{"liquid_density_kg_m3", "vapour_density_kg_m3", "liquid_enthalpy_kj_kg", "vapour_enthalpy_kj_kg"}
	switch f {
	case atPressure:
		return append([]string{"bubble_temp_c", "dew_temp_c"}, lines...)
	case atTemperature:
		return append([]string{"bubble_pressure_kpa", "dew_pressure_kpa"}, lines...)
	}
	return []string{"density_kg_m3", "enthalpy_kj_kg", "entropy_kj_kgk", "cp_kj_kgk", "sound_m_s"}
}

// A given is the input of a form, in the units of its columns; NaN where the
// form has none.
type given struct{ kPa, celsius float64 }

func (g given) pressure() thermo.Pascal    { return thermo.Pascal(g.kPa * 1000) }
func (g given) temperature() thermo.Kelvin { return thermo.FromCelsius(g.celsius) }

// properties answers from the equations of a refrigerant, or from what is
// fitted to them.
type properties interface {
	BubbleP(thermo.Kelvin) (thermo.Pascal, error)
	DewP(thermo.Kelvin) (thermo.Pascal, error)
	BubbleAt(thermo.Pascal) (thermo.Saturated, error)
	DewAt(thermo.Pascal) (thermo.Saturated, error)
	At(thermo.Pascal, thermo.Kelvin) (thermo.State, error)
}

// equations makes the equations of state answer as the fits do.
type equations struct{ *thermo.Refrigerant }

func (e equations) BubbleAt(p thermo.Pascal) (thermo.Saturated, error) {
	return onLine(e.Refrigerant.BubbleAt(p))
}

func (e equations) DewAt(p thermo.Pascal) (thermo.Saturated, error) {
	return onLine(e.Refrigerant.DewAt(p))
}

func onLine(s thermo.State, err error) (thermo.Saturated, error) {
	return thermo.Saturated{T: s.T, P: s.P, Density: s.Density, Enthalpy: s.Enthalpy, Entropy: s.Entropy}, err
}

// A saturation is both ends of evaporation: at one pressure, or each at its own
// pressure for one temperature.
type saturation struct{ bubble, dew thermo.Saturated }

// saturated works out a saturation for one of the two forms that have one.
func (f form) saturated(p properties, in given) (s saturation, err error) {
	bubble, dew := in.pressure(), in.pressure()
	if f == atTemperature {
		if bubble, err = p.BubbleP(in.temperature()); err != nil {
			return s, err
		}
		if dew, err = p.DewP(in.temperature()); err != nil {
			return s, err
		}
	}
	if s.bubble, err = p.BubbleAt(bubble); err != nil {
		return s, err
	}
	s.dew, err = p.DewAt(dew)
	return s, err
}

// results appends the values of the form's columns to dst.
func (f form) results(dst []float64, p properties, in given) ([]float64, error) {
	if f == singlePhase {
		s, err := p.At(in.pressure(), in.temperature())
		return append(dst, float64(s.Density), float64(s.Enthalpy)/1000, float64(s.Entropy)/1000,
			float64(s.Cp)/1000, float64(s.Sound)), err
	}
	s, err := f.saturated(p, in)
	if f == atPressure {
		dst = append(dst, s.bubble.T.Celsius(), s.dew.T.Celsius())
	} else {
		dst = append(dst, float64(s.bubble.P)/1000, float64(s.dew.P)/1000)
	}
	return append(dst, float64(s.bubble.Density), float64(s.dew.Density),
		float64(s.bubble.Enthalpy)/1000, float64(s.dew.Enthalpy)/1000), err
}
