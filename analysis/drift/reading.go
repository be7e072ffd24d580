package drift

// A form is how a change goes on after its onset.
type form int

const (
	slow   form = iota // at an even rate
	sudden             // at once
	forms
)

// A reading is what a record says of a gauge's change after an onset, before anything
// is believed of it: K a year, or K at once. The zero reading says nothing.
type reading struct{ size, sd float64 }

// read asks a track about a change.
func (tr *track) read(onset float64, f form, s visibility) reading {
	tr.fill(tr.spare, onset, f, s)
	size, sd, ok := tr.fit.Change(tr.spare)
	if !ok {
		return reading{}
	}
	return reading{size, sd}
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
	for i, t := range tr.t {
		switch {
		case t <= onset:
			col[i] = 0
		case f == slow:
			col[i] = tr.shown(onset, t)
		default:
			col[i] = 1
		}
		switch {
		case tr.held != nil && tr.held[i]:
			col[i] *= s.share()
		case tr.unit != nil && s == wholly:
		case tr.unit != nil && s == partly:
			col[i] *= tr.share[i]
		default:
			col[i] *= tr.per(i)
		}
		col[i] *= tr.sure[i]
	}
}
