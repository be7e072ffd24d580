package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The two likeliest kinds are named, however unlikely the second: where one fault is certain,
// what to look at next is said all the same.
func TestTheTwoLikeliestAreNamed(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 61))
	found := raised(machine{visits: 30, every: month, noise: 0.3, fouling: 4, from: 10}.draw(rng))
	if len(found) == 0 {
		t.Fatal("no fouling of 4 K a year found")
	}
	for _, f := range found {
		named := slices.DeleteFunc(strings.Split(f.RaisedCauses, "; "), func(s string) bool {
			return strings.HasPrefix(s, Unclear+" ") || strings.HasPrefix(s, "nothing ")
		})
		if len(named) < 2 {
			t.Errorf("%s: causes %q, want two kinds at least", f.Kind, f.RaisedCauses)
		}
	}
	rows := []table.Cause{{Kind: ChargeLoss, Probability: 0.9}, {Kind: Restriction, Probability: 0.0002}, {Kind: Wear, Probability: 0.0001}, {Kind: Unclear, Probability: 0.1}}
	if got, want := told(rows), "charge loss 0.90; liquid line restriction 0.001; unclear 0.10"; got != want {
		t.Errorf("told %q, want %q", got, want)
	}
}

// A coil's fault shows in its own difference, too much charge in subcooling (Rossi & Braun
// 1997): however far superheat fell, a clean condenser is not named for it.
func TestAKindIsToldByItsOwnGauge(t *testing.T) {
	rng := rand.New(rand.NewPCG(62, 62))
	s := system()
	s.Expansion = register.Capillary
	for range 6 {
		visits := machine{visits: 30, every: month, noise: 0.3}.draw(rng)
		for k := range visits {
			visits[k].Superheat -= 10 * math.Max(0, float64(k-14)) / 15
		}
		for _, c := range Causes(s, nil, visits, Options{}) {
			switch {
			case c.Kind == CondenserFouling && c.Feature != CondenserTD, c.Kind == Overcharge && c.Feature != Subcooling:
				t.Fatalf("%s told by %s", c.Kind, c.Feature)
			case c.Kind == Valve:
				t.Fatal("a valve fault of a capillary, which has none")
			}
		}
	}
}

// A worn compressor compresses with less isentropic efficiency (the meaning of the term): one
// that does better by far, as flooding makes it seem, is never called worn.
func TestABetterCompressorIsNotWorn(t *testing.T) {
	visits := machine{visits: 30, every: month, noise: 0.3}.draw(rand.New(rand.NewPCG(63, 63)))
	for k := range visits {
		v := &visits[k]
		v.EvaporatingTemp = -10
		v.IsentropicEfficiency = 0.65 + 0.02*math.Max(0, float64(k-14))
		v.EvaporatorTD -= 0.2 * math.Max(0, float64(k-14))
	}
	for _, c := range Causes(system(), nil, visits, Options{}) {
		if c.Kind == Wear {
			t.Fatalf("wear is weighed: probability %.2f, discharge %+.1f K", c.Probability, c.Size)
		}
	}
}
