package drift

import (
	"math"
	"slices"
	"time"

	"rimelog/pipeline/register"
)

// split takes the steps upwards that no row explains, at a machine that seemed to lose
// charge before, for additions that nobody wrote down: the level begins anew there, and the
// loss goes on over the sawtooth. At other machines a step is only told of (Steps): probes
// and readings jump too.
func (w *weighing) split() {
	w.unasked = time.Time{}
	if w.leaks.IsZero() {
		return
	}
	for _, s := range (Record{System: w.system}).withoutRow(w.filled(), refilled) {
		if s.On.After(w.leaks) {
			w.unasked = s.On
			w.events = append(w.events, register.Event{System: w.system.ID, Kind: register.ChargeAdded, Time: s.On, HasTime: true, KG: math.NaN()})
		}
	}
	slices.SortStableFunc(w.events, func(a, b register.Event) int { return a.Time.Compare(b.Time) })
}

// refilled is the step that counts at a machine that loses charge: somebody who is called
// there is likely to fill it up.
var refilled = stepRule{1.8, 3}

// filled is how full the machine seemed at each point: subcooling, less its share of
// superheat behind a fixed opening.
func (w *weighing) filled() (out []point) {
	for _, p := range w.points {
		v := p.values[atSubcooling]
		if feeds(w.system) > 2 {
			v -= perSuperheat * p.values[atSuperheat]
		}
		if !math.IsNaN(v) {
			p.values = []float64{v}
			out = append(out, p)
		}
	}
	return out
}
