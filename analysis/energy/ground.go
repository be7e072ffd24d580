package energy

import (
	"math"

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
	source, apart := spread{}, spread{}
	heats := false
	for _, d := range days {
		if d.Mode == Cooling {
			return out
		}
		heats = heats || d.Mode == Heating
		if !finite(d.Room + d.Outdoor) {
			continue
		}
		apart.add(d.Room - d.Outdoor)
		if source.n < longest {
			source.add(d.Room)
		}
	}
	if !heats || !(apart.sd() > leastGround) {
		return out
	}
	for i, d := range days {
		if finite(d.Room + d.Outdoor) {
			out[i] = d.Room - source.mean
		}
	}
	return out
}

// A spread is the mean and squares of values (West, Commun. ACM 22, 1979).
type spread struct{ n, mean, square float64 }

func (s *spread) add(x float64) {
	s.n++
	apart := x - s.mean
	s.mean += apart / s.n
	s.square += apart * (x - s.mean)
}

func (s spread) sd() float64 { return math.Sqrt(s.square / (s.n - 1)) }
