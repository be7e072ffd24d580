package trust

import (
	"math"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// A past is what the visits before show of a quantity.
type past struct {
	y, one, outdoor, condensing []float64 // the values; 1; conditions less those of the visit that is judged
	kit                         []string  // fingerprint of the instruments
	u                           []float64 // standard uncertainty by instruments, in the quantity's unit
}

// past collects the latest visits that know a quantity and do not doubt it.
func (h history) past(q cycle.Quantity) (p past) {
	outdoor, condensing := h.now.conditions()
	latest := h.before[max(0, len(h.before)-mostBefore):]
	for i := range latest {
		v := &latest[i]
		m := v.shown(q)
		if math.IsNaN(m) || v.hides(q) || q == cycle.Power && math.IsNaN(v.mean(cycle.Speed)) != math.IsNaN(h.now.mean(cycle.Speed)) {
			continue // power counts per speed where that is known
		}
		a, b := v.conditions()
		if h.bends(q) && math.Abs(beside(a, outdoor)) > likeOutdoor {
			continue
		}
		p.y, p.one = append(p.y, m), append(p.one, 1)
		p.outdoor, p.condensing = append(p.outdoor, beside(a, outdoor)), append(p.condensing, beside(b, condensing))
		p.kit, p.u = append(p.kit, v.Fingerprint()), append(p.u, v.uncertainty(q))
	}
	return p
}

// bends tells whether a quantity follows no single line over the year: head pressure is held
// up in the cold, and a machine that draws on cold air has less of its charge in the evaporator.
func (h history) bends(q cycle.Quantity) bool {
	return q == cycle.CondenserTD || q == cycle.SinkInlet || q == cycle.Speed || q == airAtRest || q == cycle.Subcooling && (h.system.Kind.Heats() || h.now.Mode == Heating)
}

// Kits are the sets of instruments that came before, each with a level of its own.
type kits struct {
	columns [][]float64 // by set, 1 where it came
	sd      []float64   // of its level
}

// kits gives every set of instruments that came before a level of its own, within its
// uncertainty. At is the row of the set that came now, and fresh what its level adds to the
// standard uncertainty where it never came before.
func (p past) kits(now string, u float64) (k kits, at []float64, fresh float64) {
	number := map[string]int{}
	for i, name := range p.kit {
		if !(p.u[i] > 0) {
			continue
		}
		if _, known := number[name]; !known {
			number[name] = len(k.sd)
			k.columns, k.sd = append(k.columns, make([]float64, len(p.y))), append(k.sd, p.u[i])
		}
		k.columns[number[name]][i] = 1
	}
	at = make([]float64, len(k.sd))
	if i, came := number[now]; came {
		at[i] = 1
		return k, at, 0
	}
	return k, at, u
}

// agreeing counts the visits that are near what all of them say.
func agreeing(fit *robust.Estimate) (n int) {
	for _, r := range fit.Residual {
		if math.Abs(r) < 2.5*fit.Scatter {
			n++
		}
	}
	return n
}
