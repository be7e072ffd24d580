package condition

import (
	"math"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A Stretch is samples of one visit, or of the part of one before or after an
// intervention.
type Stretch struct {
	Columns  *cycle.Columns // derived
	Valve    []float64      // opening of the expansion valve, %; nil where it was not logged
	From, To int            // its rows, the last not included
	On       []bool         // whether the compressor ran, by row of Columns
	Told     bool           // something tells whether it ran
}

// A Watch is what a stretch showed against its limits, as it is kept until the visits are
// put together.
type Watch struct {
	Start    int64                `json:"start"` // microseconds since 1970
	End      int64                `json:"end"`
	Observed float64              `json:"observed"` // minutes
	Watched  float64              `json:"watched"`  // minutes
	Starts   int64                `json:"starts"`
	Told     bool                 `json:"told,omitempty"`
	Beyond   [watchedKinds]Beyond `json:"beyond"`
}

// A Beyond is the time beyond one limit.
type Beyond struct {
	Known   float64 `json:"known,omitempty"` // minutes in which it could be seen
	Minutes float64 `json:"min,omitempty"`
	Longest float64 `json:"longest,omitempty"`
	Sum     float64 `json:"sum,omitempty"`  // of the quantity over those minutes
	Second  float64 `json:"sum2,omitempty"` // of discharge superheat, where liquid returns
	First   float64 `json:"first,omitempty"`
	Last    float64 `json:"last,omitempty"` // the quantity at the first and the last of them
	From    float64 `json:"from,omitempty"`
	To      float64 `json:"to,omitempty"` // when that was, hours since 1970
}

// What is watched sample by sample.
const (
	wet = iota
	hot
	high
	flash
	stop
	warm
	watchedKinds
)

// How long a machine is left alone before it is watched: liquid comes back for a moment
// after a start and for longer after a defrost (common practice, no source).
const (
	afterStart   = 5 * time.Minute
	afterDefrost = 15 * time.Minute
)

// Watch goes over a stretch once.
func (s Stretch) Watch(b *Bounds) Watch {
	t := s.Columns.Time
	w := Watch{Start: t[s.From], End: t[s.To-1], Told: s.Told}
	step := s.step()
	w.Observed = step * float64(s.To-s.From)
	ready := t[s.From]
	var row [watchedKinds]float64 // minutes in a row
	for i := s.From; i < s.To; i++ {
		follows := i > s.From && float64(t[i]-t[i-1])/60e6 <= math.Max(5*step, 1)
		switch {
		case s.Columns.Defrost != nil && s.Columns.Defrost[i] == table.Yes:
			ready = t[i] + afterDefrost.Microseconds()
		case s.On[i] && follows && !s.On[i-1]:
			w.Starts++
			ready = max(ready, t[i]+afterStart.Microseconds())
		}
		settled := s.On[i] && t[i] >= ready && (s.Columns.InAir == nil || !s.Columns.InAir[i])
		if settled {
			w.Watched += step
		}
		for k := range w.Beyond {
			if !settled || !follows {
				row[k] = 0
			}
			if settled {
				w.Beyond[k].count(s.see(k, i, b), t[i], step, &row[k])
			}
		}
	}
	return w
}

// step is the usual distance of samples, minutes.
func (s Stretch) step() float64 {
	n := s.To - s.From
	if n < 2 {
		return 0
	}
	return float64(s.Columns.Time[s.To-1]-s.Columns.Time[s.From]) / 60e6 / float64(n-1)
}

// A sight is what one sample shows of one limit.
type sight struct {
	value, second float64
	beyond        bool
}

// see looks at one sample; a value that is NaN was not seen.
func (s Stretch) see(k, i int, b *Bounds) sight {
	at := func(q cycle.Quantity) float64 { return s.Columns.At(q, i) }
	above := func(v float64, n register.LimitName) sight { return sight{value: v, beyond: v > b[n].Value} }
	switch k {
	case wet:
		v, second := at(cycle.Superheat), at(cycle.DischargeSuperheat)
		return sight{v + 0*second, second, v < b[register.LeastSuperheat].Value && second < b[register.LeastHotGas].Value}
	case hot:
		return above(at(cycle.DischargeTemp), register.MostDischargeTemp)
	case high:
		return above(at(cycle.PressureRatio), register.MostPressureRatio)
	case flash:
		v := at(cycle.Subcooling)
		return sight{value: v, beyond: v < b[register.LeastSubcooling].Value}
	case stop:
		if s.Valve == nil {
			return sight{value: math.NaN()}
		}
		return sight{value: s.Valve[i], beyond: s.Valve[i] >= b[register.MostValveOpening].Value}
	}
	if math.IsNaN(b[register.MostRoomTemp].Value) {
		return sight{value: math.NaN()}
	}
	return above(at(cycle.RoomTemp), register.MostRoomTemp)
}

// count adds a sample that stands for some minutes.
func (b *Beyond) count(x sight, t int64, minutes float64, row *float64) {
	if math.IsNaN(x.value) || math.IsInf(x.value, 0) || math.IsInf(x.second, 0) {
		*row = 0
		return
	}
	b.Known += minutes
	if !x.beyond {
		*row = 0
		return
	}
	hours := float64(t) / 3600e6
	if b.Minutes == 0 {
		b.First, b.From = x.value, hours
	}
	b.Last, b.To = x.value, hours
	*row += minutes
	b.Minutes += minutes
	b.Longest = math.Max(b.Longest, *row)
	b.Sum += x.value * minutes
	b.Second += x.second * minutes
}

// join adds what a later stretch of the same visit showed.
func (w *Watch) join(x Watch) {
	w.End = max(w.End, x.End)
	w.Observed, w.Watched, w.Starts, w.Told = w.Observed+x.Observed, w.Watched+x.Watched, w.Starts+x.Starts, w.Told && x.Told
	for k := range w.Beyond {
		a, b := &w.Beyond[k], x.Beyond[k]
		if a.Minutes == 0 {
			a.First, a.From = b.First, b.From
		}
		if b.Minutes > 0 {
			a.Last, a.To = b.Last, b.To
		}
		a.Known, a.Minutes, a.Sum, a.Second = a.Known+b.Known, a.Minutes+b.Minutes, a.Sum+b.Sum, a.Second+b.Second
		a.Longest = math.Max(a.Longest, b.Longest)
	}
}
