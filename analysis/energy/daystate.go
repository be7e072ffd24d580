package energy

import (
	"encoding/binary"
	"errors"
	"math"
	"math/bits"
	"time"

	"rimelog/pipeline/table"
)

// A Standing is what the state of a day takes of a window: columns of table.Window.
type Standing struct {
	Start             time.Time `col:"start" doc:"first sample, UTC"`
	End               time.Time `col:"end" doc:"last sample, UTC"`
	SuctionPressure   float64   `col:"suction_pressure_kpa" doc:"mean"`
	DischargePressure float64   `col:"discharge_pressure_kpa" doc:"mean"`
	SuctionTemp       float64   `col:"suction_temp_c" doc:"mean"`
	DischargeTemp     float64   `col:"discharge_temp_c" doc:"mean"`
	LiquidTemp        float64   `col:"liquid_temp_c" doc:"mean"`
	Power             float64   `col:"power_kw" doc:"mean"`
	OutdoorTemp       float64   `col:"outdoor_temp_c" doc:"mean"`
	RoomTemp          float64   `col:"room_temp_c" doc:"mean"`
	EvaporatorTD      float64   `col:"evaporator_td_k" doc:"mean"`
	CondenserTD       float64   `col:"condenser_td_k" doc:"mean"`
}

// settled tells whether a window says how the machine stood in its own mode.
func (m *Machine) settled(w table.EnergyWindow) bool {
	return w.Flag == "" && w.Mode == m.Mode && finite(w.ByStates)
}

// A DayState is the mean state of a day's sound windows.
type DayState struct {
	Day    time.Time
	State  State
	Weight float64 // h in windows
	Cycle  *Cycle  // of the state; nil where it was not worked out, or cannot be
}

// solved is the cycle of a day; false where it has none.
func (d DayState) solved(m *Machine) (Cycle, bool) {
	if d.Cycle != nil {
		return *d.Cycle, true
	}
	if m.Refrigerant == nil {
		return Cycle{}, false
	}
	c, err := m.cycle(d.State)
	return c, err == nil
}

// isSolved is the bit of a packed day with a cycle, beyond those of its readings.
const isSolved = 1 << 31

// PackDays appends days to buf, to the last digit: how they are kept from night to night. Of
// each, its time, its hours, which readings are known and whether its cycle is, as bits, and these.
func PackDays(buf []byte, days []DayState) []byte {
	for _, d := range days {
		buf = binary.LittleEndian.AppendUint64(buf, uint64(d.Day.UnixMicro()))
		buf = binary.LittleEndian.AppendUint64(buf, math.Float64bits(d.Weight))
		known, at := uint32(0), len(buf)
		buf = append(buf, 0, 0, 0, 0)
		for i, value := range d.State.parts() {
			if finite(*value) {
				known |= 1 << i
				buf = binary.LittleEndian.AppendUint64(buf, math.Float64bits(*value))
			}
		}
		if d.Cycle != nil {
			known |= isSolved
			for _, value := range d.Cycle.parts() {
				buf = binary.LittleEndian.AppendUint64(buf, math.Float64bits(*value))
			}
		}
		binary.LittleEndian.PutUint32(buf[at:], known)
	}
	return buf
}

// errPackedDays says that bytes are no days.
var errPackedDays = errors.New("these are no packed states of days")

// UnpackDays gives the days that PackDays wrote, in the calendar of a zone.
func UnpackDays(packed []byte, zone *time.Location) (days []DayState, err error) {
	if zone == nil {
		zone = time.UTC
	}
	const head = 8 + 8 + 4
	for len(packed) > 0 {
		if len(packed) < head {
			return nil, errPackedDays
		}
		d := DayState{Day: time.UnixMicro(int64(binary.LittleEndian.Uint64(packed))).In(zone), State: NewState(), Weight: math.Float64frombits(binary.LittleEndian.Uint64(packed[8:]))}
		known := binary.LittleEndian.Uint32(packed[16:])
		values := bits.OnesCount32(known &^ isSolved)
		if known&isSolved != 0 {
			d.Cycle = new(Cycle)
			values += len(d.Cycle.parts())
		}
		if packed = packed[head:]; len(packed) < 8*values {
			return nil, errPackedDays
		}
		take := func(to *float64) { *to, packed = math.Float64frombits(binary.LittleEndian.Uint64(packed)), packed[8:] }
		for i, part := range d.State.parts() {
			if known>>i&1 == 1 {
				take(part)
			}
		}
		if d.Cycle != nil {
			for _, part := range d.Cycle.parts() {
				take(part)
			}
		}
		days = append(days, d)
	}
	return days, nil
}

// DayStates takes the means of a day from the windows table, for the windows that
// energy_windows holds to be sound and in the machine's own mode.
func DayStates(m *Machine, windows []Standing, energy []table.EnergyWindow, zone *time.Location) []DayState {
	if zone == nil {
		zone = time.UTC
	}
	settled := map[int64]float64{}
	for _, w := range energy {
		if m.settled(w) {
			settled[w.Start.UnixMicro()] = w.Discharge
		}
	}
	var out []DayState
	last := math.MinInt
	for _, w := range windows {
		discharge, sound := settled[w.Start.UnixMicro()]
		if !sound {
			continue
		}
		w.DischargeTemp = discharge
		local := w.Start.In(zone)
		if n := DayNumber(local); n != last {
			out, last = append(out, DayState{Day: local, State: NewState()}), n
		}
		out[len(out)-1].add(m, w)
	}
	for i := range out {
		if c, ok := out[i].solved(m); ok {
			out[i].Cycle = &c
		}
	}
	return out
}

// add blends a window into the day.
func (d *DayState) add(m *Machine, w Standing) {
	s, hours := NewState(), w.End.Sub(w.Start).Hours()
	s.SuctionPressure, s.DischargePressure = w.SuctionPressure, w.DischargePressure
	s.SuctionTemp, s.DischargeTemp, s.LiquidTemp = w.SuctionTemp, w.DischargeTemp, w.LiquidTemp
	s.Power, s.Outdoor, s.Room = w.Power, w.OutdoorTemp, w.RoomTemp
	source, sink := m.evaporating(s)+w.EvaporatorTD, m.condensing(s)-w.CondenserTD
	s.SourceIn, s.SinkIn = firstOf(source, s.Room), firstOf(sink, s.Outdoor)
	d.join(DayState{State: s, Weight: hours})
}

// join blends two parts of a day.
func (d *DayState) join(o DayState) {
	from := o.State.parts()
	for i, reading := range d.State.parts() {
		*reading, _ = blend(*reading, d.Weight, *from[i], o.Weight)
	}
	d.Weight += o.Weight
	d.Cycle = nil
}

// JoinDays appends days that follow; the first of them may be the last one's other half.
func JoinDays(days, more []DayState) []DayState {
	if len(days) > 0 && len(more) > 0 && DayNumber(days[len(days)-1].Day) == DayNumber(more[0].Day) {
		days[len(days)-1].join(more[0])
		more = more[1:]
	}
	return append(days, more...)
}
