package trust

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// fewestBefore is how many visits a machine's own history needs.
const fewestBefore = 2

// remembered is how many visits before it one is held against.
const remembered = 400

// Review goes over the visits of a system in time order and adds what only its
// history tells. Each visit is judged from itself and those before it: the first of them,
// which nothing comes between, may have been reviewed before (see Standing). Of those before
// it, the latest 400 count: with a logger that stays, whose visits are days, more than a year
// with all its seasons.
func Review(system register.System, events []register.Event, reviewed, visits []Facts) []Facts {
	done := len(reviewed)
	visits = append(append([]Facts{}, reviewed...), ordered(visits, byStart)...)
	for i := range visits {
		visits[i].means, visits[i].course = rowOf(visits[i].Mean), almanac(visits[i].Start, zoneOr(system.Zone))
	}
	for i := done; i < len(visits); i++ {
		visits[i].Looked = visits[i].digest()
		h := history{system: system.Filled(events, time.UnixMicro(visits[i].Start)), events: events, now: &visits[i], known: map[cycle.Quantity]expectation{}}
		first := max(0, i-remembered)
		for k := i - 1; k >= first && h.latest == nil; k-- {
			switch {
			case visits[k].says("D15"): // nobody knows when that was
			case !visits[k].says("D32"): // another machine's instruments say nothing of this one's
				h.latest = &visits[k]
			case h.stranger == nil:
				h.stranger = &visits[k]
			}
		}
		h.all = those(visits[first:i], func(v *Facts) bool { return v.Fluid == h.now.Fluid })
		h.before = those(h.all, func(v *Facts) bool { return v.Mode == h.now.Mode })
		h.judge()
	}
	for i := range visits {
		visits[i].means, visits[i].course = nil, nil
	}
	return visits
}

// those are the visits of a kind: mostly all, which are not copied.
func those(visits []Facts, kind func(*Facts) bool) (out []Facts) {
	n := 0
	for n < len(visits) && kind(&visits[n]) {
		n++
	}
	if n == len(visits) {
		return slices.Clip(visits)
	}
	out = slices.Clone(visits[:n])
	for i := n; i < len(visits); i++ {
		if kind(&visits[i]) {
			out = append(out, visits[i])
		}
	}
	return out
}

// A history is a visit with those before it.
type history struct {
	system register.System
	events []register.Event
	now    *Facts
	before []Facts // with the same refrigerant, in the same mode
	all    []Facts // with the same refrigerant
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
	cycle.EvaporatorMedium:   evaporatorMedia,
	cycle.CondenserMedium:    {cycle.OutdoorTemp},
	cycle.Condensing:         {cycle.DischargePressure},
	lowAtRest:                {cycle.SuctionPressure},
	highAtRest:               {cycle.DischargePressure, cycle.LiquidTemp},
	airAtRest:                {cycle.OutdoorTemp, cycle.LiquidTemp},
}

// hides tells whether a doubt of the visit hides a quantity.
func (f Facts) hides(q cycle.Quantity) bool {
	on := behind[q]
	if on == nil {
		on = []cycle.Quantity{q}
	}
	return slices.ContainsFunc(f.Doubts, func(d Doubt) bool { return d.touches(on...) })
}

func (h history) judge() {
	h.otherInstruments()
	h.worked()
	h.refrigerant()
	if len(h.now.Mean) == 0 {
		return
	}
	if len(h.before) >= fewestBefore {
		h.weigh()
	}
	h.elsewhere()
	h.unlogged()
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
	for i := len(h.before) - 1; i >= 0; i-- {
		if v := &h.before[i]; !math.IsNaN(v.shown(q)) && !v.says("D32") {
			return h.offThen(q, v)/by >= 0.5
		}
	}
	return false
}

// offThen is by how much a visit before differed from what history says under its conditions.
func (h history) offThen(q cycle.Quantity, v *Facts) float64 {
	e := h.expected(q)
	outdoor, condensing := h.now.conditions()
	a, b := v.conditions()
	return v.shown(q) - e.mean - e.outdoor*beside(a, outdoor) - e.condensing*beside(b, condensing)
}

// leastOnWay is what share of a fall must have been there before, for a leak on its way.
const leastOnWay = 0.3

// fell tells whether the latest visit before, or two of the latest three, lay below what
// history says by more than its scatter, and by a share of what they do now: a leak shows
// before it is large.
func (h history) fell(q cycle.Quantity) bool {
	e := h.expected(q)
	now := h.now.shown(q) - e.mean
	seen, low := 0, 0
	for i := len(h.before) - 1; i >= 0 && seen < 3; i-- {
		v := &h.before[i]
		if math.IsNaN(v.mean(q)) || v.hides(q) {
			continue
		}
		seen++
		if off := h.offThen(q, v); off < -1.5*e.sd && off < leastOnWay*now {
			low++
		}
		if low == seen && low > 0 || low == 2 {
			return true
		}
	}
	return false
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
func (f *Facts) powerIndex() float64 {
	index := powerIndex(f.mean(cycle.Power), f.mean(cycle.SuctionPressure), f.mean(cycle.DischargePressure))
	if speed := f.mean(cycle.Speed); speed > 1 {
		index -= math.Log(speed)
	}
	return index
}

// powerIndex is that of a power and two pressures; NaN where they are none of a machine.
func powerIndex(power, low, high float64) float64 {
	if !(power > 0 && low > 0 && high > low) {
		return math.NaN()
	}
	const k = (1.15 - 1) / 1.15
	return math.Log(power / (low * (math.Pow(high/low, k) - 1)))
}

func (h history) reference(channel string, r register.Reference) string {
	return register.ChannelLine(register.Channel{System: h.system.ID, File: first(h.now.Paths), Channel: channel, Reference: r})
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
	if a == "" || b == "" || a == b || len(h.now.Serials) == 0 && alike(a, b) || h.stranger != nil && h.stranger.Fingerprint() == b {
		return
	}
	h.now.doubt(Doubt{
		Rule: "D24", Evidence: fmt.Sprintf("%s; the visit before had %s", b, a),
		Remedy: "nothing to mend: comparisons count the offsets of both; the same instruments each time see smaller changes",
	})
}

// unitOf is what a header says of a unit, in brackets at its end.
var unitOf = regexp.MustCompile(`\s*(?:\[[^\]]*\]|\([^)]*\))$`)

// noUnit is where a header has no unit between its brackets.
var noUnit = regexp.MustCompile(`\s*(?:\[\s*\]|\(\s*\))$`)

// alike tells whether two lists of headers may be one logger's: one of them may lack a
// column, and its units where they stand in a row of their own.
func alike(a, b string) bool {
	x, y := strings.Split(strings.TrimPrefix(a, "columns "), ", "), strings.Split(strings.TrimPrefix(b, "columns "), ", ")
	if len(x) > len(y) {
		x, y = y, x
	}
	return !slices.ContainsFunc(x, func(one string) bool {
		return !slices.ContainsFunc(y, func(other string) bool { return sameHeader(strings.Trim(one, `"`), strings.Trim(other, `"`)) })
	})
}

func sameHeader(a, b string) bool {
	a, b = noUnit.ReplaceAllString(a, ""), noUnit.ReplaceAllString(b, "")
	bareA, bareB := unitOf.ReplaceAllString(a, ""), unitOf.ReplaceAllString(b, "")
	return a == b || bareA == bareB && (bareA == a || bareB == b)
}

// Fingerprint names the instruments of a visit: by their serials, or else by how their
// logger calls its channels.
func (f *Facts) Fingerprint() string {
	if len(f.Serials) > 0 {
		return strings.Join(f.Serials, " ")
	}
	return f.Print
}
