package steady

import (
	"math"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A Stop is a standstill in the middle of a visit in which somebody may have worked.
type Stop struct {
	From, To int64 // microseconds since 1970
	Odd      bool  // no visit before had one: without an event, too, somebody seems to have worked
}

// A cut is where a visit falls apart into as found and as left; what lies between is
// used for neither.
type cut struct {
	from, to time.Time
	by       string // table.SplitByRegister or table.SplitDetected
	told     bool   // the register tells of the work
}

// cut finds where a visit is split: at the events with a time; else, on the day of an
// event without one, at the standstill in its middle or where superheat or subcooling
// steps; else at a standstill such as this machine has never shown.
func (site Site) cut(s Stay, timed, dated []register.Event, windows []table.Window) (cut, bool) {
	if len(timed) > 0 {
		return cut{timed[0].Time.UTC(), timed[len(timed)-1].Time.UTC(), table.SplitByRegister, true}, true
	}
	if s.Day {
		return cut{}, false // a machine that switches on and off all day says nothing by it
	}
	for _, stop := range site.Stops {
		if stop.From > s.Start && stop.To < s.End && (len(dated) > 0 || stop.Odd) {
			return cut{utc(stop.From), utc(stop.To), table.SplitDetected, len(dated) > 0}, true
		}
	}
	if len(dated) == 0 {
		return cut{}, false
	}
	full := fullOf(windows)
	at, ok := stepIn(full)
	if !ok {
		return cut{}, false
	}
	return cut{full[at-1].End.Add(time.Second), full[at].Start, table.SplitDetected, true}, true
}

// A step between windows: how far superheat or subcooling goes at least, by how many
// standard errors, and the least spread of windows of a machine at rest. Charging 5 %
// moves subcooling by about 2 K (2.4 % of the charge a kelvin at 7.5 K of subcooling: Li
// and Braun 2009, from memory).
const (
	leastSuperheatStep  = 2.0 // K
	leastSubcoolingStep = 1.2 // K
	mostChance          = 6.0 // standard errors
	leastScatter        = 0.3 // K
)

// stepIn finds the window before which superheat or subcooling steps most clearly.
func stepIn(windows []table.Window) (at int, ok bool) {
	best := mostChance
	for _, f := range []struct {
		of    func(*table.Window) float64
		least float64
	}{
		{func(w *table.Window) float64 { return w.Superheat }, leastSuperheatStep},
		{func(w *table.Window) float64 { return w.Subcooling }, leastSubcoolingStep},
	} {
		x := column(windows, f.of)
		for k := 1; k < len(x); k++ {
			step, errors := contrast(x[:k], x[k:])
			if math.Abs(step) >= f.least && errors > best {
				best, at, ok = errors, k, true
			}
		}
	}
	return at, ok
}

// contrast is the mean of b less that of a, and by how many standard errors.
func contrast(a, b []float64) (step, errors float64) {
	ma, sa, na, errA := robust.Mean(a)
	mb, sb, nb, errB := robust.Mean(b)
	if errA != nil || errB != nil {
		return math.NaN(), math.NaN()
	}
	var ss float64
	if na > 1 {
		ss += float64(na-1) * sa * sa
	}
	if nb > 1 {
		ss += float64(nb-1) * sb * sb
	}
	sd := math.Max(math.Sqrt(ss/math.Max(float64(na+nb-2), 1)), leastScatter)
	return mb - ma, math.Abs(mb-ma) / (sd * math.Sqrt(1/float64(na)+1/float64(nb)))
}

// Placed gives events without a time of day the moment at which a visit of that day was
// found to be split, so that what lies before counts as before them.
func Placed(events []register.Event, visits []table.Visit) []register.Event {
	out := append([]register.Event(nil), events...)
	for i, e := range out {
		if e.HasTime || !e.Kind.Intervenes() {
			continue
		}
		for _, v := range visits {
			if v.Part == table.AsLeft && v.SplitBy == table.SplitDetected && !v.Start.Before(e.Time) && v.Start.Before(e.Time.AddDate(0, 0, 1)) {
				out[i].Time, out[i].HasTime = v.Start, true
			}
		}
	}
	return out
}
