package trust

import (
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// A Stop is a standstill in the middle of a visit.
type Stop struct {
	From    int64   `json:"from"` // microseconds since 1970
	Minutes float64 `json:"minutes"`
}

// A stop in which somebody may have worked, and how long the machine ran on either side.
const (
	leastStop    = 8.0 // minutes
	besideStop   = 8.0 // minutes
	fewestSteady = 2   // visits before without such a stop
)

// stop is the only standstill in the middle of a visit, if there is one alone and it is
// long enough; nil otherwise: a machine that switches on and off tells nothing by it.
func (l *look) stop() *Stop {
	var found *Stop
	stops, ran, off, from := 0, 0.0, 0.0, l.From
	step := l.step / 60
	for i := l.From; i < l.To; i++ {
		switch {
		case !l.On[i]:
			if off == 0 {
				from = i
			}
			off += step
		case off > 0:
			if ran > 0 {
				stops++
				if off >= leastStop && ran >= besideStop {
					found = &Stop{l.Columns.Time[from], off}
				}
				ran = 0
			}
			off = 0
			ran += step
		default:
			ran += step
		}
	}
	if stops != 1 || ran < besideStop {
		return nil
	}
	return found
}

// worked says that somebody worked on the machine within the visit: by an event of the
// register, or by a stop such as no visit before had.
func (h history) worked() {
	if h.now.Day {
		return
	}
	d := Doubt{Rule: "D33", Remedy: "nothing to mend where the event has its time; else write date, time and kind into register/events.csv"}
	for _, e := range h.events {
		if e.Kind.Intervenes() && during(e, h.now) {
			d.Evidence = fmt.Sprintf("the register has %q on %s: what lies before and after is judged apart", e.Kind, e.Time.Format(time.DateOnly))
			h.now.doubt(d)
			return
		}
	}
	quiet := 0
	for _, v := range h.before {
		if v.Stop != nil && !v.says("D33") {
			return
		}
		quiet++
	}
	if h.now.Stop != nil && quiet >= fewestSteady {
		d.From = h.now.Stop.From
		d.Evidence = fmt.Sprintf("the machine stood for %.0f minutes in the middle of the visit, as at none of the %d before: did somebody work on it?", h.now.Stop.Minutes, quiet)
		h.now.doubt(d)
	}
}

func during(e register.Event, f *Facts) bool {
	at := e.Time.UnixMicro()
	if e.HasTime {
		return at >= f.Start && at <= f.End
	}
	return at <= f.End && e.Time.AddDate(0, 0, 1).UnixMicro() > f.Start
}

// Odd tells whether somebody seems to have worked on the machine by its standstill alone.
func (f *Facts) Odd() bool {
	return f.Stop != nil && slices.ContainsFunc(f.Doubts, func(d Doubt) bool { return d.Rule == "D33" && d.From == f.Stop.From })
}

// Engineer is who was there by the events of the visit's day; empty where none says.
func (f *Facts) Engineer(events []register.Event) string {
	for _, e := range events {
		if e.Person != "" && during(e, f) {
			return e.Person
		}
	}
	return ""
}

// A step of capacity: how far power or speed goes at once, and how even it is on both
// sides, and how many slow means it takes: pressures and power follow within minutes.
const (
	leastCapacity = 0.2
	mostUneven    = 0.04
	longestChange = 2
)

// stepped says that capacity went up or down by a stage within the visit.
func (l *look) stepped() {
	if l.Day {
		return
	}
	for _, q := range []cycle.Quantity{cycle.Speed, cycle.Power} {
		x := l.slowMeans(q)
		if !l.has(q) || len(x) < 6 {
			continue
		}
		at, size := 0, 0.0
		for k := 2; k < len(x)-2; k++ {
			for end := k; end <= k+longestChange && end < len(x)-1; end++ {
				a, b := (x[k-1]+x[k-2])/2, (x[end]+x[end+1])/2
				step := (b - a) / math.Max(a, b)
				even := math.Max(math.Abs(x[k-1]-x[k-2])/a, math.Abs(x[end+1]-x[end])/b)
				if even < mostUneven && math.Abs(step) > math.Abs(size) {
					at, size = k, step
				}
			}
		}
		if math.Abs(size) < leastCapacity || !l.answers(at, size) {
			continue
		}
		l.doubt(Doubt{
			Rule: "D21", Channels: about(q),
			Evidence: fmt.Sprintf("%s changes by %+.0f %% of the higher level, from %.3g, within some minutes: another stage or speed", ChannelOf(q), 100*size, x[at-1]),
			Remedy:   "nothing to mend: windows lie on one side of the step",
		})
		return
	}
}

// leastAnswer is how far the evaporating temperature goes the other way when capacity steps
// by a fifth or more, K: less is pumped off.
const leastAnswer = 0.7

// answers tells whether the low pressure answers a step of capacity; where it was not
// logged, it need not.
func (l *look) answers(at int, size float64) bool {
	te := l.slowMeans(cycle.Evaporating)
	if !l.has(cycle.Evaporating) || at+longestChange >= len(te) {
		return true
	}
	return (te[at+longestChange]-te[at-1])*-size/math.Abs(size) > leastAnswer
}
