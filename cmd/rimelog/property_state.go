package main

import (
	"fmt"
	"io"
	"strings"

	"rimelog/thermo"
)

// answerState tells one state, or both ends of evaporation.
func (q *question) answerState(out *console, r *thermo.Refrigerant) error {
	in := given{kPa: q.pressure.value, celsius: q.temp.value}
	if out.json {
		return q.stateJSON(out, r, in)
	}
	f := q.form()
	if f == singlePhase {
		s, err := r.At(in.pressure(), in.temperature())
		if err != nil {
			return usagef("%s", sentence(err, r))
		}
		printState(out.out, r, s)
	} else {
		s, err := f.saturated(equations{r}, in)
		if err != nil {
			return usagef("%s", sentence(err, r))
		}
		printSaturation(out.out, r, f, in, s)
	}
	printAbout(out.out, r)
	return nil
}

// form is the form of a single state.
func (q *question) form() form {
	switch {
	case !q.temp.given:
		return atPressure
	case !q.pressure.given:
		return atTemperature
	}
	return singlePhase
}

func printState(w io.Writer, r *thermo.Refrigerant, s thermo.State) {
	fmt.Fprintf(w, "%s at %s absolute and %s: %s\n\n", r, quantity("Pa", float64(s.P)), quantity("K", float64(s.T)), phase(r, s))
	for _, row := range []struct {
		name, unit string
		value      float64
	}{
		{"density", "kg/m3", float64(s.Density)},
		{"enthalpy", "kJ/kg", float64(s.Enthalpy) / 1000},
		{"entropy", "kJ/(kg K)", float64(s.Entropy) / 1000},
		{"cp", "kJ/(kg K)", float64(s.Cp) / 1000},
		{"cv", "kJ/(kg K)", float64(s.Cv) / 1000},
		{"speed of sound", "m/s", float64(s.Sound)},
	} {
		fmt.Fprintf(w, "  %-15s %12s %s\n", row.name, digits(row.value, 6), row.unit)
	}
}

// phase says where a state lies beside saturation.
func phase(r *thermo.Refrigerant, s thermo.State) string {
	dew, err := r.DewT(s.P)
	switch {
	case err != nil:
		return beyondSaturation(r, s)
	case s.T >= dew:
		return fmt.Sprintf("gas with %.2f K superheat (dew %.2f °C)", float64(s.T-dew), dew.Celsius())
	}
	bubble, err := r.BubbleT(s.P)
	if err != nil {
		return beyondSaturation(r, s)
	}
	return fmt.Sprintf("liquid with %.2f K subcooling (bubble %.2f °C)", float64(bubble-s.T), bubble.Celsius())
}

// beyondSaturation names a state at a pressure without saturation.
func beyondSaturation(r *thermo.Refrigerant, s thermo.State) string {
	tc, pc := r.Critical()
	if s.P < pc {
		return "no saturation at this pressure"
	}
	return fmt.Sprintf("above the critical pressure of %.4g kPa, no saturation (critical temperature %.2f °C)", float64(pc)/1000, tc.Celsius())
}

func printSaturation(w io.Writer, r *thermo.Refrigerant, f form, in given, s saturation) {
	at := fmt.Sprintf("%.8g kPa absolute", in.kPa)
	if f == atTemperature {
		at = fmt.Sprintf("%.8g °C", in.celsius)
	}
	fmt.Fprintf(w, "%s, saturation at %s\n\n  %-12s %14s %14s\n", r, at, "", "bubble, liquid", "dew, vapour")
	b, d := s.bubble, s.dew
	for _, row := range []struct {
		name, unit  string
		bubble, dew float64
	}{
		{"temperature", "°C", b.T.Celsius(), d.T.Celsius()},
		{"pressure", "kPa absolute", float64(b.P) / 1000, float64(d.P) / 1000},
		{"density", "kg/m3", float64(b.Density), float64(d.Density)},
		{"enthalpy", "kJ/kg", float64(b.Enthalpy) / 1000, float64(d.Enthalpy) / 1000},
		{"entropy", "kJ/(kg K)", float64(b.Entropy) / 1000, float64(d.Entropy) / 1000},
	} {
		fmt.Fprintf(w, "  %-12s %14s %14s %s\n", row.name, digits(row.bubble, 6), digits(row.dew, 6), row.unit)
	}
	if glide := float64(d.T - b.T); f == atPressure && !r.Pure() {
		fmt.Fprintf(w, "\n  glide %.2f K: superheat counts from dew, subcooling from bubble\n", glide)
	}
}

// printAbout says what the figures rest on, and what to mind.
func printAbout(w io.Writer, r *thermo.Refrigerant) {
	src := r.Source()
	fmt.Fprintf(w, "\nEnthalpy and entropy: %s datum. Accuracy grade %s, %s.\n", r.Datum(), r.Grade(), gradeMeans(r.Grade()))
	if len(src.Estimated) > 0 {
		fmt.Fprintf(w, "Estimated pairs: %s.\n", strings.Join(src.Estimated, ", "))
	}
	fmt.Fprintf(w, "Equations:\n  %s\n\n", strings.ReplaceAll(src.Cite, "; ", "\n  "))
	for _, c := range hazards(r) {
		fmt.Fprintln(w, c)
	}
}

// stateJSON prints one state under the names of the -batch columns.
func (q *question) stateJSON(out *console, r *thermo.Refrigerant, in given) error {
	o, err := q.form().object(r, in)
	if err != nil {
		return usagef("%s", sentence(err, r))
	}
	describe(o, r)
	out.print(o)
	return nil
}

// object gives the inputs and results of a form by the names of their columns,
// and the entropies of saturation beside them.
func (f form) object(r *thermo.Refrigerant, in given) (map[string]any, error) {
	o := map[string]any{}
	if f != atTemperature {
		o["pressure_kpa"] = in.kPa
	}
	if f != atPressure {
		o["temp_c"] = in.celsius
	}
	values, err := f.results(nil, equations{r}, in)
	if err != nil {
		return o, err
	}
	for i, name := range f.columns() {
		o[name] = significant(values[i])
	}
	if f == singlePhase {
		return o, nil
	}
	s, err := f.saturated(equations{r}, in)
	o["liquid_entropy_kj_kgk"] = significant(float64(s.bubble.Entropy) / 1000)
	o["vapour_entropy_kj_kgk"] = significant(float64(s.dew.Entropy) / 1000)
	return o, err
}

// describe adds what the figures rest on, and what to mind.
func describe(o map[string]any, r *thermo.Refrigerant) {
	o["refrigerant"], o["datum"], o["grade"] = r.Name(), r.Datum().String(), r.Grade().String()
	o["safety_class"], o["source"], o["cautions"] = r.SafetyClass(), r.Source().Cite, hazards(r)
}
