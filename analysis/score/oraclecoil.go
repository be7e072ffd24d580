package score

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"time"

	"rimelog/analysis/robust"
	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// Seen is what could be found at best of faults whose effect passed a threshold, at the same
// rate of false alarms and by the same day.
type Seen struct {
	// Knowing is found by who knows the healthy course of each machine.
	Knowing Detectable `json:"knowing"`
	// Learning is found by who knows nothing of the machine but what its own stays up to that
	// day teach at which the medium was logged: where it stands and how it follows outdoor
	// temperature and the media.
	Learning Detectable `json:"learning"`
	// ByStays tells the same for systems of which so many stays, the last one included, had
	// shown half of the threshold; with the share that was found.
	ByStays map[string]SeenShare `json:"by_stays,omitempty"`
}

// SeenShare is what was found of a part of the cases beside what could be.
type SeenShare struct {
	Found    Share      `json:"found"`
	Knowing  Detectable `json:"knowing"`
	Learning Detectable `json:"learning"`
}

// A coilGauge is how visits tell of a coil: the temperature of the refrigerant in it, which
// is enough for who knows the healthy course, and its difference to the medium that enters,
// by which of the channels that is known.
type coilGauge struct {
	temperature, difference claimed
	media                   []string
}

// coilGauges are those of the coils, by what fouls them.
var coilGauges = map[truth.Fault]coilGauge{
	truth.CondenserFouling: {
		unstated(func(p truth.Point) float64 { return p.Condensing },
			func(v table.Visit) float64 { return v.CondensingTemp }, func(w table.Window) float64 { return w.CondensingTemp }),
		unstated(func(p truth.Point) float64 { return p.Condensing - p.Sink },
			func(v table.Visit) float64 { return v.CondenserTD }, func(w table.Window) float64 { return w.CondenserTD }),
		[]string{"condenser_air_on_temp", "sink_inlet_temp", "outdoor_temp"},
	},
	truth.EvaporatorFouling: {
		unstated(func(p truth.Point) float64 { return p.Evaporating },
			func(v table.Visit) float64 { return v.EvaporatingTemp }, func(w table.Window) float64 { return w.EvaporatingTemp }),
		unstated(func(p truth.Point) float64 { return p.Source - p.Evaporating },
			func(v table.Visit) float64 { return v.EvaporatorTD }, func(w table.Window) float64 { return w.EvaporatorTD }),
		[]string{"evaporator_air_on_temp", "source_inlet_temp", "room_temp"},
	},
}

// unstated is a quantity of which only how far visits are off is asked for.
func unstated(is quantity, of func(table.Visit) float64, in func(table.Window) float64) claimed {
	return claimed{is, func(v table.Visit) (float64, float64) { return of(v), 0 }, in}
}

// coilErrs are how far visits were off in what tells of a coil.
type coilErrs struct{ temperature, difference []claim }

// coilErrs looks at the coils of a system. A reversed machine's have changed places.
func (f fleet) coilErrs(v view) map[truth.Fault]coilErrs {
	v.Visits = slices.DeleteFunc(slices.Clone(v.Visits), func(x table.Visit) bool { return x.Mode == "heating" })
	out := map[truth.Fault]coilErrs{}
	for fault, g := range coilGauges {
		out[fault] = coilErrs{f.claims(v, g.temperature), centred(f.claims(v, g.difference))}
	}
	return out
}

// centred are claims less what they are off by at that machine whatever the instruments: air
// that comes back to its condenser, or a probe beside it, belongs to where the machine stands.
func centred(claims []claim) []claim {
	var offs []float64
	for _, c := range claims {
		offs = append(offs, c.off)
	}
	middle := float64(median(offs))
	for i := range claims {
		claims[i].off -= middle
	}
	return claims
}

// coilNoise is how a coil's gauge errs, by class of instruments.
type coilNoise struct{ temperature, difference map[string]noise }

// coilNoises are those of the coils, by what fouls them.
func (f fleet) coilNoises() map[truth.Fault]coilNoise {
	out := map[truth.Fault]coilNoise{}
	for fault := range coilGauges {
		var warm, apart []claim
		for _, s := range f.subjects {
			warm, apart = append(warm, s.coils[fault].temperature...), append(apart, s.coils[fault].difference...)
		}
		out[fault] = coilNoise{noisesOf(warm), noisesOf(apart)}
	}
	return out
}

// columns is how many a healthy coil's course has.
const columns = 7

// A weather is what the difference of a coil follows at a stay, by column: a level, outdoor
// temperature with a bend at either end of what head pressure control reaches, the medium that
// is cooled, and the same level and line for a machine that heats.
type weather [columns]float64

// followedSD is how far a difference may follow each column, by what is believed of any, K: wide.
var followedSD = weather{30, 5, 5, 5, 3, 30, 5}

// weatherAt is what a stay is at.
func (v view) weatherAt(s stay) weather {
	x, _ := v.fileAt(s.from)
	out := robust.OrZero((v.mean(func(p truth.Point) float64 { return p.Outdoor }, s.from, s.from.Add(s.rest)) - 15) / 10)
	cooled := robust.OrZero((v.mean(func(p truth.Point) float64 { return p.Source }, s.from, s.from.Add(s.rest)) - 10) / 10)
	heats := flag(x.Heats)
	return weather{1, out, max(0, out+0.5), max(0, out-0.5), cooled, heats, heats * out}
}

// A coilStay is the weather of a usable stay, and how far each coil truly stood off its medium,
// by what fouls it.
type coilStay struct {
	weather
	apart map[truth.Fault]float64
}

// coilStays are those of all usable stays.
func (v view) coilStays() (list []coilStay) {
	for _, s := range v.stays {
		x := coilStay{v.weatherAt(s), map[truth.Fault]float64{}}
		for fault, g := range coilGauges {
			x.apart[fault] = v.mean(g.difference.is, s.from, s.from.Add(s.rest))
		}
		list = append(list, x)
	}
	return list
}

// A coilCase is a system whose coil's effect passed the bar, with the chances of both oracles.
type coilCase struct {
	found             bool
	stays             int // that had shown half of the bar
	knowing, learning float64
}

// seen holds the oracles against what was found of a coil; nothing for what is none.
func (f fleet) seen(k troubled, alarms []alarm, perYear float64, by map[truth.Fault]coilNoise) *Seen {
	errs, ok := by[k.fault]
	if !ok {
		return nil
	}
	var all []coilCase
	for _, s := range f.subjects {
		if when, ok := s.passedBar(k); ok {
			all = append(all, s.coilCase(k, when, errs, perYear))
			all[len(all)-1].found = when.holds(of(alarms, s.ID, k.fault))
		}
	}
	out := seenOf(all)
	x := &Seen{Knowing: out.Knowing, Learning: out.Learning, ByStays: map[string]SeenShare{}}
	for _, name := range []string{"1", "2", mostStays} {
		part := slices.DeleteFunc(slices.Clone(all), func(c coilCase) bool { return c.name() != name })
		x.ByStays[name] = seenOf(part)
	}
	return x
}

// mostStays names the cases of which many stays had shown something.
const mostStays = "3 or more"

func (c coilCase) name() string {
	if c.stays >= 3 {
		return mostStays
	}
	return strconv.Itoa(c.stays)
}

// seenOf sums cases up.
func seenOf(all []coilCase) SeenShare {
	var knowing, learning []float64
	hits := 0
	for _, c := range all {
		hits += int(flag(c.found))
		knowing, learning = append(knowing, c.knowing), append(learning, c.learning)
	}
	return SeenShare{share(hits, len(all)), detectable(knowing), detectable(learning)}
}

// detectable is the mean of the chances that can be told.
func detectable(chances []float64) Detectable {
	chances = slices.DeleteFunc(slices.Clone(chances), math.IsNaN)
	return Detectable{mean(chances), len(chances)}
}

// coilCase works out the chances of a case.
func (s *subject) coilCase(k troubled, when span, n coilNoise, perYear float64) coilCase {
	shown := s.shown(k, when)
	var c coilCase
	for _, x := range shown {
		c.stays += int(flag(x.moved >= k.bar.size/2))
	}
	falseAlarm := -math.Expm1(-perYear * when.to.Sub(s.stays[0].from).Hours() / hoursInYear)
	c.knowing = detects(knowing(grouped(shown, n.temperature, 0)), falseAlarm)
	seen := slices.DeleteFunc(slices.Clone(shown), func(x shift) bool { return !x.medium })
	c.learning = detects(robust.OrZero(learning(grouped(seen, n.difference, strays(seen)))), falseAlarm)
	return c
}

// A shift is how far a fault had moved a coil's gauge at a stay, in some weather, and where the
// gauge would have stood without.
type shift struct {
	kit, class string
	moved      float64
	weather
	healthy float64
	medium  bool // its temperature was logged
}

// shown are the shifts of all usable stays up to the end of a span. What an earlier episode
// had moved is known, and so is none. Stays at which nobody can tell are left out.
func (s *subject) shown(k troubled, when span) (list []shift) {
	for i, v := range s.stays[:min(len(s.stays), len(s.coilStays))] {
		if v.from.After(when.to) {
			break
		}
		x, _ := s.fileAt(v.from)
		effect := 0.0
		if s.Fault(k.fault, v.from) > 0 {
			effect = effectOn(x, k, v.from)
		}
		one := shift{x.Kit, s.classOf[x.Kit], effect, s.coilStays[i].weather, s.coilStays[i].apart[k.fault] - effect, logs(x, coilGauges[k.fault].media)}
		if v.from.Before(when.from) {
			one.moved = 0
		}
		if !math.IsNaN(effect) {
			list = append(list, one)
		}
	}
	return list
}

// logs tells whether a log has one of some channels, unspoilt.
func logs(x truth.File, channels []string) bool {
	return slices.ContainsFunc(x.Columns, func(c truth.Column) bool {
		one := []string{c.Channel}
		spoilt := slices.ContainsFunc(x.Mistakes, func(m truth.Mistake) bool { return spoils(m, one) })
		return slices.Contains(channels, c.Channel) && !spoilt
	})
}

// effectOn is the effect of a fault on a day of a log; NaN where it is not known.
func effectOn(x truth.File, k troubled, t time.Time) float64 {
	for _, e := range x.Effects {
		if e.Fault == k.fault && dayOf(e.Time) == dayOf(t) {
			return k.bar.of(e)
		}
	}
	return math.NaN()
}

// strays is how far a coil's healthy difference strays from what the weather tells of it, K.
func strays(shown []shift) float64 {
	b := robust.Belief{Columns: make([][]float64, columns), Mean: make([]float64, columns), SD: followedSD[:], Wild: 0.05, WildSD: 5, Scatter: 0.3, ScatterWeight: 2}
	for _, x := range shown {
		if math.IsNaN(x.healthy) {
			continue
		}
		b.Y = append(b.Y, x.healthy)
		for k, v := range x.weather {
			b.Columns[k] = append(b.Columns[k], v)
		}
	}
	fit, err := b.Fit()
	if err != nil {
		return b.Scatter
	}
	return fit.Scatter
}

// A classed is shifts seen with instruments that err alike, by set.
type classed struct {
	noise
	moves map[string][]float64
	cols  [columns]map[string][]float64 // of the weather
}

// grouped sorts shifts by class of instruments, which err so and beside which the machine
// strays; those of which nobody knows how they err are left out.
func grouped(shown []shift, by map[string]noise, strays float64) map[string]*classed {
	out := map[string]*classed{}
	for _, x := range shown {
		n, ok := by[x.class]
		if !ok {
			continue
		}
		g := out[x.class]
		if g == nil {
			g = &classed{noise: noise{n.offset, math.Hypot(n.scatter, strays)}, moves: map[string][]float64{}}
			for k := range g.cols {
				g.cols[k] = map[string][]float64{}
			}
			out[x.class] = g
		}
		g.moves[x.kit] = append(g.moves[x.kit], x.moved)
		for k, v := range x.weather {
			g.cols[k][x.kit] = append(g.cols[k][x.kit], v)
		}
	}
	return out
}

// knowing is the energy of shifts for who knows the healthy course; NaN where there are none.
func knowing(groups map[string]*classed) float64 {
	sum := 0.0
	for _, name := range slices.Sorted(maps.Keys(groups)) {
		sum += groups[name].energy(groups[name].moves)
	}
	if len(groups) == 0 {
		return math.NaN()
	}
	return sum
}

// learning is the same for who does not know how far a gauge follows each column of the weather:
// what these would explain as well is lost. A column x that counts as normal of variance p
// makes Σ + p x xᵀ of the covariance Σ, whose inverse is that of Sherman and Morrison (Ann. Math.
// Stat. 21 (1950) 124), so that each product aᵀ Σ⁻¹ b loses aᵀ Σ⁻¹ x · bᵀ Σ⁻¹ x / (1/p + xᵀ Σ⁻¹ x).
func learning(groups map[string]*classed) float64 {
	if len(groups) == 0 {
		return math.NaN()
	}
	products := productsOf(groups)
	for x, sd := range followedSD {
		norm := 1/(sd*sd) + products[x][x]
		for a := x + 1; a <= columns; a++ {
			for b := x + 1; b <= columns; b++ {
				products[a][b] -= products[a][x] * products[x][b] / norm
			}
		}
	}
	return math.Max(0, products[columns][columns])
}

// productsOf are aᵀ Σ⁻¹ b of the columns of the weather and, behind them, of the shifts.
func productsOf(groups map[string]*classed) (out [columns + 1][columns + 1]float64) {
	for _, name := range slices.Sorted(maps.Keys(groups)) {
		g := groups[name]
		all := append(g.cols[:], g.moves)
		for a := range all {
			for b := range all {
				out[a][b] += g.both(all[a], all[b])
			}
		}
	}
	return out
}

// both is aᵀ Σ⁻¹ b of two courses with the same instruments, by the polar form of the energy.
func (n noise) both(a, b map[string][]float64) float64 {
	plus, minus := map[string][]float64{}, map[string][]float64{}
	for set := range a {
		for i, x := range a[set] {
			y := b[set][i]
			plus[set], minus[set] = append(plus[set], x+y), append(minus[set], x-y)
		}
	}
	return (n.energy(plus) - n.energy(minus)) / 4
}
