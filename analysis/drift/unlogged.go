package drift

import (
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// leastFilled is how many values must be known for others to be filled in.
const leastFilled = 3

// leastTrue is the chance of being none that is wild from which on a value is taken for true.
const leastTrue = 0.5

// filled fills gaps in, and puts right what is wild (a meter of which a phase is missing), with
// what the others are at such an outdoor temperature, and tells by how much they scatter about
// that; not ok where too few are known.
func filled(x []float64, points []*point) (sd float64, ok bool) {
	var known, out []float64
	var at []int
	for i, v := range x {
		if !math.IsNaN(v) && !math.IsInf(v, 0) && !math.IsNaN(points[i].outdoor) {
			known, out, at = append(known, v), append(out, (points[i].outdoor-15)/10), append(at, i)
		}
	}
	if len(known) < leastFilled {
		return 0, false
	}
	ones := make([]float64, len(known))
	for i := range ones {
		ones[i] = 1
	}
	mid, _ := robust.Median(known)
	fit, err := robust.Belief{
		Y: known, Columns: [][]float64{ones, out}, Mean: []float64{mid, 0}, SD: []float64{0.5, 0.3},
		Wild: wildShare, WildSD: 1, Scatter: 0.05, ScatterWeight: 2,
	}.Fit()
	if err != nil {
		return 0, false
	}
	for k, i := range at {
		if fit.Weights[k] < leastTrue {
			x[i] = math.NaN()
		}
	}
	for i, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			x[i] = fit.Coef[0]
			if o := points[i].outdoor; !math.IsNaN(o) {
				x[i] += fit.Coef[1] * (o - 15) / 10
			}
		}
	}
	return fit.Scatter, true
}

// leastWeather is how many visits tell outdoor temperature by the machine's own, and
// weatherErrs the least standard uncertainty of one that is told so, K.
const (
	leastWeather = 4
	weatherErrs  = 1.5
)

// weathered gives points without outdoor temperature the one at which the machine mostly
// evaporates and condenses as it does there, much less sure.
func weathered(points []point) []point {
	b := robust.Belief{Mean: []float64{15, 0, 0}, SD: []float64{15, 1, 1}, Columns: make([][]float64, 3), Wild: wildShare, WildSD: 10, Scatter: 3, ScatterWeight: 2}
	row := func(p *point) [3]float64 { return [3]float64{1, p.evaporating, p.condensing - 30} }
	for i := range points {
		p := &points[i]
		r := row(p)
		if math.IsNaN(p.outdoor+r[1]+r[2]) || p.heats {
			continue
		}
		b.Y = append(b.Y, p.outdoor)
		for k, v := range r {
			b.Columns[k] = append(b.Columns[k], v)
		}
	}
	if len(b.Y) < leastWeather || len(b.Y) == len(points) {
		return points
	}
	fit, err := b.Fit()
	if err != nil {
		return points
	}
	out := slices.Clone(points)
	for i := range out {
		p := &out[i]
		r := row(p)
		if !math.IsNaN(p.outdoor) || math.IsNaN(r[1]+r[2]) || p.heats {
			continue
		}
		sum, sd := fit.Along(r[:])
		p.outdoor, p.weather = sum, math.Max(weatherErrs, math.Hypot(sd, fit.Scatter))
	}
	return out
}

// settled gives points without the temperature of the medium entering the evaporator what it
// mostly is since the thermostat was last set anew: it holds it, whatever else is done about
// the machine. The difference follows from it, so much less sure. A heat pump's source is the
// weather's.
func settled(s register.System, events []register.Event, points []point) []point {
	if s.Kind.Heats() {
		return points
	}
	var out []point
	for len(points) > 0 {
		n := 1
		for n < len(points) && !setAnewBetween(events, points[n-1].at, points[n].at) {
			n++
		}
		if out == nil && n == len(points) {
			return furnished(s, points)
		}
		out, points = append(out, furnished(s, points[:n])...), points[n:]
	}
	return out
}

// setAnewBetween tells whether a thermostat was set anew, or the machine is another one.
func setAnewBetween(events []register.Event, from, to time.Time) bool {
	return slices.ContainsFunc(events, func(e register.Event) bool {
		return setsAnew(e.Kind) && e.Time.After(from) && !e.Time.After(to)
	})
}

var setsAnew = oneOf(register.SetpointChanged, register.Install, register.Retrofit)

// leastUnsure is the least standard uncertainty of a temperature that is taken for what it
// mostly is, K.
const leastUnsure = 0.3

// furnished does so for points of one era.
func furnished(s register.System, points []point) []point {
	turns := reverses(s)
	var known []float64
	var lacking []int
	for i := range points {
		switch p := &points[i]; {
		case heated(turns, p):
		case !math.IsNaN(p.room):
			known = append(known, p.room)
		case !math.IsNaN(p.evaporating) && math.IsNaN(p.values[atEvaporator]):
			lacking = append(lacking, i)
		}
	}
	if len(known) < leastFilled || len(lacking) == 0 {
		return points
	}
	m, sd, _ := robust.MAD(known)
	out := slices.Clone(points)
	for _, i := range lacking {
		p := &out[i]
		p.values = slices.Clone(p.values)
		p.values[atEvaporator] = m - p.evaporating
		p.guessed = math.Max(leastUnsure, sd)
	}
	return out
}
