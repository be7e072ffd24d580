package drift

import (
	"math"

	"rimelog/pipeline/table"
)

// oddBy is how many times what is usual the odd one out stands apart.
const oddBy = 3.0

// Odd holds the baseline of a system against the priors of its model: the same kind,
// refrigerant and expansion device; a wider scope mixes what differs by design. A baseline is
// only compared where the reference temperature lies within the weather that it has seen.
func Odd(r Record, baselines []table.Baseline, priors []table.Prior) (out []table.PeerCompared) {
	for _, b := range baselines {
		level, sd, ok := Expected(b, reference)
		if !ok || b.Visits < leastPoints {
			continue
		}
		for _, p := range priors {
			if p.Scope != scopes(r.System)[0] || b.Prior != p.Quarter+": "+p.Scope || p.Feature != b.Feature {
				continue
			}
			c := table.PeerCompared{System: b.System, Scope: p.Scope, Systems: p.Systems, Feature: b.Feature, Level: level, Peers: p.Level, Apart: level - p.Level}
			own := math.Sqrt(math.Max(0, sd*sd-b.Scatter*b.Scatter)) + r.instrument(b.Feature)
			c.Deviation = math.Sqrt(p.Spread*p.Spread + p.LevelSE*p.LevelSE + own*own)
			c.Odd = math.Abs(c.Apart) > oddBy*c.Deviation && math.Abs(c.Apart) >= effectOf(b.Feature)
			out = append(out, c)
		}
	}
	return out
}

// instrument is what one set of instruments may be off all the time, K.
func (r Record) instrument(feature string) float64 {
	for k, f := range features() {
		if f.column != feature {
			continue
		}
		var u []float64
		for _, p := range r.points {
			if !math.IsNaN(p.doubts[k]) {
				u = append(u, p.doubts[k])
			}
		}
		if len(u) > 0 {
			return mean(u)
		}
	}
	return mostOff / 2
}

// effectOf is by how many K a feature must stand apart to be worth a visit.
func effectOf(feature string) float64 {
	switch feature {
	case Subcooling:
		return 2 * subcoolingEffect
	case Superheat:
		return superheatEffect
	case DischargeSuperheat:
		return 5 * gasEffect
	}
	return 2 * condenserEffect
}
