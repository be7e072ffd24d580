package score

import (
	"maps"
	"slices"

	"rimelog/ingest/demofleet/truth"
)

// A Score is how good the analysis is. What each figure means is in the package's
// comment.
type Score struct {
	Leak   Leak                  `json:"leak"`
	Cause  Cause                 `json:"cause"`
	Faults map[string]FaultScore `json:"faults"`
	// Harmless is the share of what is no leak, by what it is, that was followed by a false
	// leak alarm.
	Harmless   map[string]Share `json:"harmless"`
	DataErrors *DataErrors      `json:"data_errors"`
	Windows    Windows          `json:"windows"`
	Coverage   Coverage         `json:"coverage"`
	Energy     Energy           `json:"energy"`
	ByClass    map[string]Class `json:"by_class"`
	Rivals     map[string]Rival `json:"rivals"`
	// NullBecause says of every figure that is null why, by its path.
	NullBecause map[string]string `json:"null_because"`
}

// A Class is the score of a part of the fleet: of the systems that are logged mostly
// with instruments of a class (coverage: of the visits with them), those with or
// without a receiver by truth, and those on which a logger mostly stays.
type Class struct {
	Systems    int                   `json:"systems"`
	Leak       Detection             `json:"leak"`
	Cause      Cause                 `json:"cause"`
	Faults     map[string]FaultScore `json:"faults"`
	DataErrors *DataErrors           `json:"data_errors"`
	Windows    Windows               `json:"windows"`
	Coverage   Coverage              `json:"coverage"`
}

// Compare scores what the analysis found against the truth. It fails where the two
// are not of one fleet.
func Compare(in Input) (Score, error) {
	f, err := newFleet(in)
	if err != nil {
		return Score{}, err
	}
	alarms, claims, errs := alarmsOf(in.Findings), remarks(in), f.coilNoises()
	s := Score{
		Leak:       Leak{Detection: f.leaks(alarms), HalfReserve: f.halfReserve(alarms)},
		Cause:      f.cause(alarms),
		Faults:     f.faults(alarms, errs),
		Harmless:   f.harmless(alarms),
		DataErrors: dataErrors(in, claims),
		Windows:    f.windows(),
		Coverage:   f.coverage(""),
		Energy:     f.energy(in.Rankings),
		ByClass:    f.byClass(alarms, errs, func(part fleet) *DataErrors { return part.dataErrors(in, claims) }),
	}
	losses := f.estimated(alarms)
	s.Leak.RateInterval, s.Leak.LostInterval = intervals(losses)
	s.Leak.BriskRates = briskRates(losses)
	leaking := f.leaking()
	s.Leak.Healthy, s.Leak.LeakingYears = rate(s.Leak.FalseAlarms.Events, f.years()-leaking), Number(leaking)
	s.Leak.Oracle = f.lossesSeen(allowed(s.Leak.FalseAlarms.Rate) / 100)
	if s.Rivals, err = f.rivals(s.Leak.FalseAlarms.Rate); err != nil {
		return s, err
	}
	s.NullBecause, err = absences(s)
	return s, err
}

// leaks scores the analysis's own leak alarms.
func (f fleet) leaks(alarms []alarm) Detection {
	d := f.detection(alarms)
	d.ROCArea = f.rocArea(func(s *subject) float64 { return s.evidence })
	return d
}

// byClass scores parts of the fleet; errs is how gauges of coils err, errors counts the
// mistakes in a part.
func (f fleet) byClass(alarms []alarm, errs map[truth.Fault]coilNoise, errors func(fleet) *DataErrors) map[string]Class {
	out := map[string]Class{}
	put := func(name, instruments string, keep func(*subject) bool) {
		part := f.only(keep)
		theirs := part.about(alarms)
		c := Class{Systems: len(part.subjects), Cause: part.cause(theirs), Faults: part.faults(theirs, errs), DataErrors: errors(part), Windows: part.windows()}
		c.Leak = part.leaks(theirs)
		if c.Coverage = part.coverage(""); instruments != "" {
			c.Coverage = f.coverage(instruments)
		}
		out[name] = c
	}
	tight := func(s *subject) bool { return !s.Receiver }
	for _, class := range slices.Compact(slices.Sorted(maps.Values(f.classes))) {
		of := func(s *subject) bool { return s.class == class }
		put(class+" instruments", class, of)
		put(class+" instruments, no receiver", "", func(s *subject) bool { return of(s) && tight(s) })
	}
	put("receiver", "", func(s *subject) bool { return s.Receiver })
	put("no receiver", "", tight)
	put("permanent logs", "", (*subject).permanent)
	put("permanent logs, no receiver", "", func(s *subject) bool { return s.permanent() && tight(s) })
	put("visit logs", "", func(s *subject) bool { return !s.permanent() })
	return out
}
