package score

import (
	"slices"
	"time"

	"rimelog/ingest/demofleet/truth"
)

// A troubled is a kind of fault with the sizes at which it counts.
type troubled struct {
	fault  truth.Fault
	counts float64 // from which it is worth a visit
	none   float64 // below which it is as good as not there
	bar    bar     // by when it must have been found
}

// A bar is an effect of a fault. The zero bar asks for nothing.
type bar struct {
	text string // empty: there is none
	of   func(truth.Effect) float64
	size float64
}

// The effects by which faults must have been found.
var (
	condenserUp  = bar{"condenser difference up by 3 K", func(e truth.Effect) float64 { return e.Condenser }, 3}
	evaporatorUp = bar{"evaporator difference up by 2 K", func(e truth.Effect) float64 { return e.Evaporator }, 2}
	capacityGone = bar{"15 % of capacity lost", func(e truth.Effect) float64 { return e.Capacity }, 0.15}
	nothingAsked bar
)

// troubles are the faults besides slow loss of charge. Sizes are shares, as package
// truth has them; where they count is our choice, near where capacity or efficiency
// suffer by 5 % (common practice, no source).
var troubles = []troubled{
	{truth.Overcharge, 0.1, 0.02, nothingAsked},
	{truth.CondenserFouling, 0.2, 0.05, condenserUp},
	{truth.EvaporatorFouling, 0.2, 0.05, evaporatorUp},
	{truth.Restriction, 0.4, 0.1, capacityGone},
	{truth.Wear, 0.1, 0.03, capacityGone},
	{truth.ForeignGas, 0.05, 0.01, capacityGone},
	{truth.ValveStuck, 0.05, 0.01, capacityGone},
}

// suddenLeak names losses at once among the faults.
const suddenLeak = "sudden leak"

// A FaultScore is how well alarms tell of one kind of fault.
type FaultScore struct {
	Found       Share  `json:"found"` // of the systems in which it came to count
	FalseAlarms Rate   `json:"false_alarms_per_100_system_years"`
	Days        Spread `json:"days_to_detection"` // from its onset
	// FoundInTime is the share of systems in which its effect passed the threshold and
	// that had the finding no later than the first usable stay after; absent where no
	// threshold is set.
	FoundInTime *Share `json:"found_in_time,omitempty"`
	Threshold   string `json:"threshold,omitempty"`
	// Oracle is what could be found in time of a coil, at the same rate of false alarms.
	Oracle *Seen `json:"oracle,omitempty"`
}

// faults scores every kind of fault besides slow loss. Errs is how gauges of coils err.
func (f fleet) faults(alarms []alarm, errs map[truth.Fault]coilNoise) map[string]FaultScore {
	out := map[string]FaultScore{suddenLeak: f.suddenLeaks(alarms)}
	for _, k := range troubles {
		x := f.fault(k, alarms)
		x.Oracle = f.seen(k, alarms, allowed(x.FalseAlarms.Rate)/100, errs)
		out[string(k.fault)] = x
	}
	return out
}

func (f fleet) fault(k troubled, alarms []alarm) FaultScore {
	var t chase
	wrong := 0
	for _, s := range f.subjects {
		mine := of(alarms, s.ID, k.fault)
		for _, a := range mine {
			if s.Fault(k.fault, a.raised) < k.none {
				wrong++
			}
		}
		if from, ok := s.counted(k); ok {
			t.follow(mine, from)
		}
	}
	x := t.score(rate(wrong, f.years()))
	if k.bar.text != "" {
		inTime := f.inTime(k, alarms)
		x.FoundInTime, x.Threshold = &inTime, k.bar.text
	}
	return x
}

// inTime is the share of systems in which a fault's effect passed its bar that had the
// finding in time.
func (f fleet) inTime(k troubled, alarms []alarm) Share {
	var hits, n int
	for _, s := range f.subjects {
		when, ok := s.passedBar(k)
		if !ok {
			continue
		}
		n++
		hits += int(flag(when.holds(of(alarms, s.ID, k.fault))))
	}
	return share(hits, n)
}

// passedBar is the span from the onset of a fault to the end of the day of the first
// usable stay at which its effect has passed the bar (UTC): findings have a date.
func (s *subject) passedBar(k troubled) (span, bool) {
	for _, v := range s.stays {
		file, _ := s.fileAt(v.from)
		for _, e := range file.Effects {
			if s.what(e.Fault) == k.fault && dayOf(e.Time) == dayOf(v.from) && k.bar.of(e) >= k.bar.size {
				return span{s.onset(k.fault, e.Time), nextDay(v.from).Add(-time.Nanosecond)}, true
			}
		}
	}
	return span{}, false
}

// what is the fault that a true effect is of: nothing sticks behind a fixed opening.
func (s *subject) what(fault truth.Fault) truth.Fault {
	if fault == truth.ValveStuck && s.Expansion == fixedOpening {
		return truth.Restriction
	}
	return fault
}

// onset is when the oldest of a fault's episodes that last at a time began.
func (s *subject) onset(fault truth.Fault, t time.Time) time.Time {
	first := t
	for _, e := range s.Episodes {
		if e.Fault == fault && e.Size(t) > 0 && e.Onset.Before(first) {
			first = e.Onset
		}
	}
	return first
}

// suddenLeaks scores losses at once. A leak alarm that is false stands among those of
// slow losses.
func (f fleet) suddenLeaks(alarms []alarm) FaultScore {
	var t chase
	for _, s := range f.subjects {
		for _, c := range s.courses {
			if from, ok := c.sudden(s.System, c.to); ok {
				t.follow(of(alarms, s.ID, truth.Leak), span{from, c.to})
				break
			}
		}
	}
	r := rate(0, f.years())
	r.Rate, r.Low, r.High, r.ExactLow, r.ExactHigh = absent, absent, absent, absent, absent
	return t.score(r)
}

// A span is a time in which a fault lasts.
type span struct{ from, to time.Time }

// holds tells whether an alarm lies in a span.
func (s span) holds(alarms []alarm) bool {
	return slices.ContainsFunc(alarms, func(a alarm) bool { return a.on(s.from, s.to) })
}

// counted is the first time from which a fault lasted and came to count.
func (s *subject) counted(k troubled) (span, bool) {
	for _, e := range s.Episodes {
		to := s.end
		if !e.Ended.IsZero() && e.Ended.Before(to) {
			to = e.Ended
		}
		if e.Fault == k.fault && e.Size(to.Add(-time.Nanosecond)) >= k.counts {
			return span{e.Onset, to}, true
		}
	}
	return span{}, false
}

// A chase counts which faults were found, and when.
type chase struct {
	hits, n int
	days    []float64
}

// follow looks for the first alarm raised while a fault lasts.
func (t *chase) follow(alarms []alarm, s span) {
	t.n++
	for _, a := range alarms {
		if !a.raised.Before(s.from) && !a.raised.After(s.to) {
			t.hits++
			t.days = append(t.days, a.raised.Sub(s.from).Hours()/24)
			return
		}
	}
}

func (t *chase) score(wrong Rate) FaultScore {
	return FaultScore{Found: share(t.hits, t.n), FalseAlarms: wrong, Days: spread(t.days)}
}
