package trust

import (
	"cmp"
	"fmt"
	"iter"
	"math"
	"slices"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// refrigerant decides whether the register names the wrong refrigerant: a standstill that
// says so, superheat or subcooling below zero, or what the running machine shows on the
// median, at several visits, not at one.
func (h history) refrigerant() {
	doubted := (h.now.says("D1") || h.now.says("D2")) && h.often([]string{"D1", "D2"}) ||
		(h.now.says("D26") || h.now.says("D27") || h.now.Near) && h.often([]string{"D26", "D27"})
	names := h.otherRefrigerants(doubted)
	if len(names) == 0 {
		h.now.drop("D1")
		return
	}
	h.anotherRefrigerant(names)
}

// often tells whether one of the rules spoke at this visit and at most visits before
// at which it could.
func (h history) often(rules []string) bool {
	any := func(f Facts) bool {
		return slices.ContainsFunc(f.Doubts, func(d Doubt) bool {
			return slices.Contains(rules, d.Rule) && (d.Rule != "D2" || len(d.Candidates) > 0)
		}) ||
			rules[0] == "D26" && f.Near || slices.ContainsFunc(f.Taken, func(r string) bool { return slices.Contains(rules, r) })
	}
	hit, of := 0, 0
	for v := range h.visits() {
		could := len(v.Mean) > 0
		if rules[0] == "D1" {
			could = len(v.Rest) > 0
		}
		if could {
			of++
			if any(*v) {
				hit++
			}
		}
	}
	return any(*h.now) && hit >= 2 && 2*hit > of
}

// anotherRefrigerant says which refrigerants would make what the visits show usual.
func (h history) anotherRefrigerant(names []string) {
	evidence := "what the machine shows on the median of its visits is far from what machines of its kind show, and would be usual with another"
	if h.system.RefrigerantName == "" {
		evidence = "the register names no refrigerant that is known; what the machine shows on the median of its visits would be usual with this"
	}
	for _, d := range h.now.Doubts {
		if d.Rule == "D1" || d.Rule == "D26" || d.Rule == "D27" {
			evidence = "at most visits, as at this one: " + d.Evidence
		}
	}
	for _, r := range []string{"D1", "D2", "D26", "D27"} {
		if h.now.says(r) {
			h.now.Taken = append(h.now.Taken, r)
		}
	}
	h.now.drop("D1", "D2", "D26", "D27", "D30")
	h.now.doubt(Doubt{
		Rule: "D1", Channels: about(cycle.SuctionPressure, cycle.DischargePressure), Candidates: names, Hides: true, Evidence: evidence,
		Remedy: fmt.Sprintf("look at the nameplate; the refrigerant stands in the line of %s of register/systems.csv", h.system.ID),
	})
}

// A usualness is what machines of a kind show of a quantity, with its standard deviation
// between machines.
type usualness struct {
	of       cycle.Quantity
	mean, sd float64
}

// usually is what a machine of this kind and design shows. Source: usual superheat at the
// compressor, subcooling with and without a receiver, temperature differences and isentropic
// efficiencies (0.5 to 0.85); common practice, no source, with twice its spread. What rests on
// the compressor stands last.
func usually(s register.System) []usualness {
	superheat, subcooling := usualness{cycle.Superheat, 9, 3.5}, usualness{cycle.Subcooling, 5, 3.5}
	if !math.IsNaN(s.DesignSuperheat) {
		superheat = usualness{cycle.Superheat, s.DesignSuperheat + 2.5, 3}
	}
	if s.Receiver == register.HighSideReceiver {
		subcooling.mean = 2.5
	} else if !math.IsNaN(s.DesignSubcooling) {
		subcooling = usualness{cycle.Subcooling, s.DesignSubcooling, 3}
	}
	evaporator, condenser := usualness{cycle.EvaporatorTD, 9, 3.5}, usualness{cycle.CondenserTD, 12, 6}
	switch s.Kind {
	case register.AirConditioning:
		evaporator.mean, evaporator.sd = 17, 5
	case register.Chiller, register.GroundHeatPump, register.WaterHeatPump:
		evaporator.mean = 7
	}
	return []usualness{superheat, subcooling, evaporator, condenser, {cycle.IsentropicEfficiency, 0.675, 0.085}}
}

// When another refrigerant is told: how strange the present one is over the likeliest one,
// as a sum of squares of standard deviations, with a standstill or values below zero that
// doubt it and without; how strange the likeliest may be; and within what of it others are
// candidates, too.
const (
	doubtedStranger = 4.0
	stranger        = 6.5
	mostStrange     = 6.0
	stillLess       = 10.0 // or how many times less strange than the present one
	mostUnnamed     = 20.0 // where the register names none that is known
	asLikely        = 6.0
	fewestShown     = 3   // visits
	worthTrying     = 5.0 // of what the visit itself shows, before others are tried
	stillSD         = 1.2 // K, of saturation over temperature at rest
)

// A candidate is a refrigerant with how strange the machine would be with it.
type candidate struct {
	name    string
	strange float64
}

// otherRefrigerants lists those, met in the field, with which the machine would show what
// machines of its kind do, the likeliest first; none where the present one does. Where the
// register names none that is known, they are all that may be in it.
func (h history) otherRefrigerants(doubted bool) (names []string) {
	named := h.system.RefrigerantName != ""
	if named && !doubted && h.plain() < worthTrying || h.now.Mode == Heating { // its media are then not those of its coils
		return nil
	}
	row, ok := h.middle()
	if !ok {
		return nil
	}
	most, least := mostUnnamed, math.Inf(1)
	if named {
		now := h.strangeness(h.system.RefrigerantName, row, math.Inf(1))
		less := stranger
		if doubted {
			less = doubtedStranger
		}
		if now < less || math.IsNaN(now) {
			return nil
		}
		most, least = math.Max(mostStrange, now/stillLess), now-less
	}
	all := h.candidates(row, math.Min(most, least))
	for _, c := range all[:min(len(all), mostCandidates)] {
		if c.strange < all[0].strange+asLikely {
			names = append(names, c.name)
		}
	}
	return names
}

// candidates are the refrigerants with which a row is less strange than so much, the least
// strange first.
func (h history) candidates(row cycle.Row, less float64) (all []candidate) {
	for _, name := range met() {
		if x := h.strangeness(name, row, less); name != h.system.RefrigerantName && x < less {
			all = append(all, candidate{name, x})
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return cmp.Compare(a.strange, b.strange) })
	return all
}

// plain is how strange the visit itself is, as far as its own differences tell.
func (h history) plain() (sum float64) {
	for _, u := range append(usually(h.system), usualness{cycle.DischargeSuperheat, 25, 10}) {
		if z := (h.now.mean(u.of) - u.mean) / u.sd; !math.IsNaN(z) {
			sum += z * z
		}
	}
	return sum
}

// visits gives those before, then this one.
func (h history) visits() iter.Seq[*Facts] {
	return func(yield func(*Facts) bool) {
		for i := range h.before {
			if !yield(&h.before[i]) {
				return
			}
		}
		yield(h.now)
	}
}

// middle is the median of what was measured over the visits, this one included, of which no
// rule is sure that it is wrong.
func (h history) middle() (cycle.Row, bool) {
	row := cycle.NewRow()
	shown := 0
	var x []float64
	for q := cycle.Quantity(0); q.Column() != ""; q++ {
		x = x[:0]
		for f := range h.visits() {
			if m := f.mean(q); !math.IsNaN(m) && !(history{now: f}).sure(q) {
				x = append(x, m)
			}
		}
		if m, err := robust.Median(x); err == nil {
			row[q] = m
		}
		if q == cycle.SuctionPressure {
			shown = len(x)
		}
	}
	return row, shown >= fewestShown && !math.IsNaN(row[cycle.SuctionPressure]+row[cycle.DischargePressure])
}

// strangeness is how far a machine with a refrigerant would be from what machines of its kind
// show, as a sum of squares of standard deviations; infinite where it cannot be. Where what is
// soon worked out comes to so much already, it is no less, and the rest is left out.
func (h history) strangeness(name string, row cycle.Row, most float64) float64 {
	s := h.system
	s.RefrigerantName = name
	c, err := cycle.NewExactCircuit(s)
	if err != nil || c.Refrigerant == nil {
		return math.Inf(1)
	}
	c.Complete(&row)
	if math.IsNaN(row[cycle.Evaporating] + row[cycle.Condensing]) {
		return math.Inf(1)
	}
	all := usually(s)
	coils, compressor := all[:len(all)-1], all[len(all)-1]
	sum := 0.0
	for _, u := range coils {
		sum += u.strange(row)
	}
	if sum >= most {
		return sum
	}
	c.Compressor(&row)
	return sum + compressor.strange(row) + h.strangeAtRest(c)
}

// strange is how far a row is from what is usual, squared; nothing where it is not known.
func (u usualness) strange(row cycle.Row) float64 {
	if z := (row[u.of] - u.mean) / u.sd; !math.IsNaN(z) {
		return z * z
	}
	return 0
}

// strangeAtRest is the same for the median of what the standstills show.
func (h history) strangeAtRest(c *cycle.Circuit) (sum float64) {
	var x []float64
	for _, q := range []cycle.Quantity{cycle.SuctionPressure, cycle.DischargePressure} {
		x = x[:0]
		for f := range h.visits() {
			if at, ok := f.Still[q.String()]; ok {
				x = append(x, side{q, at.KPa, at.Temp, 0}.excess(c, 0))
			}
		}
		if m, err := robust.Median(x); err == nil {
			sum += m * m / (stillSD * stillSD)
		}
	}
	return sum
}
