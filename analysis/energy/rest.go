package energy

import (
	"cmp"
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// A log whose samples lie further apart than a stop lasts hides starts: a sample may be taken
// a minute after one, while pressures and air are still on their way, or half an hour, and
// nothing says which but the samples themselves. What has not settled is left out of such a
// log: of a sample whose saturation temperatures or power are not those of the hours around
// it, or whose discharge gas is far colder than theirs, everything; and that gas, unless it is
// as warm as at the sample before. A gas that nears its end with a compressor's quarter of an
// hour (settle.go) does not stand still between two samples before it is there, and a stop
// between them shows in it for as long.
const (
	hidesStops = 5 * time.Minute // a pause that a machine may stand for unseen
	restNear   = 2 * time.Hour   // before and after
	fewestRest = 5               // samples in whose middle one lies
	restLevel  = 2.0             // K of saturation temperatures about the middle
	restPower  = 0.85            // of the middle's power, at least
	restCooler = 6.0             // K by which the gas lies below the warmest: air and pressures have settled by then
	warmest    = 0.9             // quantile that stands for the warmest
	warmStands = 0.7             // K by which a settled gas moves between two samples, above the condensing temperature: at the second of two ten minutes apart that are nearer, less than 0.2 K are left with 400 s
)

// coarse tells whether samples lie so far apart that they may hide stops.
func (l *Log) coarse() bool {
	if l.step == nil {
		step := stepOf(l.Time)
		l.step = &step
	}
	return *l.step > float64(hidesStops.Microseconds())
}

// settled is a coarse log without what has not settled. Where nothing says when the machine
// ran, no gas is taken for settled.
func (l *Log) settled(m *Machine, running []bool) *Log {
	out := *l
	for k, column := range l.columns {
		out.columns[k] = slices.Clone(column)
	}
	s, gap, before := l.saturations(m, running), gapOf(l.Time), false
	for i := range l.Time {
		still := s.still(i)
		warm := still && before && s.warm(i, gap)
		for k, column := range out.columns {
			if column != nil && (!still || k == dischargeColumn && !warm) {
				column[i] = math.NaN()
			}
		}
		before = still
	}
	return &out
}

// saturations are what a log's running samples are held against each other by.
type saturations struct {
	*Log
	running                        []bool
	ran                            []int     // rows of running samples
	evaporating, condensing, above []float64 // °C; the gas above the condensing temperature, K
}

func (l *Log) saturations(m *Machine, running []bool) *saturations {
	s := &saturations{Log: l, running: running}
	for i := range l.Time {
		state := l.at(i)
		te, tc := m.evaporating(state), m.condensing(state)
		s.evaporating, s.condensing, s.above = append(s.evaporating, te), append(s.condensing, tc), append(s.above, state.DischargeTemp-tc)
		if running != nil && running[i] {
			s.ran = append(s.ran, i)
		}
	}
	return s
}

// still tells whether pressures and air have settled at a sample.
func (s *saturations) still(i int) bool {
	if s.running == nil || !s.running[i] {
		return s.running == nil
	}
	near := s.around(i, restNear)
	off := func(x []float64) float64 { return math.Abs(x[i] - quantileOf(x, near, 0.5)) }
	power := s.columns[powerColumn]
	return len(near) >= fewestRest && !(off(s.evaporating) > restLevel) && !(off(s.condensing) > restLevel) &&
		!(power != nil && power[i] < restPower*quantileOf(power, near, 0.5)) && !(s.above[i] < quantileOf(s.above, near, warmest)-restCooler)
}

// warm tells of a sample that is still, after one that was, whether the gas has settled too.
func (s *saturations) warm(i int, gap int64) bool {
	return s.running != nil && s.Time[i]-s.Time[i-1] <= gap && math.Abs(s.above[i]-s.above[i-1]) <= warmStands
}

// around are the running samples so near to one.
func (s *saturations) around(i int, near time.Duration) []int {
	at := func(row int, t int64) int { return cmp.Compare(s.Time[row], t) }
	from, _ := slices.BinarySearchFunc(s.ran, s.Time[i]-near.Microseconds(), at)
	to, _ := slices.BinarySearchFunc(s.ran, s.Time[i]+near.Microseconds()+1, at)
	return s.ran[from:to]
}

// quantileOf is that of some rows of a column, NaN where there is none.
func quantileOf(column []float64, some []int, p float64) float64 {
	x := make([]float64, len(some))
	for n, i := range some {
		x[n] = column[i]
	}
	q, err := robust.Quantile(x, p)
	if err != nil {
		return math.NaN()
	}
	return q
}

// alone puts a window about every running sample of a day's single samples that lies in no
// other window: short runs hold none, and a season of the few long runs alone would be that
// of other weather. Of a log that is not coarse windows say enough.
func (l *Log) alone(windows []Window, running []bool) []Window {
	single := func(w Window) bool { return w.Grade == table.GradeSingles }
	if !slices.ContainsFunc(windows, single) {
		return windows
	}
	out := slices.DeleteFunc(slices.Clone(windows), single)
	if !l.coarse() || running == nil {
		return out
	}
	taken := out
	for _, w := range windows {
		if single(w) {
			out = append(out, l.each(w, taken, running)...)
		}
	}
	slices.SortStableFunc(out, func(a, b Window) int { return a.Start.Compare(b.Start) })
	return out
}

// each are the windows about a day's running samples that are not taken.
func (l *Log) each(day Window, taken []Window, running []bool) (out []Window) {
	half := time.Duration(stepOf(l.Time)/2) * time.Microsecond
	i, j := l.Rows(day.Start.UnixMicro(), day.End.UnixMicro())
	for ; i < j; i++ {
		at := time.UnixMicro(l.Time[i]).UTC()
		in := slices.ContainsFunc(taken, func(w Window) bool { return !at.Before(w.Start) && !at.After(w.End) })
		if running[i] && !in {
			out = append(out, Window{Start: at.Add(-half), End: at.Add(half), Grade: day.Grade, Instruments: day.Instruments, OutdoorTemp: math.NaN(), RoomTemp: math.NaN()})
		}
	}
	return out
}
