package energy

import (
	"math"
	"testing"
)

// Law: the parts add up to the whole, whatever the state, the order they are in
// notwithstanding; and better heat exchange shrinks its own part.
func TestSplitIsTheWhole(t *testing.T) {
	for _, mode := range []string{Cooling, Heating} {
		for _, sink := range []float64{28, 33, 38} {
			m, s := machine(t)
			m.Mode = mode
			losses, err := m.Split(Chain{Source: 4, Sink: sink, State: s, FloorK: 3})
			if err != nil {
				t.Fatal(err)
			}
			total := 0.0
			for _, l := range losses {
				total += l.Share
				if l.Part != SubcoolingLoss && l.Part != SuperheatLoss && l.Share < -0.005 { // in heating, a suction line that gains heat helps a little
					t.Errorf("%s, sink %v: %s is %.3f", mode, sink, l.Part, l.Share)
				}
			}
			near(t, mode+": all parts", total, 1, 1e-9)
		}
	}
}

// By hand, R134a, 4 °C room, 33 °C outdoors, evaporating -5, condensing 45 °C: Carnot's work
// between the media is 29/277.15 = 0.1046 per kJ, between -5 and 33 °C 38/268.15 = 0.1417,
// between -5 and 45 °C 50/268.15 = 0.1865. The real one is 1/COP.
func TestSplitByHand(t *testing.T) {
	m, s := machine(t)
	cop := m.Perform(s)[0].COP
	losses, err := m.Split(Chain{Source: 4, Sink: 33, State: s})
	if err != nil {
		t.Fatal(err)
	}
	near(t, CarnotWork, losses[0].Share, 29/277.15*cop, 1e-6)
	near(t, EvaporatorLoss, losses[1].Share, (38/268.15-29/277.15)*cop, 1e-6)
	near(t, CondenserLoss, losses[2].Share, (50-38)/268.15*cop, 1e-6)
	near(t, "evaporator, K", losses[1].K, 9, 1e-3)
	near(t, "condenser, K", losses[2].K, 12, 1e-3)
}

// Common practice, no source: a kelvin of condensing temperature is worth 2 to 3 %
// of the electricity, one of evaporating temperature 2 to 4 %.
func TestSensitivityPerKelvin(t *testing.T) {
	m, s := machine(t)
	for part, want := range map[string][2]float64{CondenserLoss: {0.015, 0.035}, EvaporatorLoss: {0.02, 0.045}} {
		if got := m.Sensitivity(part, s); got < want[0] || got > want[1] {
			t.Errorf("%s: %.4f per K, want %v", part, got, want)
		}
	}
	if got := m.Sensitivity(SubcoolingLoss, s); !(got < 0) {
		t.Errorf("less subcooling saves %v", got)
	}
	if !math.IsNaN(m.Sensitivity(CompressorLosses, s)) {
		t.Error("the compressor has a figure per kelvin")
	}
}
