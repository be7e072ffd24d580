package cycle

import (
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// Needed lists the samples columns that analysis reads.
func Needed() []string {
	names := []string{"time", "running", "defrost"}
	return append(names, channels[:]...)
}

// Read takes the channels of a frame of samples, in time order. It reuses the
// memory of into, which may be nil.
func Read(f *frame.Frame, into *Columns) *Columns {
	if into == nil {
		into = &Columns{}
	}
	into.Time, into.InAir = f.Times("time"), nil
	for q, name := range channels {
		if f.Has(name) {
			f.Floats(into.column(Quantity(q)), name)
		} else {
			into.Values[q] = nil
		}
	}
	for q := measured; q < Quantities; q++ {
		into.Values[q] = nil
	}
	into.Running = states(f, "running")
	into.Defrost = states(f, "defrost")
	return into
}

func states(f *frame.Frame, col string) []table.State {
	if !f.Has(col) {
		return nil
	}
	bits := f.Bits(col)
	s := make([]table.State, f.Rows())
	for i := range s {
		s[i] = bits.State(i)
	}
	return s
}
