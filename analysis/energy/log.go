package energy

import (
	"math"
	"slices"

	"rimelog/analysis/robust"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// stateColumns are the samples columns of the readings of a State, in the order of
// its parts.
var stateColumns = [...]string{
	"suction_pressure_kpa", "discharge_pressure_kpa", "liquid_pressure_kpa", "suction_temp_c", "discharge_temp_c", "liquid_temp_c",
	"evaporator_outlet_temp_c", "evaporator_coil_temp_c", "power_kw", "refrigerant_flow_kg_s", "sink_inlet_temp_c", "sink_outlet_temp_c", "sink_flow_m3_h",
	"source_inlet_temp_c", "source_outlet_temp_c", "source_flow_m3_h", "evaporator_air_on_temp_c", "evaporator_air_off_temp_c", "room_humidity_pct",
	"condenser_air_on_temp_c", "condenser_air_off_temp_c", "outdoor_temp_c", "room_temp_c",
}

// Places of some readings among the columns.
const (
	dischargeColumn    = 4
	powerColumn        = 8
	sinkInColumn       = 10
	sinkFlowColumn     = 12
	sourceInColumn     = 13
	sourceFlowColumn   = 15
	evaporatorOnColumn = 16
	condenserOnColumn  = 19
	outdoorColumn      = 21
	roomColumn         = 22
)

// A Log is a stretch of samples of one system, in time order.
type Log struct {
	Time             []int64
	columns          [len(stateColumns)][]float64 // nil where not logged
	current, voltage []float64
	energy           []float64
	running          []table.State

	ran  *[]bool  // what runs said; nil where nobody asked yet
	step *float64 // the same of stepOf
}

// Needed lists the samples columns that a Log reads.
func Needed() []string {
	return append([]string{"time", "current_a", "voltage_v", "energy_kwh", "running"}, stateColumns[:]...)
}

// ReadLog takes the channels of a frame of samples, into the memory of a log that nobody looks
// at any more; nil for none.
func ReadLog(f *frame.Frame, old *Log) *Log {
	l := &Log{Time: f.Times("time")}
	if old == nil {
		old = l
	}
	column := func(name string, room []float64) []float64 {
		if !f.Has(name) {
			return nil
		}
		return f.Floats(room, name)
	}
	for i, name := range stateColumns {
		l.columns[i] = column(name, old.columns[i])
	}
	l.current, l.voltage, l.energy = column("current_a", old.current), column("voltage_v", old.voltage), column("energy_kwh", old.energy)
	if f.Has("running") {
		bits := f.Bits("running")
		l.running = make([]table.State, f.Rows())
		for i := range l.running {
			l.running[i] = bits.State(i)
		}
	}
	return l
}

// Rows is the range of samples from one time to another, both included, in
// microseconds.
func (l *Log) Rows(from, to int64) (i, j int) {
	i, _ = slices.BinarySearch(l.Time, from)
	j, _ = slices.BinarySearch(l.Time, to+1)
	return i, j
}

// State is the mean of the samples from row i up to, not including, j.
func (l *Log) State(i, j int) State {
	s := NewState()
	for k, reading := range s.parts() {
		if l.columns[k] != nil {
			*reading = mean(l.columns[k][i:j])
		}
	}
	return s
}

func meanOf(x []float64, i, j int) float64 {
	if x == nil {
		return math.NaN()
	}
	return mean(x[i:j])
}

// at is the readings of one row.
func (l *Log) at(i int) State {
	s := NewState()
	for k, reading := range s.parts() {
		if l.columns[k] != nil {
			*reading = l.columns[k][i]
		}
	}
	return s
}

// runsAbove is the share of a quantity's high values above which a machine counts
// as running.
const runsAbove = 0.1

// runs tells when the compressor ran: as logged, else by power, else by current;
// nil where nothing says so. It is worked out once for a log.
func (l *Log) runs() []bool {
	if l.ran == nil {
		ran := l.ranAt()
		l.ran = &ran
	}
	return *l.ran
}

func (l *Log) ranAt() []bool {
	out := make([]bool, len(l.Time))
	if l.running != nil {
		for i, s := range l.running {
			out[i] = s == table.Yes
		}
		return out
	}
	by := l.columns[powerColumn]
	if by == nil {
		by = l.current
	}
	if by == nil {
		return nil
	}
	high, err := robust.Quantile(by, highest)
	if err != nil {
		return nil
	}
	for from, to := 0, 0; from < len(by); from = to {
		for to = from; to < len(by) && l.Time[to]/dayLong == l.Time[from]/dayLong; to++ {
		}
		full := high
		if own, ok := l.otherUnit(by, high, from, to); ok {
			full = own
		}
		for i := from; i < to; i++ {
			out[i] = by[i] > runsAbove*full
		}
	}
	return out
}

// highest is the quantile that stands for full power.
const highest = 0.95

const dayLong = int64(24 * 3600e6) // microseconds

// otherUnit is the full power of a day whose values are of another unit than most of the
// log's: a thousandth of them, though its pressures stand apart as of a machine that runs.
func (l *Log) otherUnit(by []float64, high float64, from, to int) (full float64, ok bool) {
	own, err := robust.Quantile(by[from:to], highest)
	if err != nil || !(own > 0) || CheckPower(high/own) != RuleWatts {
		return 0, false
	}
	var ratios []float64
	for i := from; i < to; i++ {
		s := l.at(i)
		ratios = append(ratios, s.DischargePressure/s.SuctionPressure)
	}
	ratio, err := robust.Quantile(ratios, highest)
	return own, err == nil && ratio > runningRatio
}

// runningRatio is a pressure ratio that no machine at rest shows (trade practice: one that
// runs has 2 and more).
const runningRatio = 1.5

// Trace is the log as Hours takes it. Heat is metered heat of the machine's mode.
func (l *Log) Trace(m *Machine) Trace {
	t := Trace{Time: l.Time, Power: l.columns[powerColumn], Energy: l.energy, Running: l.runs(), Outdoor: l.outdoor(m), Room: l.room()}
	metered := l.columns[sinkFlowColumn] != nil && m.Mode == Heating || l.columns[sourceFlowColumn] != nil && m.Mode == Cooling
	if metered {
		t.Heat = make([]float64, len(l.Time))
		for i := range t.Heat {
			t.Heat[i] = m.useful(l.at(i))
		}
	}
	return t
}

// outdoor is the temperature of the air outdoors, or of what enters on that side.
func (l *Log) outdoor(m *Machine) []float64 {
	if l.columns[outdoorColumn] != nil {
		return l.columns[outdoorColumn]
	}
	if m.Mode == Heating {
		return l.columns[sourceInColumn]
	}
	if l.columns[condenserOnColumn] != nil {
		return l.columns[condenserOnColumn]
	}
	return l.columns[sinkInColumn]
}

func (l *Log) room() []float64 {
	for _, k := range []int{roomColumn, evaporatorOnColumn, sourceInColumn} {
		if l.columns[k] != nil {
			return l.columns[k]
		}
	}
	return nil
}
