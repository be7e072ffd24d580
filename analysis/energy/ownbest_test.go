package energy

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// fouling is two years of days of a machine whose condenser takes 8 K at 0 °C outdoors and
// a tenth of a kelvin more per kelvin of weather, with some scatter, and more K from the
// second year on.
func fouling(t *testing.T, scatter, more float64) (*Machine, []DayState) {
	m, s := machine(t)
	r := rand.New(rand.NewPCG(41, uint64(100*scatter)))
	var days []DayState
	for d := range 2 * 365 {
		outdoor := 24 - 7*math.Cos(2*math.Pi*float64(d)/365) + 3*r.NormFloat64()
		difference := 8 + 0.1*outdoor + scatter*r.NormFloat64()
		if d >= 365 {
			difference += more
		}
		state := s
		state.Outdoor, state.SinkIn, state.SourceIn = outdoor, outdoor, 4
		state.DischargePressure = m.pressureAt(outdoor + difference)
		state.LiquidTemp = m.condensing(state) - 5
		days = append(days, DayState{Day: time.Date(2023, 1, 1+d, 0, 0, 0, 0, time.UTC), State: state, Weight: 10})
	}
	return m, days
}

// Walking through days by temperature finds of each those that are nearest, ties from the
// colder side, as looking for them from each day anew does.
func TestLikeDaysAreTheNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(16, 23))
	for n := 1; n < 200; n += 7 {
		outdoor := make([]float64, n)
		for i := range outdoor {
			outdoor[i] = math.Round(r.NormFloat64() * float64(n%5)) // with ties, all of one temperature too
		}
		l := likeDays(robust.Order(outdoor), outdoor)
		for at := range l.order {
			from := l.from(at)
			if got, want := l.order[from:l.to], nearest(l.order, outdoor, at, l.n); !slices.Equal(got, want) {
				t.Fatalf("%d days, place %d: %v, want %v", n, at, got, want)
			}
		}
	}
}

// The own best is that of the same weather: a warm day is not held against a cold one, mere
// scatter is nothing to restore, and a condenser that takes 4 K more in the second year has
// 4 K to gain, at 2 to 3 % per kelvin (common practice, no source).
func TestOwnBestIsOfTheSameWeather(t *testing.T) {
	for _, c := range []struct{ scatter, more, within float64 }{{0, 0, 0.1}, {0.8, 0, 0.2}, {0.8, 4, 0.4}} {
		m, days := fouling(t, c.scatter, c.more)
		for _, row := range LossRows(m, days, 1000, math.NaN(), register.Tariff{}) {
			if row.Part != CondenserLoss {
				continue
			}
			near(t, "K to restore", row.K-row.Best, c.more, c.within)
			if least, most := 1.5*(c.more-c.within), 3.5*(c.more+c.within); row.Gain < least || row.Gain > most {
				t.Errorf("scatter %g K, %g K more: gain %.2f %%, want %.2f to %.2f", c.scatter, c.more, row.Gain, least, most)
			}
		}
	}
}

// nearest are n days about a place in the order of outdoor temperature, those nearest to it.
func nearest(order []int, outdoor []float64, at, n int) []int {
	from, to := at, at+1
	off := func(i int) float64 { return math.Abs(outdoor[order[i]] - outdoor[order[at]]) }
	for to-from < min(n, len(order)) {
		if to == len(order) || from > 0 && off(from-1) <= off(to) {
			from--
		} else {
			to++
		}
	}
	return order[from:to]
}
