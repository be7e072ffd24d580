package drift

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A fan or a pump that runs otherwise from some day on moves the evaporator's difference at
// once and then no more: ten visits later that is told from dirt, whose difference has grown to
// the same meanwhile.
func TestAnEvaporatorThatChangedAtOnceIsNotDirty(t *testing.T) {
	const moved, from = 1.6, 20
	for name, grows := range map[string]func(months float64) float64{
		EvaporatorFouling: func(months float64) float64 { return months / 10 },
		Unclear:           func(float64) float64 { return 1 },
	} {
		rng := rand.New(rand.NewPCG(5, 9))
		right := 0
		for range 20 {
			visits := machine{visits: 30, every: month, noise: 0.3}.draw(rng)
			for i := range visits[from:] {
				visits[from+i].EvaporatorTD += moved * grows(float64(i+1))
			}
			causes := Causes(system(), nil, visits, Options{})
			last := causes[len(causes)-1].DecidedOn
			if slices.ContainsFunc(causes, func(c table.Cause) bool { return c.DecidedOn.Equal(last) && c.Kind == name && c.Probability > 0.6 }) {
				right++
			}
		}
		if right < 15 {
			t.Errorf("%s at %d machines of 20", name, right)
		}
	}
}

// Where the register does not say what feeds the evaporator, dirt on it is told whether
// superheat stays, as behind a valve, or falls with the evaporating temperature, as behind a
// fixed opening: by 2.2 K for each (see faults).
func TestDirtIsToldBehindAnExpansionDeviceThatNobodyNames(t *testing.T) {
	s := system()
	s.Expansion = register.ExpansionUnknown
	for name, perK := range map[string]float64{"a valve": 0.3, "a fixed opening": -2.2} {
		rng := rand.New(rand.NewPCG(6, 9))
		found := 0
		for range 10 {
			visits := machine{visits: 30, every: month, noise: 0.3}.draw(rng)
			for i := range visits[15:] {
				v := &visits[15+i]
				v.EvaporatorTD += 0.2 * float64(i)
				v.Superheat += perK * 0.2 * float64(i)
			}
			causes := Causes(s, nil, visits, Options{})
			for _, f := range Findings(s, nil, nil, nil, causes, time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC), Options{}) {
				if f.Kind == EvaporatorFouling {
					found++
				}
			}
		}
		if found < 8 {
			t.Errorf("behind %s: found at %d machines of 10", name, found)
		}
	}
}

// Both devices stand in the list, kind by kind, and begin as often together as one does.
func TestFaultsBehindEitherDevice(t *testing.T) {
	s := system()
	hazards := func() map[string]float64 {
		out, last := map[string]float64{}, -1
		for _, f := range faults(s, setting{}) {
			if rankOf(f.kind) < last && s.Expansion == register.ExpansionUnknown {
				t.Errorf("%s comes after another kind", f.kind)
			}
			last = rankOf(f.kind)
			out[f.kind] += f.hazard
		}
		return out
	}
	s.Expansion = register.ExpansionUnknown
	either := hazards()
	s.Expansion = register.Thermostatic
	for kind, h := range hazards() {
		if kind == EvaporatorFouling && either[kind] != h {
			t.Errorf("%s begins %g times a year behind either device, %g behind a valve", kind, either[kind], h)
		}
	}
}
