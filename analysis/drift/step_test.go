package drift

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// steps are what the logs of an invented machine of 2 kg show when subcooling changes by a
// step after its twelfth visit, and a row says so much.
func stepsOf(t *testing.T, step float64, kind register.EventKind, kg float64, receiver register.Receiver) []table.StepSeen {
	t.Helper()
	s := system()
	s.Kind, s.Charge.KG, s.DesignSubcooling, s.Receiver = register.ColdRoom, 2, 7.5, receiver
	visits := machine{visits: 24, every: 20 * 24 * time.Hour, noise: 0.3}.draw(rand.New(rand.NewPCG(9, 9)))
	for i := range visits {
		visits[i].OutdoorTemp = 20
		visits[i].Subcooling = 6 + 0.2*math.Sin(float64(7*i))
		if i >= 12 {
			visits[i].Subcooling += step
		}
	}
	var events []register.Event
	if kind != register.EventUnknown {
		events = []register.Event{{Kind: kind, KG: kg, Time: visits[12].Start.Add(-time.Hour), HasTime: true}}
	}
	r := NewRecord(s, events, visits, Options{})
	return r.Steps(r.Baselines(nil, nil, future))
}

// With 7.5 K of design subcooling, 41.1 K belong to the whole charge (Li & Braun 2009,
// K_ch, from memory): 0.3 kg of 2 kg are 15 %, so 6.2 K.
func TestAnAddedKilogramMustShow(t *testing.T) {
	for _, c := range []struct {
		name string
		step float64
		kind register.EventKind
		kg   float64
		want string
	}{
		{"it shows", 6, register.ChargeAdded, 0.3, StepShows},
		{"less than generic, but there", 3.5, register.ChargeAdded, 0.3, StepShows},
		{"nothing changed", 0, register.ChargeAdded, 0.3, StepMissing},
		{"the wrong way", -4, register.ChargeAdded, 0.3, StepMissing},
		{"recovered", -5, register.Recovered, -0.3, StepShows},
		{"too little to see", 0, register.ChargeAdded, 0.02, StepUnknown},
		{"without a row", 4, register.EventUnknown, 0, StepUnrecorded},
	} {
		got := stepsOf(t, c.step, c.kind, c.kg, register.NoReceiver)
		if len(got) != 1 || got[0].Verdict != c.want {
			t.Errorf("%s: got %+v, want %q", c.name, got, c.want)
		}
	}
	if e := stepsOf(t, 6, register.ChargeAdded, 0.3, register.NoReceiver)[0].Expected; math.Abs(e-0.15*41.1) > 0.05 {
		t.Errorf("expected %.2f K, want 15 %% of 41.1 K", e)
	}
	if got := stepsOf(t, 0, register.ChargeAdded, 0.3, register.ReceiverUnknown); len(got) != 1 || got[0].Verdict != StepUnknown {
		t.Errorf("nobody knows whether there is a receiver: got %+v", got)
	}
	if got := stepsOf(t, 0, register.EventUnknown, 0, register.NoReceiver); len(got) != 0 {
		t.Errorf("nothing happened: got %+v", got)
	}
	if got := stepsOf(t, 6, register.ChargeAdded, 0.3, register.HighSideReceiver); len(got) != 0 {
		t.Errorf("behind a receiver subcooling says nothing: got %+v", got)
	}
}
