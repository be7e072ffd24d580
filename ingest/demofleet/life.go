package demofleet

import (
	"math/rand/v2"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/register"
)

// A fate is what happens to a system over the years.
type fate uint8

const (
	healthy           fate = iota
	leakOpen               // nobody notices
	leakRepaired           // found, repaired and topped up
	leakToppedUp           // topped up, not repaired
	condenserCleaned       // fouls and is cleaned
	condenserOpen          // fouls on
	evaporatorCleaned      // fouls and is cleaned
	restricted             // drier clogs
	settingChanged         // no fault: somebody turned the thermostat
)

// fates deals what happens to n systems: about one in six leaks, one in eight
// fouls, the rest has no trouble or none that is a fault.
func fates(r *rand.Rand, n int) []fate {
	deck := make([]fate, n)
	i := 0
	put := func(share float64, of ...fate) {
		for k := range int(share*float64(n) + 0.5) {
			if i < n {
				deck[i] = of[k%len(of)]
				i++
			}
		}
	}
	put(0.18, leakOpen, leakRepaired, leakOpen, leakToppedUp, leakRepaired)
	put(0.13, condenserCleaned, condenserOpen, evaporatorCleaned)
	put(0.03, restricted)
	put(0.08, settingChanged)
	r.Shuffle(n, func(a, b int) { deck[a], deck[b] = deck[b], deck[a] })
	return deck
}

const year = 8766 * time.Hour

// live gives a system its episodes. Repairs happen at visits.
func (m *machine) live(r *rand.Rand, f fate, start, end time.Time, visits []visit) []register.Event {
	span := end.Sub(start)
	onset := start.Add(time.Duration(between(r, 0.1, 0.45) * float64(span)))
	switch f {
	case leakOpen, leakRepaired, leakToppedUp:
		return m.leak(r, f, onset, end, visits)
	case condenserCleaned, condenserOpen:
		return m.foul(truth.CondenserFouling, between(r, 0.2, 0.35), f == condenserCleaned, between(r, 0.25, 0.35), onset, visits)
	case evaporatorCleaned:
		return m.foul(truth.EvaporatorFouling, between(r, 0.2, 0.35), true, between(r, 0.25, 0.35), onset, visits)
	case restricted:
		m.truth.Episodes = append(m.truth.Episodes, truth.Episode{Fault: truth.Restriction, Onset: onset, PerYear: 0.4, Most: 0.8, Note: "nothing"})
	case settingChanged:
		return m.reset(r, visits)
	}
	return nil
}

// mostUnnoticed is the share of the charge a system may lose before somebody
// calls: no leak is left open beyond it (common practice, no source).
const mostUnnoticed = 0.35

// leak lets refrigerant go at 5 to 25 % a year.
func (m *machine) leak(r *rand.Rand, f fate, onset, end time.Time, visits []visit) []register.Event {
	e := truth.Episode{Fault: truth.Leak, Onset: onset, PerYear: between(r, 0.05, 0.25), Note: "nothing"}
	if latest := end.Add(-time.Duration(mostUnnoticed / e.PerYear * float64(year))); f == leakOpen && e.Onset.Before(latest) {
		e.Onset = latest
	}
	limit := between(r, 0.08, 0.16)
	if f == leakOpen {
		m.truth.Episodes = append(m.truth.Episodes, e)
		return nil
	}
	i := firstBeyond(e, limit, visits)
	if i < 0 {
		m.truth.Episodes = append(m.truth.Episodes, e)
		return nil
	}
	at := visits[i].intervene()
	lost := e.Size(at) * m.truth.RatedCharge
	events := []register.Event{m.event(at, register.ChargeAdded, lost)}
	if f == leakRepaired {
		e.Ended, e.Note = at, "repaired and topped up"
		m.truth.Episodes = append(m.truth.Episodes, e)
		return append([]register.Event{m.event(at, register.Repaired, 0)}, events...)
	}
	e.Ended, e.Note = at, "topped up"
	again := truth.Episode{Fault: truth.Leak, Onset: at, PerYear: e.PerYear, Note: "nothing"}
	m.truth.Episodes = append(m.truth.Episodes, e, again)
	return events
}

// foul lets a coil lose its medium's flow.
func (m *machine) foul(f truth.Fault, perYear float64, cleaned bool, limit float64, onset time.Time, visits []visit) []register.Event {
	e := truth.Episode{Fault: f, Onset: onset, PerYear: perYear, Most: 0.6, Note: "nothing"}
	i := -1
	if cleaned {
		i = firstBeyond(e, limit, visits)
	}
	if i < 0 {
		m.truth.Episodes = append(m.truth.Episodes, e)
		return nil
	}
	at := visits[i].intervene()
	e.Ended, e.Note = at, "cleaned"
	m.truth.Episodes = append(m.truth.Episodes, e)
	return []register.Event{m.event(at, register.CoilCleaned, 0)}
}

// reset turns the thermostat at a visit: a shift that is no fault.
func (m *machine) reset(r *rand.Rand, visits []visit) []register.Event {
	if m.source != roomAir && m.source != chilledWater || len(visits) < 6 {
		return nil
	}
	at := visits[len(visits)/2].intervene()
	m.resetOn, m.resetting = at, pick(r, []float64{-1.5, 1.5, 2})
	return []register.Event{m.event(at, register.SetpointChanged, 0)}
}

// firstBeyond is the first visit that finds an episode beyond a size, or -1.
func firstBeyond(e truth.Episode, size float64, visits []visit) int {
	for i, v := range visits {
		if e.Size(v.start) >= size {
			return i
		}
	}
	return -1
}
