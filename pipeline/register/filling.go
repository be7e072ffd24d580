package register

import (
	"slices"
	"time"
)

// Filled is the system as it was filled at a time. Its row names what is in it today:
// before a retrofit, something else was, which only the events up to that tell. Where
// they do not, no refrigerant is known.
func (s System) Filled(events []Event, at time.Time) System {
	until := slices.IndexFunc(events, func(e Event) bool { return e.Kind == Retrofit && e.Time.After(at) })
	if until < 0 {
		return s
	}
	s.RefrigerantName = ""
	for _, e := range events[:until] {
		if e.Refrigerant != "" {
			s.RefrigerantName = e.Refrigerant
		}
	}
	return s
}

// Refills are the times from which another refrigerant was in the system, in order.
func Refills(events []Event) (times []time.Time) {
	for _, e := range events {
		if e.Kind == Retrofit {
			times = append(times, e.Time)
		}
	}
	return times
}
