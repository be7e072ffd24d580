package energy

import (
	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// Ground and the water in it follow the seasons weeks late: at one outdoor temperature a machine
// that takes heat from them needs more electricity in spring than in autumn. Days before an event
// in autumn and days after it would differ by that, and it would be taken for the event's.

// leastGround is by how much the temperature of what heat comes from must differ from day to day
// from the outdoor air's to be another one's, K as a standard deviation. Air that enters an
// evaporator, or recirculates, stays within 1 to 2 K of it (common practice, no source).
const leastGround = 3.0

// grounds are by how much what heat comes from was warmer than in the mean of its first year, K,
// so that days that come in move none before them; all 0 where the machine cools, or takes heat
// from the outdoor air. Days of which it is not known have 0.
func grounds(days []table.EnergyDay) []float64 {
	out := make([]float64, len(days))
	var source, apart []float64
	heats := false
	for _, d := range days {
		if d.Mode == Cooling {
			return out
		}
		heats = heats || d.Mode == Heating
		if !finite(d.Room + d.Outdoor) {
			continue
		}
		apart, source = append(apart, d.Room-d.Outdoor), append(source, d.Room)
	}
	usual, _, _, err := robust.Mean(source[:min(longest, len(source))])
	if _, sd, _, _ := robust.Mean(apart); !heats || err != nil || !(sd > leastGround) {
		return out
	}
	for i, d := range days {
		if finite(d.Room + d.Outdoor) {
			out[i] = d.Room - usual
		}
	}
	return out
}
