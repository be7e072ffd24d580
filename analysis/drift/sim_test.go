package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A machine is an invented one whose visits are drawn, not simulated: values that
// follow the season, scatter, and change as told. It knows nothing of physics but
// the signs, so it tests statistics only.
type machine struct {
	visits   int
	every    time.Duration
	noise    float64 // K, of subcooling; the other features scatter in proportion
	offset   float64 // K, of an instrument set's saturation temperatures
	sets     int     // instrument sets in use; 0 leaves them unnamed
	handover int     // the visit from which on set 2 is used instead of set 1; 0 never
	leak     float64 // K of subcooling a year
	fouling  float64 // K of condenser difference a year
	icing    float64 // K of evaporator difference a year
	from     int     // the visit from which on it changes
}

// draw makes the visits of a machine, from a start that depends on the dice.
func (m machine) draw(rng *rand.Rand) []table.Visit {
	start := time.Date(2020, 1, 1, 10, 0, 0, 0, time.UTC).AddDate(0, 0, rng.IntN(365))
	offsets := make([]float64, m.sets+1)
	for i := range offsets {
		offsets[i] = m.offset * rng.NormFloat64()
	}
	var out []table.Visit
	for i := range m.visits {
		at := start.Add(time.Duration(i)*m.every + time.Duration(rng.IntN(6*24))*time.Hour)
		set := m.set(i, rng)
		v := m.visit(at, offsets[set], years(at.Sub(start)), years(time.Duration(m.from)*m.every), rng)
		if m.sets > 0 {
			v.Instruments = fmt.Sprintf("S%d", set)
		}
		out = append(out, v)
	}
	return out
}

func years(d time.Duration) float64 { return d.Hours() / 24 / 365.25 }

func (m machine) set(visit int, rng *rand.Rand) int {
	switch {
	case m.sets == 0:
		return 0
	case m.handover > 0 && visit < m.handover:
		return 1
	case m.handover > 0:
		return 2
	}
	return 1 + rng.IntN(m.sets)
}

func (m machine) visit(at time.Time, offset, t, from float64, rng *rand.Rand) table.Visit {
	scatter := func(relative float64) float64 { return relative * m.noise * rng.NormFloat64() }
	outdoor := 10 - 11*math.Cos(2*math.Pi*float64(at.YearDay())/365) + 3*rng.NormFloat64()
	since := math.Max(0, t-from)
	lost := math.Min(m.leak*since, 5)
	high := offset + scatter(0.5) // the pressure's own error moves all that counts from it
	return table.Visit{
		Start: at, End: at.Add(time.Hour), Part: table.Whole, Use: table.UseTrend, Windows: 8,
		OutdoorTemp: outdoor, RoomTemp: 4 + 0.5*rng.NormFloat64(),
		CondensingTemp:     outdoor + 11,
		Subcooling:         6 + 0.05*(outdoor-10) - lost + high + scatter(0.87),
		Superheat:          7 + 0.03*(outdoor-10) + scatter(1.4),
		CondenserTD:        11 - 0.08*(outdoor-10) + m.fouling*since + high + scatter(0.9),
		EvaporatorTD:       8 + m.icing*since + scatter(1.1),
		DischargeSuperheat: 28 + 0.2*(outdoor-10) - high + scatter(3),
		ReceiverLevel:      math.NaN(), StandstillExcess: math.NaN(),
		SubcoolingU: m.offset, CondenserTDU: m.offset, SuperheatU: m.offset, EvaporatorTDU: m.offset, DischargeU: m.offset,
	}
}

const month = 730 * time.Hour

func system() register.System {
	s := register.NewSystem("test")
	s.Receiver, s.Expansion = register.NoReceiver, register.Thermostatic
	return s
}

// found runs a machine through all of it.
func found(visits []table.Visit, events ...register.Event) []table.Finding {
	o := Options{}
	return Findings(system(), events, nil, Judge(system(), events, visits, o), Causes(system(), events, visits, o), time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC), o)
}

// raised runs a machine through what raises findings, without the trends that go with
// them.
func raised(visits []table.Visit) []table.Finding {
	return Findings(system(), nil, nil, nil, Causes(system(), nil, visits, Options{}), time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC), Options{})
}
