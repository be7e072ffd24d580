package drift

import (
	"math"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// leastFilled is how many values must be known for others to be filled in.
const leastFilled = 3

// filled fills gaps in with what the others are at such an outdoor temperature, and tells
// by how much they scatter about that; not ok where too few are known.
func filled(x []float64, points []*point) (sd float64, ok bool) {
	var known, out []float64
	for i, v := range x {
		if !math.IsNaN(v) && !math.IsInf(v, 0) && !math.IsNaN(points[i].outdoor) {
			known, out = append(known, v), append(out, (points[i].outdoor-15)/10)
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

// settled gives points without the temperature of the medium entering the evaporator what it
// mostly is since the last act: a thermostat holds it. The difference follows from it, so
// much less sure. A heat pump's source is the weather's.
func settled(s register.System, points []point) []point {
	if s.Kind.Heats() {
		return points
	}
	var out []point
	for from := 0; from < len(points); {
		to := from
		for to < len(points) && points[to].era == points[from].era {
			to++
		}
		out = append(out, furnished(points[from:to])...)
		from = to
	}
	return out
}

// leastUnsure is the least standard uncertainty of a temperature that is taken for what it
// mostly is, K.
const leastUnsure = 0.3

// furnished does so for points of one era.
func furnished(points []point) []point {
	var known []float64
	for i := range points {
		if p := &points[i]; !math.IsNaN(p.room) && reversed(p) == 0 {
			known = append(known, p.room)
		}
	}
	if len(known) < leastFilled {
		return points
	}
	m, _ := robust.Median(known)
	away := make([]float64, len(known))
	for i, v := range known {
		away[i] = math.Abs(v - m)
	}
	sd, _ := robust.Median(away)
	out := make([]point, len(points))
	for i, p := range points {
		if math.IsNaN(p.room) && !math.IsNaN(p.evaporating) && reversed(&p) == 0 && math.IsNaN(p.values[3]) {
			p.values = append([]float64(nil), p.values...)
			p.values[3] = m - p.evaporating
			p.guessed = math.Max(leastUnsure, 1.5*sd)
		}
		out[i] = p
	}
	return out
}
