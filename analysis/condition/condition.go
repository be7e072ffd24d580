package condition

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rimelog/pipeline/table"
)

// Of puts together what was watched with the visits it belongs to: a row for each
// visit, or part of one, that was watched. Hidden tells whether something that rests on a
// channel of samples is hidden at a visit, because the data are in doubt. Watches come in
// time order.
func Of(visits []table.Visit, watches []Watch, hidden func(v table.Visit, channel string) bool) []table.Condition {
	out := []table.Condition{}
	for _, v := range visits {
		if v.Mode == Heats {
			continue // reversed, other limits hold
		}
		w, ok := watchOf(v, watches)
		if !ok {
			continue
		}
		out = append(out, condition(v, w, hidden))
	}
	return out
}

// Heats is the mode of a visit at which the circuit ran the other way round.
const Heats = "heating"

// watchOf joins the stretches of a visit.
func watchOf(v table.Visit, watches []Watch) (w Watch, ok bool) {
	from, to := v.Start.UnixMicro(), max(v.End.UnixMicro(), v.Start.UnixMicro()+1)
	first, _ := slices.BinarySearchFunc(watches, from, func(x Watch, t int64) int { return cmp.Compare(x.Start, t) })
	for _, x := range watches[first:] {
		if x.Start >= to {
			break
		}
		if !ok {
			w, ok = x, true
			continue
		}
		w.join(x)
	}
	return w, ok
}

// rests are the channels of samples that each thing watched rests on.
func rests(k int) []string {
	switch k {
	case wet:
		return []string{"suction_pressure_kpa", "suction_temp_c", "evaporator_outlet_temp_c", "discharge_pressure_kpa", "discharge_temp_c"}
	case hot:
		return []string{"discharge_temp_c"}
	case high:
		return []string{"suction_pressure_kpa", "discharge_pressure_kpa"}
	case flash:
		return []string{"discharge_pressure_kpa", "liquid_pressure_kpa", "liquid_temp_c"}
	case stop:
		return []string{"valve_opening_pct"}
	}
	return []string{"room_temp_c"}
}

func condition(v table.Visit, w Watch, hidden func(table.Visit, string) bool) table.Condition {
	for k := range w.Beyond {
		for _, channel := range rests(k) {
			if hidden(v, channel) {
				w.Beyond[k] = Beyond{}
			}
		}
	}
	c := table.Condition{
		Start: v.Start, End: v.End, Observed: w.Observed, Watched: w.Watched, Starts: w.Starts, Told: w.Told,
		Superheat: v.Superheat, SuperheatU: v.SuperheatU, DischargeU: v.DischargeU, SubcoolingU: v.SubcoolingU,
		OutdoorTemp: v.OutdoorTemp,
	}
	if slices.ContainsFunc(rests(wet), func(channel string) bool { return !strings.HasPrefix(channel, "discharge") && hidden(v, channel) }) {
		c.Superheat = math.NaN()
	}
	c.Wet, c.WetLongest, c.WetSuperheat = w.Beyond[wet].row()
	c.Hot, c.HotLongest, c.HotTemp = w.Beyond[hot].row()
	c.High, c.HighLongest, c.PressureRatio = w.Beyond[high].row()
	c.Flash, c.FlashLongest, c.FlashSubcooling = w.Beyond[flash].row()
	c.Stop, c.StopLongest, c.ValveOpening = w.Beyond[stop].row()
	c.Warm, c.WarmLongest, c.RoomTemp = w.Beyond[warm].row()
	c.WetDischarge, c.RoomRate = math.NaN(), math.NaN()
	if b := w.Beyond[wet]; b.Minutes > 0 {
		c.WetDischarge = b.Second / b.Minutes
	}
	if b := w.Beyond[warm]; b.To > b.From {
		c.RoomRate = (b.Last - b.First) / (b.To - b.From)
	}
	return c
}

// row is the time beyond a limit, the longest of it and the mean of the quantity then.
// What could be seen in less than half of a visit's watched time is still told by the
// minutes; what could not be seen at all is unknown.
func (b Beyond) row() (minutes, longest, mean float64) {
	if b.Known == 0 {
		return math.NaN(), math.NaN(), math.NaN()
	}
	if b.Minutes == 0 {
		return 0, 0, math.NaN()
	}
	return b.Minutes, b.Longest, b.Sum / b.Minutes
}
