package analysis

import (
	"slices"
	"time"

	"rimelog/analysis/cycle"
)

// A roster says which instruments were at work at a time. They are the same from one
// change to the next, but for their age, so that they are put together once for each such
// stretch: a month of a permanent logger has thousands of windows and hardly any change.
type roster struct {
	generic cycle.Instruments
	sources []source
	changes []int64 // microseconds since 1970, rising
	known   map[int]*shift
}

// A shift is the instruments at work between two changes, with the probes behind them.
type shift struct {
	instruments cycle.Instruments
	probes      []cycle.Probe
}

func newRoster(generic cycle.Instruments, sources []source) *roster {
	r := &roster{generic: generic, sources: sources, known: map[int]*shift{}}
	for _, src := range sources {
		r.changes = append(r.changes, src.from, src.to+1)
		for _, s := range src.sensors.list {
			r.changes = append(r.changes, firstMicro(s.from), firstMicro(s.to))
		}
	}
	slices.Sort(r.changes)
	r.changes = slices.Compact(r.changes)
	return r
}

// firstMicro is the first microsecond that is not before a time.
func firstMicro(t time.Time) int64 {
	return t.Add(time.Microsecond - time.Nanosecond).UnixMicro()
}

// at is what is known of the sensors behind a time.
func (r *roster) at(micros int64) cycle.Instruments {
	stretch, _ := slices.BinarySearch(r.changes, micros+1)
	if r.known[stretch] == nil {
		s := shiftAt(r.generic, r.sources, micros)
		r.known[stretch] = &s
	}
	in, at := r.known[stretch].instruments, time.UnixMicro(micros)
	for _, p := range r.known[stretch].probes {
		in.Age(p, at)
	}
	return in
}

// shiftAt is the instruments at work at a time. Where two may have measured a quantity the
// less exact one counts.
func shiftAt(generic cycle.Instruments, sources []source, micros int64) (s shift) {
	s.instruments = generic
	in, at := &s.instruments, time.UnixMicro(micros)
	taken := map[cycle.Quantity]float64{}
	for _, src := range sources {
		if micros < src.from || micros > src.to {
			continue
		}
		for _, q := range src.told.absolute {
			in.Reference[q] = 0
		}
		for _, sn := range src.sensors.list {
			if !sn.from.IsZero() && at.Before(sn.from) || !sn.to.IsZero() && !at.Before(sn.to) {
				continue
			}
			q := sn.probe.Quantity
			if serial := sn.instrument.Serial; serial != "" {
				in.Serials, in.Serial[q] = append(in.Serials, serial), serial
			}
			if in.Name(sn.probe, at) {
				in.Limit[q] = max(taken[q], in.Limit[q])
				taken[q] = in.Limit[q]
				s.probes = append(s.probes, sn.probe)
			}
		}
	}
	slices.Sort(in.Serials)
	in.Serials = slices.Compact(in.Serials)
	return s
}
