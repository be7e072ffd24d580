package score

import (
	"time"

	"rimelog/ingest/demofleet/truth"
)

// A troubled is a kind of fault with the sizes at which it counts.
type troubled struct {
	fault  truth.Fault
	counts float64 // from which it is worth a visit
	none   float64 // below which it is as good as not there
}

// troubles are the faults besides slow loss of charge. Sizes are shares, as package
// truth has them; where they count is our choice, near where capacity or efficiency
// suffer by 5 % (common practice, no source).
var troubles = []troubled{
	{truth.Overcharge, 0.1, 0.02},
	{truth.CondenserFouling, 0.2, 0.05},
	{truth.EvaporatorFouling, 0.2, 0.05},
	{truth.Restriction, 0.4, 0.1},
	{truth.Wear, 0.1, 0.03},
	{truth.ForeignGas, 0.05, 0.01},
	{truth.ValveStuck, 0.05, 0.01},
}

// suddenLeak names losses at once among the faults.
const suddenLeak = "sudden leak"

// A FaultScore is how well alarms tell of one kind of fault.
type FaultScore struct {
	Found       Share  `json:"found"` // of the systems in which it came to count
	FalseAlarms Rate   `json:"false_alarms_per_100_system_years"`
	Days        Spread `json:"days_to_detection"` // from its onset
}

// faults scores every kind of fault besides slow loss.
func (f fleet) faults(alarms []alarm) map[string]FaultScore {
	out := map[string]FaultScore{suddenLeak: f.suddenLeaks(alarms)}
	for _, k := range troubles {
		out[string(k.fault)] = f.fault(k, alarms)
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
		if from, ok := s.counted(k, f.end); ok {
			t.follow(mine, from)
		}
	}
	return t.score(rate(wrong, f.years()))
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

// counted is the first time from which a fault lasted and came to count.
func (s *subject) counted(k troubled, end time.Time) (span, bool) {
	for _, e := range s.Episodes {
		to := end
		if !e.Ended.IsZero() && e.Ended.Before(end) {
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
	return FaultScore{share(t.hits, t.n), wrong, spread(t.days)}
}
