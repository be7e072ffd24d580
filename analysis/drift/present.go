package drift

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/condition"
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
	RoutesApart   = "energy balance does not close"
)

// A standing is a kind of finding about how a machine stands.
type standing struct {
	kind        string
	bounds      []register.LimitName
	beyond      func(c *table.Condition, b *condition.Bounds) verdict
	where       func(s register.System, c *table.Condition) bool // conditions under which the limit says something; nil: any
	said        func(c *table.Condition) string                  // what was seen, in words
	size        func(c *table.Condition, b *condition.Bounds) float64
	feature     string
	urgency     float64
	alternative string
	nextCheck   string
	applies     func(s register.System) bool // nil: to any
	signs       bool                         // not told by conditions but by signs
}

// A Sign is what a day says of a kind of finding that is watched for elsewhere.
type Sign struct {
	Kind   string
	On     time.Time
	Beyond bool
	Said   string // what was seen, in words
}

// signed lets signs tell the kind: the conditions are the days that have one.
func (k *standing) signed(signs []Sign) (conditions []table.Condition) {
	on := map[time.Time]Sign{}
	for _, s := range signs {
		if s.Kind == k.kind {
			on[s.On] = s
			conditions = append(conditions, table.Condition{Start: s.On})
		}
	}
	k.beyond = func(c *table.Condition, _ *condition.Bounds) verdict { return seen(true, on[c.Start].Beyond) }
	k.said = func(c *table.Condition) string { return on[c.Start].Said }
	return conditions
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
func watched(c *table.Condition, minutes float64) bool {
	return !math.IsNaN(minutes) && c.Watched >= leastWatched
}

// standings lists the kinds.
func standings() []standing {
	return []standing{liquidReturn(), hotGas(), highRatio(), noSubcooling(), valveAtStop(), shortCycling(), setpointUnmet(), routesApart(), gasInLiquid()}
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
// closes it. What could not be seen, or is in doubt, changes nothing. Signs must be in time
// order, as conditions are.
func Present(s register.System, own []register.Limit, answers []register.Answer, conditions []table.Condition, signs []Sign, asOf time.Time, o Options) []table.Finding {
	o.EnsureDefaults()
	var out []table.Finding
	limits := condition.NewLimits(s, own)
	tomorrow := calendarDay(asOf).Add(24 * time.Hour)
	signs = append(slices.Clone(signs), flashSigns(s, limits, conditions)...)
	for _, k := range standings() {
		if k.applies != nil && !k.applies(s) {
			continue
		}
		w := walk{system: s, options: o, answers: answers, open: map[string]*course{}, named: map[string]int{}}
		w.hears = func(kind string) bool { return kind == k.kind }
		seen := conditions
		if k.signs {
			seen = k.signed(signs)
		}
		p := presence{walk: w, standing: k, limits: limits}
		for i := range seen {
			if !seen[i].Start.Before(tomorrow) {
				break
			}
			p.step(&seen[i])
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
	limits *condition.Limits
	last   time.Time // the latest that was seen
	far    bool      // it was beyond
}

func (p *presence) step(c *table.Condition) {
	p.hear(func(a register.Answer) bool { return !a.Time.After(c.Start) })
	b := p.limits.On(c.Start)
	v := p.beyond(c, b)
	if v == unseen || p.where != nil && !p.where(p.system, c) {
		return
	}
	alone := p.last.IsZero() || c.Start.Sub(p.last) > neighbours
	sure := v == beyond && (alone || p.far)
	p.last, p.far = c.Start, v == beyond
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
func (p *presence) begin(c *table.Condition) *course {
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
func (p *presence) tell(f *course, c *table.Condition, b *condition.Bounds) {
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
	f.Evidence = fmt.Sprintf("At the visit of %s: %s.", day(c.Start), f.Observed)
	if len(limits) > 0 {
		f.Evidence += fmt.Sprintf(" Limits: %s.", strings.Join(limits, "; "))
	}
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
func (p *presence) again(f *course, c *table.Condition) {
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
func (p *presence) end(f *course, c *table.Condition) {
	f.State, f.ClearedOn, f.ChangedOn = ClosedByData, c.Start, c.Start
	f.Reason = "within the limit at the visit of " + day(c.Start)
	f.Evidence = withNote(f.Evidence, "closed: "+f.Reason)
	p.closed = append(p.closed, f.Finding)
	delete(p.open, p.kind)
}
