package energy

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A Doubter takes off a state at a time what is known to be wrong with its readings,
// by calibration and by the contact of clamps, and says the standard uncertainty that
// is left of each.
type Doubter func(at time.Time, s State) (State, Doubt)

// A Window is what the rows of energy_windows take of one: columns of table.Window.
type Window struct {
	Start       time.Time `col:"start" doc:"first sample, UTC"`
	End         time.Time `col:"end" doc:"last sample, UTC"`
	Grade       string    `col:"grade" doc:"how steady it is"`
	OutdoorTemp float64   `col:"outdoor_temp_c" doc:"mean"`
	RoomTemp    float64   `col:"room_temp_c" doc:"mean"`
	Provisional bool      `col:"provisional" doc:"shorter than asked for"`
	Instruments string    `col:"instruments" doc:"serial numbers"`
}

// WindowRows works out the rows of energy_windows of some windows. What cannot be
// true is flagged and kept for the record. Windows without a COP and without power
// have no row.
func WindowRows(l *Log, m *Machine, windows []Window, doubt Doubter) []table.EnergyWindow {
	rows := make([]table.EnergyWindow, 0, len(windows))
	relative := map[doubtKey][Routes]float64{}
	running := l.runs()
	tau, coarse := l.shellTime(running), l.coarse()
	windows = l.alone(windows, running)
	reversed := l.reversed(m, windows)
	if coarse {
		l = l.settled(m, running)
	}
	for n := range windows {
		w := &windows[n]
		if w.Provisional || w.Grade == table.GradeSpot {
			continue
		}
		i, j := l.Rows(w.Start.UnixMicro(), w.End.UnixMicro())
		if i >= j {
			continue
		}
		v := view{m: *m, state: l.State(i, j), window: w, current: meanOf(l.current, i, j), voltage: meanOf(l.voltage, i, j)}
		var u Doubt
		v.state, u = doubt(w.Start, v.state)
		v.orient(reversed[n])
		if hot := l.columns[dischargeColumn]; !coarse {
			v.added, v.unsettled = v.state.settle(l.slope(hot, i, j), l.toGo(hot, tau, i, j))
		}
		v.results, v.per = v.m.perform(v.state)
		if v.unsettled != nil {
			v.unsettle()
		}
		key := doubtKey{DayNumber(w.Start), v.m.Mode, w.Instruments, routesOf(v.results)}
		if _, known := relative[key]; !known {
			relative[key] = v.m.Doubts(v.state, u)
		}
		if row, ok := v.row(relative[key]); ok {
			rows = append(rows, row)
		}
	}
	return rows
}

// A doubtKey is for what uncertainties are worked out once: a day in one mode with
// one set of instruments and routes.
type doubtKey struct {
	day               int
	mode, instruments string
	routes            [Routes]bool
}

func routesOf(results []Result) (r [Routes]bool) {
	for _, x := range results {
		r[x.Route] = x.Problem == nil
	}
	return r
}

// A view is a window as energy sees it.
type view struct {
	m                Machine
	state            State
	window           *Window
	current, voltage float64
	results          []Result
	per              perKilogram
	added            float64 // to the discharge temperature, so that it is settled, K
	unsettled        error
}

// unsettle takes away what rests on a discharge gas that has too far to go.
func (v *view) unsettle() {
	for i := range v.results {
		if v.results[i].Route == ByStates {
			v.results[i].Problem = v.unsettled
		}
	}
	v.state.DischargeTemp = math.NaN()
}

// lag is the relative uncertainty of the COP by states by what was added to the
// discharge temperature.
func (v *view) lag() float64 {
	if v.added == 0 {
		return 0
	}
	here := slices.IndexFunc(v.results, func(r Result) bool { return r.Route == ByStates && r.Problem == nil })
	if here < 0 {
		return 0
	}
	hotter := v.state
	hotter.DischargeTemp += lagShare * v.added
	gas, err := v.m.discharged(hotter)
	if err != nil {
		return 0
	}
	there, err := v.m.compressed(v.per, gas, shellLoss)
	if err != nil {
		return 0
	}
	return math.Abs(math.Log(v.results[here].COP * there.work / there.use))
}

// orient takes the air of the coils of an air conditioner that heats its room the other
// way round. The window's outdoor temperature stands in where none is logged.
func (v *view) orient(heats bool) {
	s := &v.state
	if heats {
		v.m.Mode = Heating
		s.EvaporatorAirOn, s.CondenserAirOn = firstOf(s.CondenserAirOn, s.Outdoor), s.EvaporatorAirOn
		s.EvaporatorAirOff, s.CondenserAirOff = s.CondenserAirOff, s.EvaporatorAirOff
		v.m.EvaporatorAir, v.m.CondenserAir = v.m.CondenserAir, v.m.EvaporatorAir
	}
	s.Outdoor = firstOf(s.Outdoor, v.window.OutdoorTemp)
	s.Room = firstOf(s.Room, v.window.RoomTemp)
}

// row is the window's row.
func (v *view) row(u [Routes]float64) (table.EnergyWindow, bool) {
	nan := math.NaN()
	s, w, heating := v.state, v.window, v.m.Mode == Heating
	te, tc := v.m.evaporating(s), v.m.condensing(s)
	row := table.EnergyWindow{
		Start: w.Start, End: w.End, Mode: v.m.Mode, Outdoor: s.Outdoor, Lift: tc - te, Power: s.Power, Covers: v.m.Boundary.String(),
		COP: nan, COPU: nan, Capacity: nan, Specific: nan, Internal: nan, External: nan, Index: Displaced(s), Instruments: w.Instruments, Discharge: s.DischargeTemp,
		ByMeter: nan, ByFlow: nan, ByStates: nan, ByAir: nan, ByRejected: nan, Ratio: nan, RatioU: nan,
	}
	u[ByStates] = math.Hypot(u[ByStates], v.lag())
	by := [Routes]*float64{&row.ByMeter, &row.ByFlow, &row.ByStates, &row.ByAir, &row.ByRejected}
	for _, r := range v.results {
		if r.Problem != nil {
			continue
		}
		*by[r.Route] = r.COP
		if finite(row.COP) {
			continue
		}
		row.Route, row.Boundary, row.COP, row.COPU = r.Route.String(), r.Boundary.String(), r.COP, r.COP*u[r.Route]
		row.Capacity, row.Specific = r.Heat, 1/r.COP
		row.Internal, row.External = r.COP/carnot(te, tc, heating), v.m.external(s, r.COP)
	}
	v.check(&row, u)
	return row, finite(row.COP) || finite(row.Power)
}

// check flags what cannot be true. Every route is held against Carnot's between the
// media: a COP above it is an error whichever route it is.
func (v *view) check(row *table.EnergyWindow, u [Routes]float64) {
	flag := func(rule string, evidence func() string) {
		if rule != "" && row.Flag == "" {
			row.Flag, row.Evidence = rule, evidence()
		}
	}
	expected, by := v.m.ExpectedPower(v.state, v.current, v.voltage)
	if finite(expected) && v.m.Boundary <= register.Compressor {
		rule := CheckPower(row.Power / expected)
		if rule == RulePhase && by == byCurrent && !(v.voltage > leastThreePhase) {
			rule = "" // a machine of one phase takes a third of what its current would stand for
		}
		flag(rule, func() string {
			return fmt.Sprintf("%.4g kW measured, %.3g kW expected by %s", row.Power, expected, by)
		})
	}
	for _, r := range v.results {
		if r.Problem != nil {
			continue
		}
		external := v.m.external(v.state, r.COP)
		flag(CheckCOP(external), func() string {
			return fmt.Sprintf("COP %.2f by %s is %.2f of Carnot's between the media", r.COP, r.Route, external)
		})
	}
	if pairs := pairsOf(v.results, u); len(pairs) > 0 {
		d := slices.MaxFunc(pairs, func(a, b Disagreement) int { return cmp.Compare(a.off(), b.off()) })
		row.Ratio, row.RatioU, row.Compared = d.Ratio, d.U, d.String()
		if d.far() {
			flag(RuleRoutes, func() string {
				return fmt.Sprintf("COP by %s is %.2f times that by %s, beyond %g standard uncertainties of %.0f %%", d.One, d.Ratio, d.Other, mostApart, 100*d.U)
			})
		}
	}
}

// HourRows works out the rows of energy_hours that begin from one time up to
// another, in microseconds, and the oddities of the counter between them.
func HourRows(l *Log, m *Machine, from, to int64) ([]table.EnergyHour, []Oddity) {
	hours, odd := Hours(l.Trace(m))
	rows := []table.EnergyHour{}
	for _, h := range hours {
		if h.Start < from || h.Start >= to {
			continue
		}
		row := table.EnergyHour{
			Start: time.UnixMicro(h.Start).UTC(), Covered: h.Covered, KWh: h.KWh, Counter: h.Counter, Observed: h.Observed, Running: h.Running,
			Heat: h.HeatKWh, HeatFor: h.HeatFor, HeatTime: h.HeatTime, Outdoor: h.Outdoor, Room: h.Room,
		}
		if h.Covered == 0 {
			row.KWh = math.NaN()
		}
		rows = append(rows, row)
	}
	within := []Oddity{}
	for _, o := range odd {
		if o.At >= from && o.At < to {
			within = append(within, o)
		}
	}
	return rows, within
}
