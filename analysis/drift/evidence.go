package drift

import (
	"slices"

	"rimelog/pipeline/register"
)

// A sighting is a reading with the logarithms that all moves are weighed by: of its density where
// nothing moved the gauge, and of what it gains where only the baseline is wrong.
type sighting struct {
	reading
	none, stays float64
}

// sighted works the logarithms out.
func (r reading) sighted() sighting {
	if r.sd == 0 {
		return sighting{}
	}
	v := r.sd * r.sd
	none := logDensity(r.size, v)
	return sighting{r, none, logDensity(r.size, v+still*still) - none}
}

// order is that of the gauges, so that sums come out the same.
var order = [...]string{Subcooling, Superheat, CondenserTD, EvaporatorTD, Efficiency, Level, Standstill}

// place is where a gauge stands in order.
func place(gauge string) int { return slices.Index(order[:], gauge) }

// begins is an onset with what every gauge says of a change after it.
type begins struct {
	onset     float64
	readings  [len(order)]sighting
	condenser [shows]sighting // by how much of a fault shows behind head pressure control
}

// of is what a gauge says of a fault that shows so far.
func (b *begins) of(gauge string, behind visibility) sighting {
	if gauge == CondenserTD {
		return b.condenser[behind]
	}
	return b.readings[place(gauge)]
}

// begins asks all tracks about changes after onsets, the condenser's for what faults show.
func (d diagnosis) begins(onsets []gap, f form, behind [shows]bool) []begins {
	all := d.keep.begins.Take(len(onsets))
	clear(all)
	for i, at := range onsets {
		all[i].onset = at.from
	}
	for k, g := range order {
		tr, ok := d.tracks[g]
		switch {
		case !ok:
		case g == CondenserTD:
			tr.readBehind(onsets, f, behind, all)
		default:
			tr.readAll(onsets, f, hidden, func(i int, says sighting) { all[i].readings[k] = says })
		}
	}
	return all
}

// readBehind asks the condenser's track about changes, by how much of one shows where head
// pressure is held, as far as any fault shows so.
func (tr *track) readBehind(onsets []gap, f form, behind [shows]bool, all []begins) {
	held := slices.Contains(tr.held, true)
	for s := range shows {
		if !behind[s] {
			continue
		}
		if s == hidden || held || tr.unit != nil {
			tr.readAll(onsets, f, s, func(i int, says sighting) { all[i].condenser[s] = says })
			continue
		}
		for i := range all {
			all[i].condenser[s] = all[i].condenser[hidden]
		}
	}
}

// A claim is how a gauge moves if a fault is there. Faults that claim the same have the
// same evidence.
type claim struct {
	form   form
	gauge  string
	behind visibility // hidden where it makes no difference
	move   move       // where it is tied to none, or to one that says nothing
	tie    tie
	sign   float64 // the only way the other one goes
}

// claim is what a fault says of a gauge.
func (f *fault) claim(gauge string) claim {
	c := claim{form: f.form, gauge: gauge, move: f.moves[gauge]}
	if t, ok := f.ties[gauge]; ok {
		c.tie, c.sign = t, f.moves[t.to].sign
	}
	if gauge == CondenserTD || c.tie.to == CondenserTD {
		c.behind = f.behind
	}
	return c
}

// at is the move after an onset.
func (c *claim) at(b *begins) move {
	if c.tie.to != "" {
		if to := b.of(c.tie.to, c.behind); to.sd > 0 {
			return c.tie.under(to.reading, c.sign)
		}
	}
	return c.move
}

// weigh fills in the logarithm of the evidence for a claim by each onset.
func (c *claim) weigh(logs []float64, all []begins) {
	for i := range all {
		b := &all[i]
		if c.tie.to == "" {
			logs[i] = c.move.weigh(b.of(c.gauge, c.behind))
		} else {
			m := c.at(b)
			logs[i] = m.weigh(b.of(c.gauge, c.behind))
		}
	}
}

// A setting is what the moves under faults depend on besides the system.
type setting struct{ pinned, supplied, dry, held, banded, levelled, rested bool }

// A book is the faults of a system in a setting, with what they claim. What several claim
// alike stands in it once.
type book struct {
	faults []fault
	claims []claim
	says   [][len(order)]int // by fault, then by gauge: the place of its claim
	behind [shows]bool       // how much of any fault shows behind head pressure control
}

// book opens the one for a setting.
func (w *weighing) book(s setting) *book {
	b := w.books[s]
	if b == nil {
		b = newBook(w.system, s)
		w.books[s] = b
	}
	return b
}

// newBook writes down what each fault claims.
func newBook(system register.System, s setting) *book {
	b := &book{faults: faults(system, s)}
	if s.levelled {
		b.faults = levelled(b.faults)
	}
	if s.rested {
		b.faults = rested(b.faults)
	}
	b.says = make([][len(order)]int, len(b.faults))
	b.behind[hidden] = true
	for i := range b.faults {
		b.behind[b.faults[i].behind] = true
		for k, g := range order {
			c := b.faults[i].claim(g)
			at := slices.Index(b.claims, c)
			if at < 0 {
				at = len(b.claims)
				b.claims = append(b.claims, c)
			}
			b.says[i][k] = at
		}
	}
	return b
}

// most is how many candidates there are at most.
func (b *book) most(onsets [forms][]gap) (n int) {
	for i := range b.faults {
		n += len(onsets[b.faults[i].form])
	}
	return n
}

// Evidence is what the gauges say for faults at every onset. Each claim is weighed once.
type evidence struct {
	*book
	all  [forms][]begins
	logs [][]float64 // by claim, then by onset; nil: not weighed yet
	keep *memory
}

func (d diagnosis) evidence(b *book, onsets [forms][]gap) *evidence {
	e := &evidence{book: b, logs: make([][]float64, len(b.claims)), keep: d.keep}
	for f := range forms {
		e.all[f] = d.begins(onsets[f], f, b.behind)
	}
	return e
}

// of is the logarithm of the evidence that a gauge gives for a fault, by onset.
func (e *evidence) of(fault, gauge int) []float64 {
	k := e.says[fault][gauge]
	if c := &e.claims[k]; e.logs[k] == nil {
		all := e.all[c.form]
		e.logs[k] = e.keep.Take(len(all))
		c.weigh(e.logs[k], all)
	}
	return e.logs[k]
}

// own is the evidence of the gauges that a fault moves from its onset on, below what is
// already there.
func (e *evidence) own(out [][]float64, fault int) [][]float64 {
	for k, g := range order {
		if !e.faults[fault].reaches(g) {
			out = append(out, e.of(fault, k))
		}
	}
	return out
}

// late is the evidence of the gauges that a fault reaches only later, by when it does; nil
// where there are none.
func (e *evidence) late(fault int) []float64 {
	f := &e.faults[fault]
	if !f.delays {
		return nil
	}
	out := e.keep.Take(len(e.all[f.form]))
	for k, g := range order {
		if !f.reaches(g) {
			continue
		}
		for i, log := range e.of(fault, k) {
			out[i] += log
		}
	}
	return out
}
