package drift

import "rimelog/analysis/robust"

// A form is how a change goes on after its onset.
type form int

const (
	slow   form = iota // at an even rate
	sudden             // at once
	topped             // at once, by an addition of refrigerant
	forms
)

// A reading is what a record says of a gauge's change after an onset, before anything
// is believed of it: K a year, or K at once. The zero reading says nothing.
type reading struct{ size, sd float64 }

// read asks a track about a change.
func (tr *track) read(onset float64, f form, s visibility) reading {
	col := tr.spare[:len(tr.t)]
	tr.fill(col, onset, f, s)
	return readingOf(tr.fit.Change(col))
}

func readingOf(c robust.Change) reading { return reading{c.Coef, c.SD} }

// readAll asks a track about changes after onsets, and puts down what it says of each.
func (tr *track) readAll(onsets []gap, f form, s visibility, put func(i int, says sighting)) {
	if f == topped && tr.fills {
		for i, at := range onsets {
			put(i, tr.beyond(at.from).sighted())
		}
		return
	}
	n := len(tr.t)
	cols := [...][]float64{tr.spare[:n], tr.spare[n : 2*n], tr.spare[2*n : 3*n], tr.spare[3*n:]}
	for from := 0; from < len(onsets); from += len(cols) {
		some := onsets[from:min(len(onsets), from+len(cols))]
		for k, at := range some {
			tr.fill(cols[k], at.from, f, s)
		}
		all := tr.fit.Changes(cols)
		for k := range some {
			put(from+k, readingOf(all[k]).sighted())
		}
	}
}

// hold marks the values at which head pressure control held the condensing temperature up,
// whatever the condenser is like.
func (tr *track) hold(points []*point, limit float64) {
	tr.held = make([]bool, len(points))
	for i, p := range points {
		tr.held[i] = p.condensing <= limit
	}
}

// column is a change of one unit after an onset.
func (tr *track) column(onset float64, f form, s visibility) []float64 {
	col := make([]float64, len(tr.t))
	tr.fill(col, onset, f, s)
	return col
}

// fill writes down a change of one unit after an onset.
func (tr *track) fill(col []float64, onset float64, f form, s visibility) {
	from := 0
	for from < len(tr.t) && tr.t[from] <= onset {
		from++
	}
	clear(col[:from])
	for i := from; i < len(tr.t); i++ {
		size := 1.0
		if f == slow {
			size = tr.shown(onset, tr.t[i])
		}
		col[i] = size * tr.visible(i, s) * tr.sure[i]
	}
}

// visible is the part of a change that shows at a value.
func (tr *track) visible(i int, s visibility) float64 {
	switch {
	case tr.held != nil && tr.held[i]:
		return s.share()
	case tr.unit == nil:
		return 1
	case s == wholly:
		return 1
	case s == partly:
		return tr.share[i]
	}
	return tr.unit[i]
}
