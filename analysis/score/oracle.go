package score

import (
	"math"
	"strconv"
	"time"

	"rimelog/analysis/robust"
	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// Detectable is what an oracle could find of losses or faults.
type Detectable struct {
	Share Number `json:"share"` // mean chance of finding one in time
	N     int    `json:"n"`     // of so many
}

// The gauges that the oracle watches.
var watched = []claimed{claimOfSubcooling, claimOfSuperheat, claimOfLevel}

// claimOfLevel has no interval; only how far visits are off is asked for.
var claimOfLevel = claimed{func(p truth.Point) float64 { return 100 * p.Level },
	func(v table.Visit) (float64, float64) { return v.ReceiverLevel, 0 },
	func(w table.Window) float64 { return w.ReceiverLevel }}

// levelOfReceiver is the place of the receiver's level among them.
const levelOfReceiver = 2

// levels are how far visits were off in the level of a receiver.
func (f fleet) levels(v view) []claim {
	list := f.claims(v, claimOfLevel)
	for i := range list {
		list[i].kit = v.ID
	}
	return list
}

// A showing is what gauges would show of a usable stay, did no instrument err, by how much a
// loss has moved each since the system was full, and with which instruments it was logged.
type showing struct {
	at         time.Time
	kit, class string
	moved      []float64 // by gauge; NaN where it cannot be said
}

// showings tells by how much losses have moved the gauges at every usable stay: what the true
// operating points follow of the loss beside weather, other faults and changes.
func (f fleet) showings(v view) (list []showing) {
	means := make([][]float64, len(watched))
	for _, s := range v.stays {
		x, _ := v.fileAt(s.from)
		list = append(list, showing{at: s.from, kit: x.Kit, class: f.classes[x.Kit], moved: make([]float64, len(watched))})
		for k, q := range watched {
			means[k] = append(means[k], v.mean(q.is, s.from, s.from.Add(s.rest)))
		}
	}
	other := v.others()
	for k := range watched {
		for i, m := range v.moved(k, means[k], other) {
			if list[i].moved[k] = m; k == levelOfReceiver && !v.LevelSensor {
				list[i].moved[k] = math.NaN()
			}
		}
	}
	return list
}

// lossSD is how far gauges may move for all of the charge, by what is believed of any: K, and
// percent of the receiver. It only keeps few stays from being overfitted.
var lossSD = []float64{100, 200, 1000}

// otherSD is the same for what moves gauges besides a loss, K or percent.
const otherSD = 30

// kneesOfLoss are the losses, beyond what a receiver holds back, at which a gauge may begin to
// move otherwise: valves open fully, and subcooling is used up.
var kneesOfLoss = []float64{-1, 0, 0.05, 0.1, 0.2}

// others are the columns of what moves gauges besides a loss, by stay.
func (v view) others() (cols [][]float64) {
	at := func(of func(t time.Time) float64) {
		col := make([]float64, len(v.stays))
		for i, s := range v.stays {
			col[i] = robust.OrZero(of(s.from.Add(s.rest / 2)))
		}
		cols = append(cols, col)
	}
	at(func(time.Time) float64 { return 1 })
	outdoor := func(t time.Time) float64 {
		return (v.at(func(p truth.Point) float64 { return p.Outdoor }, t) - 15) / 10
	}
	at(outdoor)
	at(func(t time.Time) float64 { return outdoor(t) * outdoor(t) })
	at(func(t time.Time) float64 { return (v.at(func(p truth.Point) float64 { return p.Source }, t) - 10) / 10 })
	at(func(t time.Time) float64 { return (v.at(func(p truth.Point) float64 { return p.Sink }, t) - 30) / 10 })
	for _, k := range []truth.Fault{truth.CondenserFouling, truth.EvaporatorFouling, truth.Restriction, truth.Wear, truth.ForeignGas, truth.ValveStuck} {
		at(func(t time.Time) float64 { return v.Fault(k, t) })
	}
	for _, c := range v.Changes {
		at(func(t time.Time) float64 { return flag(!t.Before(c.At)) })
	}
	if r := v.Retrofit; r != nil {
		at(func(t time.Time) float64 { return flag(!t.Before(r.From)) })
	}
	return cols
}

// lacks is by how much a system is short of its rated charge at a time, as a share; below 0
// where it holds more.
func (v view) lacks(t time.Time) float64 { return 1 - v.Charge(t)/v.Rated(t) }

// losses are the columns of what a loss makes of a gauge, by stay. A receiver's level follows
// what the receiver gives, the others what it cannot give.
func (v view) losses(gauge int) (cols [][]float64) {
	for _, knee := range kneesOfLoss {
		col := make([]float64, len(v.stays))
		for i, s := range v.stays {
			lacks := v.lacks(s.from) - v.Reserve
			if gauge == levelOfReceiver {
				lacks = min(v.lacks(s.from), v.Reserve)
			}
			if col[i] = max(0, lacks-knee); knee < 0 {
				col[i] = min(0, lacks)
			}
		}
		cols = append(cols, col)
	}
	return cols
}

// moved is how far a loss has moved a gauge at every stay: the columns of the loss by what a
// fit makes of them beside the others. NaN where the gauge is not known.
func (v view) moved(gauge int, is []float64, others [][]float64) []float64 {
	out := make([]float64, len(is))
	b := robust.Belief{Wild: 0.05, WildSD: 5, Scatter: 0.3, ScatterWeight: 2}
	var rows []int
	for i, y := range is {
		if out[i] = math.NaN(); !math.IsNaN(y) {
			rows, b.Y = append(rows, i), append(b.Y, y)
		}
	}
	add := func(cols [][]float64, sd float64) {
		for _, col := range cols {
			x := make([]float64, len(rows))
			for k, i := range rows {
				x[k] = col[i]
			}
			b.Columns, b.Mean, b.SD = append(b.Columns, x), append(b.Mean, 0), append(b.SD, sd)
		}
	}
	add(others, otherSD)
	add(v.losses(gauge), lossSD[gauge])
	fit, err := b.Fit()
	if err != nil {
		return out
	}
	for k, i := range rows {
		out[i] = 0
		for j := len(others); j < len(b.Columns); j++ {
			out[i] += fit.Coef[j] * b.Columns[j][k]
		}
	}
	return out
}

// noises are how gauges err, by class of instruments: what visits showed of unspoilt logs less
// what was so.
func (f fleet) noises() []map[string]noise {
	list := make([]map[string]noise, len(watched))
	for k := range watched {
		var all []claim
		for _, s := range f.subjects {
			all = append(all, s.errs[k]...)
		}
		list[k] = noisesOf(all)
	}
	return list
}

// noisesOf sorts what visits were off by by class of instruments.
func noisesOf(all []claim) map[string]noise {
	byClass, out := map[string][]claim{}, map[string]noise{}
	for _, c := range all {
		if c.clean {
			byClass[c.class] = append(byClass[c.class], c)
		}
	}
	for class, claims := range byClass {
		if n, ok := noiseOf(claims); ok {
			out[class] = n
		}
	}
	return out
}

// leastErrs is how many errors tell how gauges err.
const leastErrs = 8

// noiseOf splits errors into those of sets of instruments and those of visits. A few wild visits
// do not count.
func noiseOf(claims []claim) (noise, bool) {
	sets := map[string][]float64{}
	var order []string
	for _, c := range claims {
		if sets[c.kit] == nil {
			order = append(order, c.kit)
		}
		sets[c.kit] = append(sets[c.kit], c.off)
	}
	if len(claims) < leastErrs {
		return noise{}, false
	}
	var scatter []float64
	squares, fewer := 0.0, 0.0
	for _, set := range order {
		x := sets[set]
		off := float64(median(x))
		for _, v := range x {
			scatter = append(scatter, v-off)
		}
		squares, fewer = squares+off*off, fewer+1/float64(len(x))
	}
	_, sd, _ := robust.MAD(scatter)
	sd = max(sd*math.Sqrt(float64(len(claims))/max(1, float64(len(claims)-len(order)))), leastScatter)
	return noise{math.Sqrt(max(0, (squares-sd*sd*fewer)/float64(len(order)))), sd}, true
}

// leastScatter of visits, K or percent of a receiver: a rounded digit of a logger.
const leastScatter = 0.03

// lossesSeen is what an oracle could find of the losses that count for sensitivity, at a rate of
// false alarms a year: in each course one likelihood ratio test of all usable stays up to the
// deadline, with the chance of a false alarm that such a rate gives by then.
func (f fleet) lossesSeen(perYear float64) map[string]Detectable {
	noises, out := f.noises(), map[string]Detectable{}
	for _, level := range levels {
		var chances []float64
		for _, s := range f.subjects {
			x := float64(level) / 100
			if c, ok := s.passed(x); ok {
				chances = append(chances, s.chance(c, c.deadline(s, x), noises, perYear))
			}
		}
		out[strconv.Itoa(level)] = detectable(chances)
	}
	return out
}

// chance is that of finding the loss of a course by a deadline; NaN where no gauge says anything.
func (s *subject) chance(c course, deadline time.Time, noises []map[string]noise, perYear float64) float64 {
	energy, seen := 0.0, false
	for k := range watched {
		for class, moves := range s.moves(k, c, deadline) {
			if n, ok := noises[k][class]; ok {
				energy, seen = energy+n.energy(moves), true
			}
		}
	}
	if !seen {
		return math.NaN()
	}
	years := deadline.Sub(c.baseline).Hours() / hoursInYear
	return detects(energy, -math.Expm1(-perYear*years))
}

// moves are how far a loss has moved a gauge since the baseline of a course, by class and then by
// set of instruments. The sensor of a level stays where it is.
func (s *subject) moves(gauge int, c course, deadline time.Time) map[string]map[string][]float64 {
	out := map[string]map[string][]float64{}
	first := math.NaN()
	for _, x := range s.showings {
		v := x.moved[gauge]
		if math.IsNaN(v) || !c.holds(x.at) || x.at.After(deadline) {
			continue
		}
		if math.IsNaN(first) {
			first = v
		}
		if out[x.class] == nil {
			out[x.class] = map[string][]float64{}
		}
		set := x.kit
		if gauge == levelOfReceiver {
			set = s.ID
		}
		out[x.class][set] = append(out[x.class][set], v-first)
	}
	return out
}
