package read

import (
	"math"
	"slices"

	"rimelog/ingest/merge"
	"rimelog/ingest/understood"
	"rimelog/pipeline/frame"
)

// mostWatched is how many rows of a file are looked at for compressor starts: a visit's
// worth. A longer file is a permanent logger's, and no visit.
const mostWatched = 50_000

// mostStarts is how many starts are kept of a file.
const mostStarts = 200

// A watcher hands rows on and keeps what tells when the compressor starts.
type watcher struct {
	merge.Sink
	times  []int64
	signal []float64 // rises when the compressor starts
	whole  bool      // no row was left out
}

func watch(to merge.Sink) *watcher { return &watcher{Sink: to, whole: true} }

func (w *watcher) Put(system int, f *frame.Frame) error {
	if f.Table().Name == sampleTable.Name && w.whole {
		w.whole = system == 0 && len(w.times)+f.Rows() <= mostWatched
		if s := startSignal(f); w.whole && s != nil {
			w.times, w.signal = append(w.times, merge.TimesOf(f)...), append(w.signal, s...)
		}
	}
	return w.Sink.Put(system, f)
}

// startSignal is what shows the compressor best: its own state, its power or current,
// or the ratio of the pressures. Nil where the rows hold none of them.
func startSignal(f *frame.Frame) []float64 {
	if f.Has("running") {
		b := f.Bits("running")
		s := make([]float64, b.Len())
		for i := range s {
			if s[i] = math.NaN(); b.Valid().At(i) {
				s[i] = 0
				if b.At(i) {
					s[i] = 1
				}
			}
		}
		return s
	}
	for _, c := range []string{"power_kw", "current_a"} {
		if f.Has(c) {
			return f.Floats(nil, c)
		}
	}
	if !f.Has("discharge_pressure_kpa") || !f.Has("suction_pressure_kpa") {
		return nil
	}
	ratio := f.Floats(nil, "discharge_pressure_kpa")
	for i, low := range f.Floats(nil, "suction_pressure_kpa") {
		ratio[i] /= low
	}
	return ratio
}

// starts are the times at which the signal rises through the middle of its range, in
// microseconds: up from the lower third to the upper. Common practice, no source.
func (w *watcher) starts() (at []int64) {
	var filled []float64
	for _, v := range w.signal {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			filled = append(filled, v)
		}
	}
	if !w.whole || len(filled) < 10 {
		return nil
	}
	slices.Sort(filled)
	low, high := filled[len(filled)/20], filled[len(filled)-1-len(filled)/20]
	if high <= 1.3*low || high <= 0 { // it never stood still, or never ran
		return nil
	}
	on, known, middle := false, false, int64(0)
	for i, v := range w.signal {
		switch share := (v - low) / (high - low); {
		case share < 1./3:
			on, known, middle = false, true, 0
		case share >= 0.5 && middle == 0:
			middle = w.times[i]
			fallthrough
		case share > 2./3:
			if share > 2./3 {
				if known && !on && len(at) < mostStarts {
					at = append(at, middle)
				}
				on, known = true, true
			}
		}
	}
	return at
}

// startsText prints starts for the ledger.
func startsText(at []int64) (list []string) {
	for _, t := range at {
		list = append(list, understood.UTC(t))
	}
	return list
}
