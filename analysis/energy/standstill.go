package energy

import (
	"cmp"
	"slices"

	"rimelog/pipeline/table"
)

// A machine that its safety chain keeps off, or that somebody switched off, uses nothing for
// days. They say nothing of what it costs to run: counted, a month of them before an event
// would make the event a waste, and one after it a saving of all electricity. An air
// conditioner that stands in the cold as it always does is another matter: those days tell
// where its line begins.

// Rules of a standstill (engineering choices, no source).
const (
	leastRunning = 0.1  // h of running in a day, below which the machine stood
	idleShare    = 0.1  // of the electricity of like days, the same where nothing tells its running: fans and heaters go on
	likeStanding = 40   // days nearest in outdoor temperature are like a day
	mostlyRuns   = 0.75 // of like days with running, from which standing is unusual
)

// standstills tells of each day, in time order, whether the machine stood in weather in which
// it mostly runs; so do the days beside them, on which that began or ended.
func standstills(days []table.EnergyDay) []bool {
	out := make([]bool, len(days))
	order := byWeather(days)
	like := newLikely(order.days, order.outdoor, likeStanding)
	for at, i := range order.days {
		if days[i].Running >= leastRunning || !order.unusual(days, i, like.order[like.from(at):like.to]) {
			continue
		}
		for k := max(0, i-1); k <= min(len(days)-1, i+1); k++ {
			out[k] = out[k] || DayNumber(days[k].Day)-DayNumber(days[i].Day) <= 1 && DayNumber(days[i].Day)-DayNumber(days[k].Day) <= 1
		}
	}
	return out
}

// A weatherOrder is the complete days by their outdoor temperature.
type weatherOrder struct {
	days    []int
	outdoor []float64 // of every day
	kwh     []float64
}

func byWeather(days []table.EnergyDay) (o weatherOrder) {
	for i, d := range days {
		o.outdoor, o.kwh = append(o.outdoor, d.Outdoor), append(o.kwh, d.KWh)
		if d.Complete {
			o.days = append(o.days, i)
		}
	}
	slices.SortStableFunc(o.days, func(a, b int) int { return cmp.Compare(days[a].Outdoor, days[b].Outdoor) })
	return o
}

// unusual tells whether the machine stood on a day, and ran on most like it.
func (o weatherOrder) unusual(days []table.EnergyDay, day int, like []int) bool {
	least := idleShare * quantileOf(o.kwh, like, mostlyRuns)
	stood := func(i int) bool {
		if d := days[i]; finite(d.Running) {
			return d.Running < leastRunning
		}
		return days[i].KWh < least
	}
	ran := 0
	for _, i := range like {
		if !stood(i) {
			ran++
		}
	}
	return stood(day) && float64(ran) >= mostlyRuns*float64(len(like))
}
