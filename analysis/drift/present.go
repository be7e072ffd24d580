package drift

import (
	"fmt"
	"math"
	"strings"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The kinds of finding that one visit can tell: how a machine stands, not how it changed.
const (
	LiquidReturn  = "liquid return"
	HotGas        = "hot discharge gas"
	HighRatio     = "high pressure ratio"
	NoSubcooling  = "no subcooling"
	ValveAtStop   = "valve at its stop"
	ShortCycling  = "short cycling"
	SetpointUnmet = "setpoint not reached"
)

// A standing is a kind of finding about how a machine stands.
type standing struct {
	kind        string
	bounds      []register.LimitName
	beyond      func(c table.Condition, b Bounds) verdict
	where       func(s register.System, c table.Condition) bool // conditions under which the limit says something; nil: any
	said        func(c table.Condition) string                  // what was seen, in words
	size        func(c table.Condition, b Bounds) float64
	feature     string
	urgency     float64
	alternative string
	nextCheck   string
	applies     func(s register.System) bool // nil: to any
}

// A verdict is what a visit says of a limit.
type verdict int

const (
	unseen verdict = iota
	kept
	beyond
)

// seen makes a verdict of two tests.
func seen(known, far bool) verdict {
	switch {
	case !known:
		return unseen
	case far:
		return beyond
	}
	return kept
}

// leastWatched is how many minutes of the settled machine say how it stands.
const leastWatched = 10

// watched tells whether minutes beyond a limit are known of a visit that was long enough.
func watched(c table.Condition, minutes float64) bool {
	return !math.IsNaN(minutes) && c.Watched >= leastWatched
}

// How much of a visit must lie beyond a limit (common practice, no source): a moment is
// none, and what oscillates about a limit is told by its share.
const (
	wetMinutes, wetShare = 5, 0.1
	hotMinutes           = 5
	longMinutes          = 10
	highShare            = 0.25
	flashShare           = 0.75
	stopShare            = 0.5
	startMinutes         = 60 // of log that starts are counted over
	warmMinutes          = 120
	warmShare            = 0.9
	pullDown             = -0.5 // K/h: a room that still gets colder is on its way
	hotterThan           = 1    // K above the limit that a probe on a pipe may be off
	sureBy               = 2    // standard uncertainties below a limit, so that instruments alone raise nothing
)

// standings lists the kinds.
func standings() []standing {
	return []standing{
		{
			kind: LiquidReturn, bounds: []register.LimitName{register.LeastSuperheat, register.LeastHotGas}, feature: Superheat, urgency: 2,
			beyond: func(c table.Condition, b Bounds) verdict {
				return seen(watched(c, c.Wet) && (c.Wet == 0 || c.SuperheatU >= 0 && c.DischargeU >= 0), c.Wet >= wetMinutes && c.Wet >= wetShare*c.Watched &&
					c.WetSuperheat+sureBy*c.SuperheatU < b[register.LeastSuperheat].Value && c.WetDischarge+sureBy*c.DischargeU < b[register.LeastHotGas].Value)
			},
			said: func(c table.Condition) string {
				return fmt.Sprintf("superheat %.1f K and discharge superheat %.1f K for %.0f of %.0f minutes, the longest %.0f in a row", c.WetSuperheat, c.WetDischarge, c.Wet, c.Watched, c.WetLongest)
			},
			size:        func(c table.Condition, b Bounds) float64 { return c.WetSuperheat - b[register.LeastSuperheat].Value },
			alternative: "a suction and a discharge probe that read low; another refrigerant than the register has; a discharge line that gives off heat before the probe",
			nextCheck:   "compare both probes with another; look at the valve's bulb, its superheat setting and the airflow over the evaporator, before liquid harms the compressor",
			applies:     func(s register.System) bool { return s.Expansion != register.Flooded },
		},
		{
			kind: HotGas, bounds: []register.LimitName{register.MostDischargeTemp}, feature: "discharge_temp_c", urgency: 1.5,
			beyond: func(c table.Condition, b Bounds) verdict {
				return seen(watched(c, c.Hot), c.HotLongest >= hotMinutes && c.HotTemp > b[register.MostDischargeTemp].Value+hotterThan)
			},
			said: func(c table.Condition) string {
				return fmt.Sprintf("discharge gas %.0f °C for %.0f of %.0f minutes, the longest %.0f in a row", c.HotTemp, c.Hot, c.Watched, c.HotLongest)
			},
			size:        func(c table.Condition, b Bounds) float64 { return c.HotTemp - b[register.MostDischargeTemp].Value },
			alternative: "a maker who allows more: write the limit into register/limits.csv; a refrigerant that gets hot by nature",
			nextCheck:   "look for too much superheat, a high condensing or a low evaporating temperature, and at the compressor's cooling; the pipe burns",
		},
		{
			kind: HighRatio, bounds: []register.LimitName{register.MostPressureRatio}, urgency: 1,
			beyond: func(c table.Condition, b Bounds) verdict {
				return seen(watched(c, c.High), c.HighLongest >= longMinutes && c.High >= highShare*c.Watched)
			},
			said: func(c table.Condition) string {
				return fmt.Sprintf("pressure ratio %.1f for %.0f of %.0f minutes", c.PressureRatio, c.High, c.Watched)
			},
			alternative: "a compressor with vapour injection or two stages: write its limit into register/limits.csv; a pressure reference that is wrong",
			nextCheck:   "compare both pressures with the maker's envelope; look at the evaporator's load and airflow, and at the condenser",
		},
		{
			kind: NoSubcooling, bounds: []register.LimitName{register.LeastSubcooling}, feature: Subcooling, urgency: 1,
			beyond: func(c table.Condition, b Bounds) verdict {
				sane := c.Flash == 0 || c.FlashSubcooling+sureBy*c.SubcoolingU >= 0 // well below zero the data are wrong
				return seen(watched(c, c.Flash) && sane, c.Flash >= flashShare*c.Watched && c.FlashSubcooling+sureBy*c.SubcoolingU < b[register.LeastSubcooling].Value)
			},
			said: func(c table.Condition) string {
				return fmt.Sprintf("subcooling %.1f K for %.0f of %.0f minutes", c.FlashSubcooling, c.Flash, c.Watched)
			},
			size: func(c table.Condition, b Bounds) float64 {
				return c.FlashSubcooling - b[register.LeastSubcooling].Value
			},
			alternative: "a liquid probe that reads high; a discharge pressure that reads low; a pressure tap before a long pipe",
			nextCheck:   "direct leak check recommended; compare the liquid probe with another and look into the sight glass",
			applies:     func(s register.System) bool { return s.Receiver == register.NoReceiver },
			where:       liquidStands,
		},
		{
			kind: ValveAtStop, bounds: []register.LimitName{register.MostValveOpening}, urgency: 0.8,
			beyond: func(c table.Condition, b Bounds) verdict {
				return seen(watched(c, c.Stop), c.StopLongest >= longMinutes && c.Stop >= stopShare*c.Watched)
			},
			said: func(c table.Condition) string {
				return fmt.Sprintf("expansion valve %.0f %% open for %.0f of %.0f minutes", c.ValveOpening, c.Stop, c.Watched)
			},
			alternative: "more load than the valve was chosen for; a controller that writes another signal",
			nextCheck:   "look at superheat and subcooling with the valve open: flash gas, a blocked strainer or a valve too small",
		},
		{
			kind: ShortCycling, bounds: []register.LimitName{register.MostStarts}, urgency: 0.8,
			beyond: func(c table.Condition, b Bounds) verdict {
				return seen(c.Told && c.Observed >= startMinutes, 60*float64(c.Starts) > b[register.MostStarts].Value*c.Observed)
			},
			said: func(c table.Condition) string {
				return fmt.Sprintf("%d starts in %.0f minutes, %.1f an hour", c.Starts, c.Observed, 60*float64(c.Starts)/c.Observed)
			},
			alternative: "somebody who tried the machine; a meter that also covers something else which switches",
			nextCheck:   "look at the pressure switches and their differentials, the thermostat's place, and whether the machine is too large for its load",
		},
		{
			kind: SetpointUnmet, bounds: []register.LimitName{register.MostRoomTemp}, urgency: 1.2,
			beyond: func(c table.Condition, b Bounds) verdict {
				return seen(watched(c, c.Warm), c.WarmLongest >= warmMinutes && c.Warm >= warmShare*c.Watched && c.Watched >= warmShare*c.Observed && !(c.RoomRate < pullDown))
			},
			said: func(c table.Condition) string {
				return fmt.Sprintf("room at %.1f °C although the machine ran for %.0f of %.0f minutes", c.RoomTemp, c.Watched, c.Observed)
			},
			size:        func(c table.Condition, b Bounds) float64 { return c.RoomTemp - b[register.MostRoomTemp].Value },
			alternative: "warm goods brought in; a door that stands open; a room probe in the wrong place",
			nextCheck:   "look at doors and goods first, then at the evaporator's ice and fans, and at capacity",
			applies:     func(s register.System) bool { return !s.Kind.Heats() },
		},
	}
}

// Outdoor temperatures of the season for which a machine's charge is chosen, °C: in the
// other, liquid moves to where it is colder, and a machine that is well has no subcooling
// (common practice, no source).
const (
	warmSeason = 15
	coldSeason = 10
)

// liquidStands tells whether liquid should stand behind the condenser.
func liquidStands(s register.System, c table.Condition) bool {
	switch {
	case s.Kind == register.AirHeatPump:
		return c.OutdoorTemp <= coldSeason
	case s.Kind.Heats():
		return true
	}
	return c.OutdoorTemp >= warmSeason
}

// presentKinds lists the kinds, in their order.
func presentKinds() (out []string) {
	for _, k := range standings() {
		out = append(out, k.kind)
	}
	return out
}

// sameEpisode is how long a limit may be kept between two times beyond it that are one
// finding all the same.
const sameEpisode = 45 * 24 * time.Hour

// neighbours is within which time the days of a permanent logger stand beside each other:
// of them, two must be beyond a limit.
const neighbours = 3 * 24 * time.Hour

// Present walks through how a system stood and raises a finding where the latest visit is
// beyond a limit, each decided from what was known on its day; a visit within the limit
// closes it. What could not be seen, or is in doubt, changes nothing.
func Present(s register.System, own []register.Limit, answers []register.Answer, conditions []table.Condition, asOf time.Time, o Options) []table.Finding {
	o.EnsureDefaults()
	var out []table.Finding
	for _, k := range standings() {
		if k.applies != nil && !k.applies(s) {
			continue
		}
		w := walk{system: s, options: o, answers: answers, open: map[string]*course{}, named: map[string]int{}}
		w.hears = func(kind string) bool { return kind == k.kind }
		p := presence{walk: w, standing: k, own: own}
		for _, c := range conditions {
			if calendarDay(c.Start).After(calendarDay(asOf)) {
				break
			}
			p.step(c)
		}
		p.hear(func(a register.Answer) bool { return !civil(a.Time).After(calendarDay(asOf)) })
		p.wake(asOf)
		out = append(out, p.result()...)
	}
	return out
}

// A presence is the state of one kind while going through the visits.
type presence struct {
	walk
	standing
	own  []register.Limit
	last table.Condition // the latest that was seen
	far  bool            // it was beyond
}

func (p *presence) step(c table.Condition) {
	p.hear(func(a register.Answer) bool { return !a.Time.After(c.Start) })
	b := BoundsOn(p.system, p.own, c.Start)
	v := p.beyond(c, b)
	if v == unseen || p.where != nil && !p.where(p.system, c) {
		return
	}
	alone := p.last.Start.IsZero() || c.Start.Sub(p.last.Start) > neighbours
	sure := v == beyond && (alone || p.far)
	p.last, p.far = c, v == beyond
	f := p.open[p.kind]
	switch {
	case f == nil && sure:
		f = p.begin(c)
		p.open[p.kind] = f
		p.tell(f, c, b)
		f.RaisedSize = f.Size
	case f == nil:
	case v == beyond:
		p.tell(f, c, b)
		p.again(f, c)
	default:
		p.end(f, c)
	}
}

// begin raises a finding, or takes up the one that was closed a short while ago.
func (p *presence) begin(c table.Condition) *course {
	if n := len(p.closed); n > 0 && p.closed[n-1].State == ClosedByData && c.Start.Sub(p.closed[n-1].ClearedOn) <= sameEpisode {
		f := p.closed[n-1]
		p.closed = p.closed[:n-1]
		f.State, f.Reason, f.ClearedOn = Open, "", time.Time{}
		return &course{Finding: f}
	}
	f := blankFinding(p.system, p.kind)
	f.ID, f.State, f.RaisedOn, f.Suspected = p.name(p.kind, c.Start), Open, c.Start, c.Start
	f.Feature, f.Alternative, f.NextCheck = p.feature, p.alternative, p.nextCheck
	return &course{Finding: f}
}

// tell takes over what a visit shows.
func (p *presence) tell(f *course, c table.Condition, b Bounds) {
	f.ChangedOn, f.Visits = c.Start, f.Visits+1
	f.Observed = p.said(c)
	if p.size != nil {
		f.Size = p.size(c, b)
	}
	var limits, generic []string
	for _, n := range p.bounds {
		limits = append(limits, b[n].String())
		if !b[n].Own {
			generic = append(generic, n.String())
		}
	}
	f.Evidence = fmt.Sprintf("At the visit of %s: %s. Limits: %s.", day(c.Start), f.Observed, strings.Join(limits, "; "))
	f.LimitedBy = ""
	if len(generic) > 0 {
		f.LimitedBy = "generic limit of " + strings.Join(generic, " and ") + ": write your own into register/limits.csv"
	}
	for _, n := range f.notes {
		f.Evidence = withNote(f.Evidence, n)
	}
}

// again opens a finding that was answered and stands all the same, once the answer is
// forgotten.
func (p *presence) again(f *course, c table.Condition) {
	a := f.answer
	if f.State != Answered || !c.Start.After(a.QuietUntil) {
		return
	}
	if a.Outcome != register.AnswerUnknown && c.Start.Sub(a.Time) < p.options.Memory {
		return
	}
	f.State, f.Reason = Open, ""
	f.notes = append(f.notes, "open again on "+day(c.Start))
}

// end closes a finding: a visit kept the limit.
func (p *presence) end(f *course, c table.Condition) {
	f.State, f.ClearedOn, f.ChangedOn = ClosedByData, c.Start, c.Start
	f.Reason = "within the limit at the visit of " + day(c.Start)
	f.Evidence = withNote(f.Evidence, "closed: "+f.Reason)
	p.closed = append(p.closed, f.Finding)
	delete(p.open, p.kind)
}
