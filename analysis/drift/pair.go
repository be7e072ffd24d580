package drift

import (
	"math"
	"slices"
)

// leastLead is the odds of the likeliest fault from which on a second one beside it is
// looked for.
const leastLead = 1.0

// lead is the likeliest named fault, if any is likely enough to be taken as there.
func (d diagnosis) lead() *suspect {
	var lead *suspect
	for _, kind := range kinds {
		x := d.suspects[kind]
		if x != nil && kind != Unclear && x.odds >= leastLead && (lead == nil || x.odds > lead.odds) {
			lead = x
		}
	}
	return lead
}

// with is what is known once a fault is taken as there: every gauge that it may move has
// moved so, as far as the record and what is believed of the move say; those that only speak
// for or against it by half of that. Records that it moves are fitted anew with it (again). A slow one need not have gone on at one rate: subcooling that is used up falls no more, and a valve
// holds superheat until it is fully open.
func (d diagnosis) with(c candidate) diagnosis {
	out := diagnosis{start: d.start, now: d.now, stays: d.stays, given: append(slices.Clone(d.given), c.fault), ends: d.ends, fills: d.fills, suspects: map[string]*suspect{}, tracks: map[string]track{}, keep: d.keep}
	excess := d.excess(c)
	for g, tr := range d.tracks {
		says := c.fault.claim(g)
		if m := says.at(c.of(g)); m.sd > 0 {
			onset, believed := c.of(g).onset, m.nearer(c.reading(g))
			if !m.carries {
				believed = normal{half * m.mean, half * m.sd}
			}
			tr.also(tr.column(onset, c.fault.form, c.fault.behind), believed)
			if m.carries && c.fault.form == slow {
				tr.also(tr.column((onset+d.now)/2, slow, c.fault.behind), normal{0, believed.sd})
			}
		}
		if tr = tr.leaning(c, excess); len(tr.belief.Columns) > len(d.tracks[g].belief.Columns) {
			tr = tr.again()
		}
		out.tracks[g] = tr.doubting(c, excess, d.now)
	}
	return out
}

// Machines leave the lines of small faults as one goes far: what a fault that moved a gauge
// farther than is ordinary does to all gauges besides what is believed of it, as a share of
// the rest: by the time it has come so far, or per 10 K of the weather where it came at once. Set
// on simulated fleets, where a blocked line that had raised superheat by 25 K gave second faults
// that were none.
const (
	ordinary    = 6.0 // K
	besideShare = 0.15
)

// excess is how far a candidate has moved the gauge that it moved most, more than is ordinary, K.
func (d diagnosis) excess(c candidate) (most float64) {
	for _, g := range [...]string{Subcooling, Superheat, CondenserTD, EvaporatorTD} {
		if _, ok := d.tracks[g]; ok && c.fault.moves[g].carries {
			most = math.Max(most, math.Abs(d.size(c, g).size))
		}
	}
	return math.Max(0, most-ordinary)
}

// doubting is a track that counts less since the onset of a candidate that went so far beyond
// what is ordinary: little by little, or at once where it is a coil's.
func (tr track) doubting(c candidate, excess, now float64) track {
	if excess == 0 || c.fault.form != slow && tr.unit == nil {
		return tr
	}
	sd := make([]float64, len(tr.t))
	for i, t := range tr.t {
		switch {
		case t <= c.onset:
		case c.fault.form == slow:
			sd[i] = besideShare * excess * (t - c.onset) / (now - c.onset)
		default:
			sd[i] = besideShare * excess
		}
	}
	if fit, err := tr.fit.Doubting(sd); err == nil {
		tr.fit = fit
	}
	return tr
}

// also believes in one column more.
func (tr *track) also(col []float64, believed normal) {
	b, n := &tr.belief, len(tr.belief.Columns)
	b.Columns = append(b.Columns[:n:n], col)
	b.Mean, b.SD = append(b.Mean[:n:n], believed.mean), append(b.SD[:n:n], believed.sd)
}

// leaning is a track of the circuit that may follow the weather otherwise since the onset of a
// candidate that came at once and went so far beyond what is ordinary: it is another machine from
// then on, and the same one at each visit. A coil's difference depends on the heat that passes too,
// and counts less.
func (tr track) leaning(c candidate, excess float64) track {
	if excess == 0 || c.fault.form == slow || tr.unit != nil {
		return tr
	}
	col := tr.blank()
	for i, t := range tr.t {
		if t > c.onset {
			col[i] = tr.weather[i] * tr.sure[i]
		}
	}
	tr.also(col, normal{0, besideShare * excess})
	return tr
}

// again is a track fitted anew: what was taken as there neither counts as scatter any more nor
// makes a visit wild.
func (tr track) again() track {
	if fit, err := tr.belief.Fit(); err == nil {
		tr.fit = fit
	}
	return tr
}

// A company is what may be wrong together: the likeliest fault, what else beside it alone, and
// what else beside it and the likeliest of those.
type company struct {
	lead          *suspect
	second        string // the likeliest kind beside it; empty where none is likely enough
	beside, third map[string]*suspect
}

// accompanied weighs what else may be wrong beside the leading fault. Two coils that foul beside
// something else must not pass for one thing that nobody knows. Beside what went farther than is
// ordinary no third is looked for: it leaves the lines of all gauges.
func (d diagnosis) accompanied(lead *suspect, b *book, onsets [forms][]gap) (c company) {
	if c.lead = lead; lead == nil {
		return c
	}
	rest := d.beside(lead, b, onsets)
	c.beside = rest.suspects
	if second := rest.lead(); second != nil && d.excess(lead.best) == 0 {
		c.second, c.third = second.best.fault.kind, rest.beside(second, b, onsets).suspects
	}
	return c
}

// beside takes a fault as there, and weighs what else may be: odds against that alone.
func (d diagnosis) beside(lead *suspect, b *book, onsets [forms][]gap) diagnosis {
	rest := d.with(lead.best)
	rest.suspect(rest.candidates(b, onsets))
	for _, x := range rest.suspects {
		x.beside = &rest
	}
	if lead.best.fault.kind == ChargeLoss {
		for _, x := range rest.suspects {
			x.odds -= misfit * math.Max(0, lead.odds-fits)
		}
	}
	return rest
}

// No machine follows the lines of a loss quite, and a logger that stays sees by how little: misfit
// is the share of what speaks for a loss that speaks for a second fault beside it although there is
// none, where it is more than visits mostly come to (fits). Set on simulated fleets of loggers that
// stay, where worn compressors and dirty evaporators were seen with odds of 2 to 7 beside losses
// that were sure by hundreds and thousands.
const (
	misfit = 0.1
	fits   = 150.0
)

// mistaken is how often a machine that shows a fault by all its gauges has another one, or
// none: machines are not quite as they are believed to be. It was set on simulated fleets,
// on which causes that were given 0.98 without it had been right in 0.88 of all cases.
const mistaken = 0.1

// share turns odds into probabilities: nothing wrong, one fault, the leading one and another, or
// a third beside both. A kind's probability is that of all cases in which it is there, so that
// those of several faults at once may exceed 1 together.
func (d *diagnosis) share(c company) {
	total, pairs, threes := 0.0, math.Inf(-1), math.Inf(-1)
	for _, k := range kinds {
		if x := d.suspects[k]; x != nil {
			total = logSum(total, x.odds)
		}
		pairs = logSum(pairs, c.pair(k))
		threes = logSum(threes, c.three(k))
	}
	total = logSum(total, logSum(pairs, threes))
	wrong := 1 - math.Exp(-total)
	for k, x := range d.suspects {
		there := logSum(x.odds, logSum(c.pair(k), c.three(k)))
		switch {
		case x == c.lead:
			there = logSum(x.odds, logSum(pairs, threes))
		case k == c.second:
			there = logSum(there, threes)
		}
		x.probability = math.Exp(there-total) * (1 - mistaken)
		if k == Unclear {
			x.probability += mistaken * wrong
		}
	}
	c.join(d.suspects)
}

// pair is the odds of the leading fault with one of a kind, against nothing being wrong; -Inf
// for none.
func (c company) pair(kind string) float64 {
	if x := c.beside[kind]; x != nil {
		return c.lead.odds + x.odds
	}
	return math.Inf(-1)
}

// three is the odds of both of the likeliest with one of a kind.
func (c company) three(kind string) float64 {
	if x := c.third[kind]; x != nil {
		return c.pair(c.second) + x.odds
	}
	return math.Inf(-1)
}

// rivals is by how much the case of more faults must be likelier than that of one alone
// before that one is judged as one beside the others, rather than in their place.
const rivals = 2.0

// join takes over what is known of faults beside others where that case is the likelier by far:
// their odds become those against the others alone.
func (c company) join(suspects map[string]*suspect) {
	for k, x := range suspects {
		switch pair, three := c.pair(k), c.three(k); {
		case x == c.lead:
		case three > math.Max(x.odds, pair)+rivals:
			x.take(c.third[k])
		case pair > x.odds+rivals:
			x.take(c.beside[k])
		}
	}
}

// take takes over what is known of a fault beside others.
func (x *suspect) take(beside *suspect) {
	x.best, x.all, x.odds, x.beside = beside.best, beside.all, beside.odds, beside.beside
}

// alike tells whether a fault moves the same gauges the same way as one that is taken as there,
// so that beside it it could be no more than the way that this goes on: what starves the
// evaporator, and what raises the condensing pressure. A coil that fouls beside gas shows,
// since it leaves subcooling where the gas put it; gas beside one that fouls need not. A valve
// that opens too far does the contrary of what starves the evaporator, but drains the condenser
// as lost charge does. Too much charge tells itself from what raises the pressure where it was
// added.
func (f *fault) alike(given *fault) bool {
	group := func(f *fault) int {
		switch f.kind {
		case ChargeLoss, Restriction:
			return 1
		case Valve:
			return int(is(f.moves[Superheat].sign > 0))
		case Overcharge:
			return 2 * int(is(f.form != topped))
		case CondenserFouling, Gas:
			return 2
		}
		return 0
	}
	if f.kind == ChargeLoss && given.kind == Valve {
		return true
	}
	return f.kind == given.kind || f.kind != CondenserFouling && group(f) > 0 && group(f) == group(given)
}
