package trust

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// fewestBefore is how many visits a machine's own history needs.
const fewestBefore = 3

// Review goes over the visits of a system in time order and adds what only its
// history tells. Each visit is judged from itself and those before it.
func Review(system register.System, events []register.Event, visits []Facts) []Facts {
	visits = slices.Clone(visits)
	slices.SortStableFunc(visits, func(a, b Facts) int { return int(sign(a.Start - b.Start)) })
	for i := range visits {
		h := history{system: system.Filled(events, time.UnixMicro(visits[i].Start)), events: events, now: &visits[i], known: map[cycle.Quantity]expectation{}}
		for k := i - 1; k >= 0 && h.latest == nil; k-- {
			if !visits[k].says("D32") { // another machine's instruments say nothing of this one's
				h.latest = &visits[k]
			} else if h.stranger == nil {
				h.stranger = &visits[k]
			}
		}
		for _, v := range visits[:i] {
			if v.Mode == visits[i].Mode && v.Fluid == visits[i].Fluid {
				h.before = append(h.before, v)
			}
		}
		h.judge()
	}
	return visits
}

func sign(x int64) int64 {
	switch {
	case x < 0:
		return -1
	case x > 0:
		return 1
	}
	return 0
}

// A history is a visit with those before it.
type history struct {
	system register.System
	events []register.Event
	now    *Facts
	before []Facts // with the same refrigerant, in the same mode
	latest *Facts  // the visit before, in whatever mode; nil for the first
	// stranger is a visit after latest that seems to be another machine's; nil if there is none.
	stranger *Facts

	known map[cycle.Quantity]expectation
}

// behind are the channels that a derived quantity rests on.
var behind = map[cycle.Quantity][]cycle.Quantity{
	cycle.Superheat:          {cycle.SuctionPressure, cycle.SuctionTemp},
	cycle.Subcooling:         {cycle.DischargePressure, cycle.LiquidPressure, cycle.LiquidTemp},
	cycle.DischargeSuperheat: {cycle.DischargePressure, cycle.DischargeTemp},
	cycle.EvaporatorTD:       {cycle.SuctionPressure, cycle.EvaporatorAirOn, cycle.SourceInlet, cycle.RoomTemp},
	cycle.CondenserTD:        {cycle.DischargePressure, cycle.OutdoorTemp, cycle.CondenserAirOn, cycle.SinkInlet},
	cycle.Evaporating:        {cycle.SuctionPressure},
	cycle.Condensing:         {cycle.DischargePressure},
}

// hides tells whether a doubt of the visit hides a quantity.
func (f Facts) hides(q cycle.Quantity) bool {
	on := behind[q]
	if on == nil {
		on = []cycle.Quantity{q}
	}
	return slices.ContainsFunc(f.Doubts, func(d Doubt) bool { return d.touches(on...) })
}

// Limits of what counts as moved, and as unmoved.
const (
	farMoved    = 4.5 // K
	farServed   = 7.5 // K, after somebody changed the machine
	manySpreads = 4.5
	unmoved     = 2.0 // K
)

func (h history) judge() {
	h.otherInstruments()
	h.worked()
	h.refrigerant()
	if len(h.before) < fewestBefore || len(h.now.Mean) == 0 {
		return
	}
	h.airTwice()
	if !h.now.says("D2") {
		h.otherSystem()
	}
	if h.now.says("D32") {
		return
	}
	h.looseProbe()
	h.lostZero()
	h.sunnyProbe()
	h.onePhase()
}

func (f *Facts) says(rule string) bool {
	return slices.ContainsFunc(f.Doubts, func(d Doubt) bool { return d.Rule == rule })
}

// drop takes back what rules said that another one explains.
func (f *Facts) drop(rules ...string) {
	f.Doubts = slices.DeleteFunc(f.Doubts, func(d Doubt) bool { return slices.Contains(rules, d.Rule) })
}

func (f *Facts) doubt(d Doubt) { f.Doubts = append(f.Doubts, d) }

// onItsWay tells whether the latest visit before that knows a quantity had it half as far
// off already: that is a machine which changed. A mistake stands alone.
func (h history) onItsWay(q cycle.Quantity, by float64) bool {
	usual := h.expected(q).mean
	for _, v := range slices.Backward(h.before) {
		if m, ok := v.Mean[q.String()]; ok && !v.says("D32") {
			return (m-usual)/by >= 0.5
		}
	}
	return false
}

// fell tells whether one of the latest three visits before lay below what history says by
// more than its scatter: a leak shows before it is large.
func (h history) fell(q cycle.Quantity) bool {
	e := h.expected(q)
	seen := 0
	for _, v := range slices.Backward(h.before) {
		if m, ok := v.Mean[q.String()]; ok && !v.hides(q) {
			if seen++; m < e.mean-1.5*e.sd {
				return true
			}
			if seen == 3 {
				return false
			}
		}
	}
	return false
}

// alone tells whether a quantity has moved far, and as no visit before.
func (h history) alone(q cycle.Quantity) (by float64, ok bool) {
	by, spreads := h.moved(q)
	far := farMoved
	if h.served() {
		far = farServed
	}
	return by, math.Abs(by) > far && spreads > manySpreads && !h.onItsWay(q, by)
}

// looseProbe looks for a clamped probe that stands alone: superheat or subcooling has
// moved far, what else belongs to that side has not.
func (h history) looseProbe() {
	if by, ok := h.alone(cycle.Superheat); ok && h.calm(calmness{cycle.Evaporating, 1.5 * unmoved}) && h.calm(calmness{cycle.EvaporatorTD, math.Max(unmoved, 0.3*math.Abs(by))}, calmness{cycle.DischargeSuperheat, 0.4 * math.Abs(by)}) {
		rule := "D10"
		if by < 0 {
			rule = "D26"
		}
		h.probe(rule, cycle.SuctionTemp, true, fmt.Sprintf("superheat is %+.1f K off what the %d visits before say, yet neither the evaporating temperature nor the discharge gas has moved", by, len(h.before)),
			"check the suction probe's contact and insulation, and log again")
	}
	by, ok := h.alone(cycle.Subcooling)
	if !ok || !h.calm(calmness{cycle.CondenserTD, unmoved}, calmness{cycle.DischargeSuperheat, 2 * unmoved}) || !h.calm(calmness{cycle.Superheat, unmoved}) || h.now.says("D10") {
		return
	}
	evidence := fmt.Sprintf("subcooling is %+.1f K off what the %d visits before say, yet condensing temperature and superheat have not moved", by, len(h.before))
	if by > 0 {
		h.probe("D10", cycle.LiquidTemp, true, evidence, "check the liquid probe's contact and insulation, and log again")
		return
	}
	if h.fell(cycle.Subcooling) {
		return // charge goes slowly
	}
	h.probe("D27", cycle.LiquidTemp, false, evidence, "check the liquid probe (sun, contact); where it sits well, refrigerant has been lost since the visit before")
}

// probe says that a clamped probe is off, unless that was said.
func (h history) probe(rule string, q cycle.Quantity, hides bool, evidence, remedy string) {
	if !h.now.says(rule) {
		h.now.doubt(Doubt{Rule: rule, Channels: about(q), Hides: hides, Evidence: evidence, Remedy: remedy})
	}
}

// How far an offset of the low pressure must move superheat and the evaporator's
// difference together, K and in standard deviations of their mean, and how far they may
// differ.
const (
	leastZero   = 1.3 // K
	zeroSpreads = 4.5
	zeroApart   = 2.5
)

// lostZero looks for a low pressure that is off alone: superheat and the evaporator's
// difference have moved by the same amount, and the discharge gas, which a wetter or drier
// suction gas would carry along, has not.
func (h history) lostZero() {
	sh, ns := h.moved(cycle.Superheat)
	td, nt := h.moved(cycle.EvaporatorTD)
	if h.now.says("D30") || h.now.says("D2") || math.IsNaN(sh+td) || sh*td <= 0 {
		return
	}
	us, ut := math.Abs(sh)/ns, math.Abs(td)/nt
	by, u := (sh/(us*us)+td/(ut*ut))/(1/(us*us)+1/(ut*ut)), 1/math.Sqrt(1/(us*us)+1/(ut*ut))
	if math.Abs(by) < leastZero || math.Abs(by) < zeroSpreads*u || math.Abs(sh-td) > zeroApart*math.Hypot(us, ut) || h.onItsWay(cycle.Superheat, sh) && h.onItsWay(cycle.EvaporatorTD, td) {
		return
	}
	gas := 0.5*math.Abs(by) + 0.5
	if !h.calm(calmness{cycle.DischargeSuperheat, gas}, calmness{cycle.DischargeTemp, gas + 1}) && !(h.unknown(cycle.DischargeSuperheat) && math.Abs(by) > 1.5*leastZero) {
		return
	}
	if !h.calm(calmness{cycle.Subcooling, unmoved}, calmness{cycle.CondenserTD, unmoved}) {
		return
	}
	h.now.doubt(Doubt{
		Rule: "D30", Channels: about(cycle.SuctionPressure), Hides: true,
		Evidence:   fmt.Sprintf("superheat is %+.1f K and the evaporator's difference %+.1f K off what the %d visits before say, while the discharge gas has not moved: the low pressure is off alone", sh, td, len(h.before)),
		Remedy:     "compare the sensor with the air and zero it, and look whether the hose's valve was open; write an offset into register/instruments.csv",
		Candidates: []string{"a sensor that lost its zero", "a closed valve at the hose (D14)"},
	})
}

// unknown tells whether nothing is known of how a quantity has moved.
func (h history) unknown(q cycle.Quantity) bool {
	by, _ := h.moved(q)
	return math.IsNaN(by)
}

// sunnyProbe looks for an outdoor probe in the sun: the air it shows would give a higher
// condensing temperature at this machine, and nothing else has moved. Where head pressure
// is held up in the cold, the air says nothing and nothing is said.
func (h history) sunnyProbe() {
	by, spreads := h.moved(cycle.CondenserTD)
	if h.system.Kind.Heats() || h.now.Mode == Heating || h.now.says("D29") || !(by < -3.5 && spreads > manySpreads) || h.onItsWay(cycle.CondenserTD, by) || h.served() {
		return
	}
	if !h.calm(calmness{cycle.Subcooling, 1.5 * unmoved}) || !h.calm(calmness{cycle.Superheat, unmoved}, calmness{cycle.EvaporatorTD, unmoved}) {
		return
	}
	h.now.doubt(Doubt{
		Rule: "D29", Channels: about(condenserMedia[:]...), Hides: true,
		Evidence: fmt.Sprintf("condensing is %.1f K nearer to the outdoor air than at the %d visits before, and nothing else has moved: the air is not as warm as the probe says", -by, len(h.before)),
		Remedy:   "shade the outdoor probe and keep it out of the condenser's own warm air",
	})
}

// served tells whether somebody changed the machine at one of the latest visits before, or
// since: then what it shows may have moved for good.
func (h history) served() bool {
	since := h.now.Start
	for _, v := range h.before[max(0, len(h.before)-fewestBefore):] {
		since = min(since, v.Start)
	}
	return slices.ContainsFunc(h.events, func(e register.Event) bool {
		at := e.Time.UnixMicro()
		return e.Kind.Intervenes() && at <= h.now.End && at >= since-int64(24*time.Hour/time.Microsecond)
	})
}

// powerIndex is the power over what compressing the suction gas between the pressures
// takes, but for a constant of the machine: W ~ p1 ((p2/p1)^k - 1) with k of a usual
// isentropic exponent, per speed where it is known. Source: isentropic compression of
// an ideal gas, exponent 1.15.
func (f Facts) powerIndex() float64 {
	w, okW := f.Mean[cycle.Power.String()]
	low, okL := f.Mean[cycle.SuctionPressure.String()]
	high, okH := f.Mean[cycle.DischargePressure.String()]
	if !okW || !okL || !okH || w <= 0 || low <= 0 || high <= low {
		return math.NaN()
	}
	const k = (1.15 - 1) / 1.15
	index := w / (low * (math.Pow(high/low, k) - 1))
	if s, ok := f.Mean[cycle.Speed.String()]; ok && s > 1 {
		index /= s
	}
	return math.Log(index)
}

// A meter on one phase of three shows a third; mostOfPower is well above that, below
// what stages and speed do.
const mostOfPower = 0.5

// onePhase looks for a power far below what like pressures took before.
func (h history) onePhase() {
	off, spreads := h.powerOff()
	if off < math.Log(mostOfPower) && spreads > manySpreads {
		h.now.doubt(Doubt{
			Rule: "D28", Channels: about(cycle.Power), Hides: true,
			Evidence: fmt.Sprintf("power is %.0f %% of what like pressures took at the visits before", 100*math.Exp(off)),
			Remedy:   "measure all phases, and check the direction of the current clamps",
		})
	}
}

// What is far for a file of another system: how far a measured quantity must be off what
// history says, K and in its standard deviations, and how many must be. One mistake moves
// one of them, and drags along every difference that rests on it; another machine moves
// several by themselves.
const (
	farLevel   = 6.0 // K
	levelTimes = 5.0
	fewestFar  = 3
)

// otherSystem looks for a visit of which several independent measurements are far off.
func (h history) otherSystem() {
	far := 0
	low, text := false, ""
	count := func(name string, by, spreads float64) (is bool) {
		if is = math.Abs(by) > farLevel && spreads > levelTimes; is {
			far++
			text += fmt.Sprintf("%s %+.0f K, ", name, by)
		}
		return is
	}
	weather := h.now.Mode != "" // what heats and cools changes its levels by itself
	te, nte := h.level(cycle.Evaporating)
	sh, nsh := h.level(cycle.Superheat)
	evaporating := !weather && count("evaporating temperature", te, nte)
	gas := !weather && count("suction gas", te+sh, math.Min(nte, nsh))
	if !weather && !h.system.Kind.Heats() {
		by, spreads := h.level(cycle.EvaporatorMedium)
		low = count(cycle.EvaporatorMedium.String(), by, spreads)
	}
	td, ntd := h.level(cycle.CondenserTD)
	sc, nsc := h.level(cycle.Subcooling)
	hot, nhot := h.level(cycle.DischargeSuperheat)
	count("condensing temperature", td, ntd)
	count("liquid", td-sc, nsc)
	count("discharge gas", td+hot, nhot)
	if off, spreads := h.powerOff(); math.Abs(off) > math.Log(2) && spreads > levelTimes {
		far++
		text += fmt.Sprintf("power times %.1f at like pressures, ", math.Exp(off))
	}
	together := evaporating && (low || gas) && te*(te+sh) > 0 // pressure and pipe agree: it is colder or warmer there
	if far < fewestFar && !(together && far == fewestFar-1) || h.now.says("D5") || h.now.says("D8") || h.now.says("D9") || h.now.says("D19") {
		return
	}
	h.now.drop("D1", "D2", "D7", "D9", "D10", "D14", "D25", "D26", "D27", "D28", "D29", "D30")
	h.now.doubt(Doubt{
		Rule: "D32", Hides: true, Evidence: fmt.Sprintf("off the %d visits before: %s", len(h.before), text[:len(text)-2]),
		Remedy: "check which system was logged; move the file into that system's folder",
	})
}

// powerOff is the logarithm of the power over what like pressures took before, and by how
// many standard deviations it is off; NaN where nothing tells.
func (h history) powerOff() (off, spreads float64) {
	var x []float64
	for _, v := range h.before {
		if p := v.powerIndex(); !math.IsNaN(p) && !v.says("D28") {
			x = append(x, p)
		}
	}
	usual, spread, err := robust.MAD(x)
	if err != nil || len(x) < fewestBefore {
		return math.NaN(), math.NaN()
	}
	off = h.now.powerIndex() - usual
	return off, math.Abs(off) / math.Max(spread, 0.08)
}

// refrigerant decides whether the register names the wrong refrigerant: a standstill
// that says so, or superheat or subcooling below zero, at several visits, not at one.
func (h history) refrigerant() {
	if !h.now.says("D1") && !h.now.says("D2") && !h.now.says("D26") && !h.now.says("D27") && !h.now.Near {
		return
	}
	for _, rules := range [][]string{{"D1", "D2"}, {"D26", "D27"}} {
		if h.often(rules) && h.together() {
			return
		}
	}
	h.now.drop("D1")
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
	for _, v := range append(slices.Clone(h.before), *h.now) {
		could := len(v.Mean) > 0
		if rules[0] == "D1" {
			could = len(v.Rest) > 0
		}
		if could {
			of++
			if any(v) {
				hit++
			}
		}
	}
	return any(*h.now) && hit >= 2 && 2*hit > of
}

// together says that the refrigerant is another one, where one of the library makes
// the means of all visits plausible.
func (h history) together() bool {
	visits := append(slices.Clone(h.before), *h.now)
	names := plausibleRefrigerants(h.system, visits)
	if len(names) == 0 {
		return false
	}
	evidence := "superheat or subcooling below zero, or pressures at rest that do not belong to the temperatures, at most visits"
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
	return true
}

// leastFit is the share of visits that a refrigerant must make plausible.
const leastFit = 0.7

// plausibleRefrigerants lists those, met in the field, with which most visits show
// superheat, subcooling and differences as machines have them.
func plausibleRefrigerants(s register.System, visits []Facts) []string {
	type fit struct {
		name string
		off  float64
	}
	var fits []fit
	for _, name := range met() {
		s.RefrigerantName = name
		c, err := cycle.NewExactCircuit(s)
		if err != nil || c.Refrigerant == nil {
			continue
		}
		good, n, off := 0, 0, 0.0
		for _, v := range visits {
			row, ok := v.row()
			if !ok {
				continue
			}
			c.Complete(&row)
			n++
			x := misfit(&row)
			off += math.Min(x, 10)
			if x < 0.3 {
				good++
			}
		}
		if n > 0 && float64(good) >= leastFit*float64(n) {
			fits = append(fits, fit{name, off / float64(n)})
		}
	}
	slices.SortStableFunc(fits, func(a, b fit) int { return cmp.Compare(a.off, b.off) })
	var names []string
	for _, f := range fits[:min(len(fits), mostCandidates)] {
		names = append(names, f.name)
	}
	return names
}

// misfit is how far a row is from what a sound machine shows, with its superheat and
// subcooling a little above zero.
func misfit(row *cycle.Row) float64 {
	sum := implausibility(row)
	for _, q := range []cycle.Quantity{cycle.Superheat, cycle.Subcooling} {
		if v := row[q]; v < 1 {
			sum += (1 - v) * (1 - v) / 16
		}
		if v := row[q]; v > 15 {
			sum += (v - 15) * (v - 15) / 100
		}
	}
	if math.IsNaN(row[cycle.Evaporating] + row[cycle.Condensing]) {
		return math.Inf(1)
	}
	return sum
}

// row is the means of a visit as a row of measured quantities.
func (f Facts) row() (cycle.Row, bool) {
	row := cycle.NewRow()
	for q := cycle.Quantity(0); q.Column() != ""; q++ {
		if v, ok := f.Mean[q.String()]; ok {
			row[q] = v
		}
	}
	return row, !math.IsNaN(row[cycle.SuctionPressure] + row[cycle.DischargePressure])
}

// airTwice looks for both pressures being off by the air's: superheat, subcooling and
// the differences have moved as they then must, and return to the history without it.
func (h history) airTwice() {
	if h.now.says("D2") || h.now.says("D1") || h.now.says("D5") || h.now.says("D8") || h.now.says("D7") {
		return
	}
	c, err := cycle.NewExactCircuit(h.system)
	row, ok := h.now.row()
	if err != nil || !ok || c.Refrigerant == nil {
		return
	}
	was := h.distance(&row, c)
	if len(was) < 3 || sumOfSquares(was) < leastDistance {
		return
	}
	for _, sign := range []float64{1, -1} {
		r := row
		r[cycle.SuctionPressure] += sign * seaLevel
		r[cycle.DischargePressure] += sign * seaLevel
		if r[cycle.SuctionPressure] <= 0 {
			continue
		}
		is := h.distance(&r, c)
		left := sumOfSquares(is)
		if left > mostLeft*sumOfSquares(was) || left > leastDistance/2 && left > mostLeft/2*sumOfSquares(was) || !mends(was, is) || h.onItsWay(cycle.Superheat, was[cycle.Superheat]) {
			continue
		}
		word, reference := "gauge", register.Gauge
		if sign < 0 {
			word, reference = "absolute", register.Absolute
		}
		h.now.drop("D26", "D27", "D10", "D30", "D25")
		h.now.doubt(Doubt{
			Rule: "D2", Channels: about(cycle.SuctionPressure, cycle.DischargePressure), Hides: true,
			Evidence: fmt.Sprintf("superheat, subcooling and differences are off the %d visits before (sum of squares %.0f), and are not with both pressures %+.0f kPa (%.0f)",
				len(h.before), sumOfSquares(was), sign*seaLevel, sumOfSquares(is)),
			Remedy: fmt.Sprintf("if they are %s pressures, write into register/channels.csv: %s and %s", word, h.reference("suction_pressure", reference), h.reference("discharge_pressure", reference)),
		})
		return
	}
}

// mends tells whether both sides of the machine come back: superheat was off and is less
// so, and what the high pressure moves is no further off than before.
func mends(was, is map[cycle.Quantity]float64) bool {
	a, known := was[cycle.Superheat]
	if !known || math.Abs(a) < 2 || math.Abs(is[cycle.Superheat]) > 0.7*math.Abs(a) {
		return false
	}
	high := func(d map[cycle.Quantity]float64) float64 {
		return d[cycle.Subcooling]*d[cycle.Subcooling] + d[cycle.CondenserTD]*d[cycle.CondenserTD]
	}
	return high(was) > 1 && high(is) <= math.Max(2, mostWorse*high(was))
}

// mostWorse is how much further off the high side may be without the air's pressure: it
// moves that side by a kelvin or two only.
const mostWorse = 1.2

func sumOfSquares(d map[cycle.Quantity]float64) (sum float64) {
	for q := cycle.Quantity(0); q < cycle.Quantities; q++ {
		sum += d[q] * d[q]
	}
	return sum
}

func (h history) reference(channel string, r register.Reference) string {
	return register.ChannelLine(register.Channel{System: h.system.ID, File: first(h.now.Paths), Channel: channel, Reference: r})
}

// How far a visit must be off its history before both pressures are tried, and what
// may be left: sums of squares of up to four quantities in their spreads.
const (
	leastDistance = 18.0
	mostLeft      = 0.3
	spreadOfVisit = 1.2 // K
)

// distance is by how many spreads the quantities of a row are off the history.
func (h history) distance(row *cycle.Row, c *cycle.Circuit) map[cycle.Quantity]float64 {
	c.Complete(row)
	out := map[cycle.Quantity]float64{}
	for _, q := range []cycle.Quantity{cycle.Superheat, cycle.Subcooling, cycle.EvaporatorTD, cycle.CondenserTD} {
		if e := h.expected(q); !math.IsNaN(e.mean + row[q]) {
			out[q] = (row[q] - e.mean) / math.Max(e.sd, spreadOfVisit)
		}
	}
	return out
}

// otherInstruments says that the visit before was logged with other instruments: their
// offsets differ, and a level that moves with them is no change of the machine.
func (h history) otherInstruments() {
	if h.latest == nil || h.now.Day && h.latest.Day {
		return
	}
	if (len(h.latest.Serials) == 0) != (len(h.now.Serials) == 0) {
		return
	}
	a, b := h.latest.Fingerprint(), h.now.Fingerprint()
	if a == "" || b == "" || a == b || h.stranger != nil && h.stranger.Fingerprint() == b {
		return
	}
	h.now.doubt(Doubt{
		Rule: "D24", Evidence: fmt.Sprintf("%s; the visit before had %s", b, a),
		Remedy: "nothing to mend: comparisons count the offsets of both; the same instruments each time see smaller changes",
	})
}

// Fingerprint names the instruments of a visit: by their serials, or else by how their
// logger calls its channels.
func (f *Facts) Fingerprint() string {
	if len(f.Serials) > 0 {
		return strings.Join(f.Serials, " ")
	}
	return f.Print
}
