package drift

import (
	"fmt"
	"math"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// LowFromTheStart is the kind of a finding that cannot be dated: a machine had too little
// subcooling at its first visits already.
const LowFromTheStart = "low since the first visit"

// When a machine counts as low from the start: after the third visit in the season of its
// charge, by more than its doubt, and by an amount that is worth a visit. Twice the effect of
// a loss of charge, since machines of one kind differ (common practice, no source).
const (
	firstVisits = 3
	mostFirst   = 6
	lowBy       = 2 * subcoolingEffect
	lowSure     = 3.0  // standard uncertainties
	designDoubt = 1.25 // K, of what a name-plate says of a machine in the field
)

// Undated compares the first visits to a system with its design value, or with systems like
// it: what is low from the start cannot be dated, and does not become the healthy baseline
// unasked. priorsOf gives the priors of a quarter.
func (r Record) Undated(priorsOf func(day time.Time) []table.Prior, answers []register.Answer, asOf time.Time, o Options) []table.Finding {
	o.EnsureDefaults()
	w := walk{system: r.System, options: o, answers: answers, open: map[string]*course{}, named: map[string]int{}}
	w.hears = func(kind string) bool { return kind == LowFromTheStart }
	s := start{walk: w, record: r}
	if r.System.Receiver == register.NoReceiver {
		s.run(priorsOf, asOf)
	}
	s.hear(func(a register.Answer) bool { return !civil(a.Time).After(calendarDay(asOf)) })
	s.wake(asOf)
	return s.result()
}

// A start is the state while going through the first visits.
type start struct {
	walk
	record Record
	first  []point
}

func (s *start) run(priorsOf func(time.Time) []table.Prior, asOf time.Time) {
	for _, p := range s.record.points {
		if calendarDay(p.at).After(calendarDay(asOf)) {
			return
		}
		s.hear(func(a register.Answer) bool { return !a.Time.After(p.at) })
		if p.era > 0 {
			s.end(p.at)
			return
		}
		if math.IsNaN(p.values[atSubcooling]) || !inSeason(s.record.System, p.outdoor) {
			continue
		}
		s.first = append(s.first, p)
		if n := len(s.first); n >= firstVisits && n <= mostFirst && s.open[LowFromTheStart] == nil && len(s.closed) == 0 {
			s.judge(p.at, priorsOf)
		}
	}
}

// judge raises the finding if the visits so far are low.
func (s *start) judge(on time.Time, priorsOf func(time.Time) []table.Prior) {
	expected, spread, of, ok := s.expected(priorsOf, on)
	if !ok {
		return
	}
	level, u := s.level()
	short, doubt := level-expected, math.Hypot(u, spread)
	if short > -lowBy || short > -lowSure*doubt || level < -u { // below zero the data are wrong
		return
	}
	f := blankFinding(s.system, LowFromTheStart)
	f.ID, f.State, f.RaisedOn, f.ChangedOn = s.name(LowFromTheStart, s.first[0].at), Open, on, on
	f.Feature, f.Visits = Subcooling, int64(len(s.first))
	f.Size, f.SizeLo, f.SizeHi = short, short-normal95*doubt, short+normal95*doubt
	f.RaisedSize, f.Suspected = short, s.first[0].at
	f.Evidence = fmt.Sprintf("Subcooling was %.1f K at the first %d visits in the season of its charge, from %s to %s; %s is %.1f K. When it became low cannot be told: it was so from the first visit on. The visits do not become the healthy baseline until somebody says so.",
		level, len(s.first), day(s.first[0].at), day(on), of, expected)
	f.Alternative = "a liquid probe that reads high, or a discharge pressure that reads low, at every visit; another refrigerant than the register has; a design value of another machine"
	f.NextCheck = "direct leak check recommended; compare the probes with each other, look into the sight glass, and weigh the charge at the next recovery"
	s.open[LowFromTheStart] = &course{Finding: f}
}

// level is the mean of the first visits, with its standard uncertainty: their scatter, and
// what the instruments may be off at all of them alike.
func (s *start) level() (level, u float64) {
	var y, off []float64
	for _, p := range s.first {
		y = append(y, p.values[atSubcooling])
		if !math.IsNaN(p.doubts[atSubcooling]) {
			off = append(off, p.doubts[atSubcooling])
		}
	}
	level = mean(y)
	instruments := mostOff / 2
	if len(off) > 0 {
		instruments = math.Max(leastOff, mean(off))
	}
	return level, math.Hypot(instruments, scatterOf(y, level, leastSpread)/math.Sqrt(float64(len(y))))
}

// expected is what subcooling should be: what the register says, else what systems like it
// have.
func (s *start) expected(priorsOf func(time.Time) []table.Prior, on time.Time) (value, spread float64, of string, ok bool) {
	if d := s.record.System.DesignSubcooling; d > 0 {
		return d, designDoubt, "its design value", true
	}
	p, ok := priorFor(priorsOf(on), s.record.System, Subcooling, Quarter(on))
	if !ok {
		return 0, 0, "", false
	}
	var outdoor []float64
	for _, x := range s.first {
		outdoor = append(outdoor, x.outdoor)
	}
	at := p.Level
	if !math.IsNaN(p.PerOutdoor) {
		at += p.PerOutdoor * (mean(outdoor) - reference)
	}
	return at, math.Hypot(p.Spread, p.LevelSE), fmt.Sprintf("that of %d systems like it (%s)", p.Systems, p.Scope), true
}

// end closes the finding at an act that changed the machine: a new baseline begins.
func (s *start) end(on time.Time) {
	c := s.open[LowFromTheStart]
	if c == nil {
		return
	}
	f := c.Finding
	f.State, f.ClearedOn, f.ChangedOn, f.Reason = ClosedByData, on, on, "somebody changed the machine, and a new baseline began"
	f.Evidence = withNote(f.Evidence, "closed: "+f.Reason)
	s.closed = append(s.closed, f)
	delete(s.open, LowFromTheStart)
}
