package trust

import (
	"math"
	"slices"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
)

// A past is what the visits before show of a quantity.
type past struct {
	y, one, outdoor, condensing []float64 // the values; 1; conditions less those of the visit that is judged
	kit                         []string  // fingerprint of the instruments
	u                           []float64 // standard uncertainty by instruments, in the quantity's unit
}

// past collects what the latest visits show of a quantity that know it and do not doubt it.
func (h history) past(q cycle.Quantity) (p past) {
	outdoor, condensing := h.now.conditions()
	for _, v := range h.latestTelling(q) {
		a, b := v.conditions()
		p.y, p.one = append(p.y, v.shown(q)), append(p.one, 1)
		p.outdoor, p.condensing = append(p.outdoor, beside(a, outdoor)), append(p.condensing, beside(b, condensing))
		p.kit, p.u = append(p.kit, v.Fingerprint()), append(p.u, v.uncertainty(q))
	}
	return p
}

// latestTelling are the latest visits that tell of a quantity, in order of time: a meter that is
// wrong for months does not become what is usual.
func (h history) latestTelling(q cycle.Quantity) (list []*Facts) {
	for i := len(h.before) - 1; i >= 0 && len(list) < mostBefore; i-- {
		if v := &h.before[i]; h.tells(v, q) {
			list = append(list, v)
		}
	}
	slices.Reverse(list)
	return list
}

// tells tells whether a visit before says what a quantity should be now: power counts per speed
// where that is known, and what follows no single line counts where it was as warm outdoors.
func (h history) tells(v *Facts, q cycle.Quantity) bool {
	if math.IsNaN(v.shown(q)) || v.hides(q) {
		return false
	}
	if q == cycle.Power && math.IsNaN(v.mean(cycle.Speed)) != math.IsNaN(h.now.mean(cycle.Speed)) {
		return false
	}
	then, _ := v.conditions()
	outdoor, _ := h.now.conditions()
	return !h.bends(q) || !(math.Abs(beside(then, outdoor)) > likeOutdoor)
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
