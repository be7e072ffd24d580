package main

import (
	"context"
	"fmt"
	"io"
	"math"

	"rimelog/thermo"
)

// answerTable prints a saturation table over temperature. Rows without
// saturation say why, unless only the default range holds them.
func (q *question) answerTable(ctx context.Context, out *console, r *thermo.Refrigerant) error {
	temps := q.temperatures(r)
	if out.json {
		return tableJSON(ctx, out, r, temps)
	}
	tableHead(out.out, r)
	var left error
	for _, t := range temps {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := tableRow(out.out, r, t); err != nil {
			left = errLeftOut
		}
	}
	printAbout(out.out, r)
	return left
}

// temperatures are the table's rows, in °C: the default ends only where
// saturation holds them.
func (q *question) temperatures(r *thermo.Refrigerant) []float64 {
	tc, _ := r.Critical()
	lo, hi := r.Range().TMin.Celsius(), tc.Celsius()
	var list []float64
	n := int(math.Floor((q.to.value-q.from.value)/q.step.value + 1e-9))
	for i := range n + 1 {
		t := q.from.value + float64(i)*q.step.value
		t = math.Round(t*1e9) / 1e9
		if !q.from.given && t < lo || !q.to.given && t >= hi {
			continue
		}
		list = append(list, t)
	}
	return list
}

func tableHead(w io.Writer, r *thermo.Refrigerant) {
	fmt.Fprintf(w, "%s, saturation over temperature\n\n", r)
	fmt.Fprintf(w, "%8s %9s %9s %9s %9s %9s %9s %9s %9s\n", "", "bubble", "dew", "liquid", "vapour", "liquid", "vapour", "liquid", "vapour")
	fmt.Fprintf(w, "%8s %9s %9s %9s %9s %9s %9s %9s %9s\n", "°C", "kPa abs", "kPa abs", "kg/m3", "kg/m3", "kJ/kg", "kJ/kg", "kJ/kgK", "kJ/kgK")
}

func tableRow(w io.Writer, r *thermo.Refrigerant, t float64) error {
	s, err := atTemperature.saturated(equations{r}, given{celsius: t})
	if err != nil {
		fmt.Fprintf(w, "%8.8g  %s\n", t, sentence(err, r))
		return err
	}
	b, d := s.bubble, s.dew
	fmt.Fprintf(w, "%8.8g", t)
	for _, v := range []float64{
		float64(b.P) / 1000, float64(d.P) / 1000, float64(b.Density), float64(d.Density),
		float64(b.Enthalpy) / 1000, float64(d.Enthalpy) / 1000, float64(b.Entropy) / 1000, float64(d.Entropy) / 1000,
	} {
		fmt.Fprintf(w, " %9s", digits(v, 5))
	}
	fmt.Fprintln(w)
	return nil
}

// tableJSON prints the table under the names of the -batch columns.
func tableJSON(ctx context.Context, out *console, r *thermo.Refrigerant, temps []float64) error {
	var left error
	rows := []map[string]any{}
	for _, t := range temps {
		if err := ctx.Err(); err != nil {
			return err
		}
		o, err := atTemperature.object(r, given{celsius: t})
		if err != nil {
			o["error"] = sentence(err, r)
			left = errLeftOut
		}
		rows = append(rows, o)
	}
	o := map[string]any{"rows": rows}
	describe(o, r)
	out.print(o)
	return left
}
