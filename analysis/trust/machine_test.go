package trust

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A scene is a visit to an R134a cold room at -10/40 °C: saturation at 200.6 and
// 1016.6 kPa (Tillner-Roth & Baehr 1994), superheat 8 K, subcooling 5 K, a valve that
// hunts by 2 K with 85 s, and probes with noise of 0.05 K.
type scene struct {
	refrigerant string
	minutes     float64
	step        float64 // s
	standing    float64 // minutes at standstill first
	altitude    float64
	swing       float64 // K
	spoil       func(t float64, x *cycle.Row)
	paths       []string
	without     []cycle.Quantity
	subcooler   table.State
	off         bool    // the running mask says that it stands
	airOff      float64 // K below the air that enters the evaporator, leaving it; 0: not logged
}

func usualScene() scene {
	return scene{refrigerant: "R134a", minutes: 40, step: 10, swing: 2, paths: []string{"CR-01/2024-03-05-log.csv"}}
}

var logged = []cycle.Quantity{
	cycle.SuctionPressure, cycle.DischargePressure, cycle.SuctionTemp, cycle.DischargeTemp, cycle.LiquidTemp, cycle.OutdoorTemp, cycle.EvaporatorAirOn, cycle.Power,
}

// sample is the machine at a time in seconds since it was connected.
func (s scene) sample(t float64, r *rand.Rand) cycle.Row {
	x := cycle.NewRow()
	phase := 2 * math.Pi * t / 85
	if t < s.standing*60 { // each side over liquid at 20 °C: 571.7 kPa (same source)
		for _, q := range logged {
			x[q] = 20
		}
		x[cycle.SuctionPressure], x[cycle.DischargePressure], x[cycle.Power] = 571.7, 571.7, 0
	} else {
		x[cycle.SuctionPressure] = 200.6 * (1 + 0.0195*s.swing/2*math.Sin(phase-1))
		x[cycle.DischargePressure] = 1016.6 * (1 + 0.009*s.swing/2*math.Sin(phase-2))
		x[cycle.SuctionTemp] = -2 + 1.2*s.swing/2*math.Sin(phase)
		x[cycle.LiquidTemp] = 35 + 0.63*s.swing/2*math.Sin(phase-3.4)
		x[cycle.DischargeTemp], x[cycle.OutdoorTemp], x[cycle.EvaporatorAirOn], x[cycle.Power] = 75, 28, -2, 2.5
	}
	if s.spoil != nil {
		s.spoil(t, &x)
	}
	for _, q := range logged {
		noise := 0.05
		switch q {
		case cycle.SuctionPressure, cycle.DischargePressure:
			noise = 0.001 * x[q]
		case cycle.Power:
			noise = 0.004 * x[q]
		}
		x[q] += noise * r.NormFloat64()
	}
	return x
}

// look plays the scene and looks at it.
func (s scene) look(t *testing.T, seed uint64) Facts {
	t.Helper()
	sys := register.NewSystem("CR-01")
	sys.Subcooler = s.subcooler
	sys.Kind, sys.RefrigerantName, sys.Altitude = register.ColdRoom, s.refrigerant, s.altitude
	circuit, err := cycle.NewCircuit(sys)
	if err != nil {
		t.Fatal(err)
	}
	c := s.columns(seed)
	screened := Screen(c, Site{Air: 101.325})
	circuit.Derive(c, 0, c.Rows())
	on := make([]bool, c.Rows())
	for i := range on {
		on[i] = !s.off && (c.At(cycle.Power, i) > 0.5 || math.IsNaN(c.At(cycle.Power, i)))
	}
	return Look(Visit{
		Circuit: circuit, Columns: c, From: 0, To: c.Rows(), On: on, Paths: s.paths, Screened: screened,
		Limits: circuit.Generic(), Air: 101.325, Headers: map[string]string{"suction_pressure": "Low [bar]"},
	})
}

func (s scene) columns(seed uint64) *cycle.Columns {
	r := rand.New(rand.NewPCG(seed, 1))
	c := &cycle.Columns{}
	start := int64(1709632800) // 2024-03-05 10:00 UTC
	n := int(s.minutes * 60 / s.step)
	for _, q := range logged {
		c.Values[q] = make([]float64, n)
	}
	for i := range n {
		at := float64(i) * s.step
		c.Time = append(c.Time, (start+int64(at))*1e6)
		x := s.sample(at, r)
		for _, q := range logged {
			c.Values[q][i] = x[q]
		}
	}
	if s.airOff > 0 {
		for range n {
			c.Values[cycle.EvaporatorAirOff] = append(c.Values[cycle.EvaporatorAirOff], -2-s.airOff)
		}
	}
	for _, q := range s.without {
		c.Values[q] = nil
	}
	return c
}

func rulesOf(f Facts) (ids []string) {
	for _, d := range f.Doubts {
		ids = append(ids, d.Rule)
	}
	return ids
}
