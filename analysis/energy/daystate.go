package energy

import (
	"encoding/json"
	"math"
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
}

// dayNote is how a day's state is kept from night to night.
type dayNote struct {
	Day    time.Time  `json:"day"`
	Hours  float64    `json:"hours"`
	Values []*float64 `json:"values"` // in the order of State.parts
}

// MarshalJSON writes a day down; what is not known is null.
func (d DayState) MarshalJSON() ([]byte, error) {
	note := dayNote{Day: d.Day, Hours: d.Weight, Values: d.State.parts()}
	for i, value := range note.Values {
		if !finite(*value) {
			note.Values[i] = nil
		}
	}
	return json.Marshal(note)
}

// UnmarshalJSON reads what MarshalJSON wrote, to the last digit.
func (d *DayState) UnmarshalJSON(text []byte) error {
	var note dayNote
	if err := json.Unmarshal(text, &note); err != nil {
		return err
	}
	*d = DayState{note.Day, NewState(), note.Hours}
	for i, part := range d.State.parts() {
		if i < len(note.Values) && note.Values[i] != nil {
			*part = *note.Values[i]
		}
	}
	return nil
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
}

// JoinDays appends days that follow; the first of them may be the last one's other half.
func JoinDays(days, more []DayState) []DayState {
	if len(days) > 0 && len(more) > 0 && DayNumber(days[len(days)-1].Day) == DayNumber(more[0].Day) {
		days[len(days)-1].join(more[0])
		more = more[1:]
	}
	return append(days, more...)
}
