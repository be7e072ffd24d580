package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// receiver draws visits to a machine with a receiver: the level follows the season by a
// dozen percent, and falls from a visit on; subcooling and superheat stay.
func receiver(rng *rand.Rand, from int, perYear float64) []table.Visit {
	visits := machine{visits: 30, every: month, noise: 0.5}.draw(rng)
	slices.SortFunc(visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
	for i := range visits {
		v := &visits[i]
		gone := math.Max(0, perYear*years(v.Start.Sub(visits[from].Start)))
		v.ReceiverLevel = math.Max(0, 48+0.5*(v.OutdoorTemp-10)+1.5*rng.NormFloat64()-gone)
		v.Subcooling = 1.5 + 0.3*rng.NormFloat64()
	}
	return visits
}

func receiverSystem() register.System {
	s := system()
	s.Receiver, s.Charge.KG = register.HighSideReceiver, 10
	return s
}

// raisedOf runs a machine with a receiver through what raises findings.
func raisedOf(visits []table.Visit, events ...register.Event) []table.Finding {
	s := receiverSystem()
	return Findings(s, events, nil, nil, Causes(s, events, visits, Options{}), future, Options{})
}

// A receiver's level that falls is found before half of what it held is gone, and one that
// only follows the weather is not.
func TestALevelThatFallsIsFoundBeforeHalfIsGone(t *testing.T) {
	const machines = 25
	rng := rand.New(rand.NewPCG(80, 80))
	found, wrong := 0, 0
	for range machines {
		visits := receiver(rng, 12, 20)
		for _, f := range raisedOf(visits) {
			gone := 20 * years(f.RaisedOn.Sub(visits[12].Start))
			switch {
			case f.Kind != ChargeLoss:
			case gone < 2:
				wrong++
			case gone <= 24 && f.Feature == Level:
				found++
			}
		}
		for _, f := range raisedOf(receiver(rng, 0, 0)) {
			wrong += int(is(f.Kind == ChargeLoss))
		}
	}
	if found < 8*machines/10 || wrong > 1 {
		t.Errorf("%d of %d found in time, %d false", found, machines, wrong)
	}
}

// How much charge a percent of the level is, an act shows that was weighed; until then
// nobody says it in kilograms.
func TestALevelIsChargeOnceAnAdditionWasWeighed(t *testing.T) {
	rng := rand.New(rand.NewPCG(81, 81))
	const perPercent, refilled = 1.2, 22 // % of the level for a percent of the charge
	visits := receiver(rng, 8, 18)
	plain := raisedOf(visits)
	if len(plain) != 1 || !math.IsNaN(plain[0].LossPct) || plain[0].LimitedBy == "" {
		t.Fatalf("without a weighed addition: %+v", plain)
	}
	back := 18 * years(visits[refilled].Start.Sub(visits[8].Start))
	for i := refilled; i < len(visits); i++ {
		visits[i].ReceiverLevel += back
	}
	f := raisedOf(visits, register.Event{Kind: register.ChargeAdded, Time: visits[refilled].Start.Add(-1), HasTime: true, KG: back / perPercent / 10})
	const rate = 18 / perPercent
	if len(f) != 1 || f[0].CalibratedBy != 1 || f[0].LossPctLo > rate || f[0].LossPctHi < rate {
		t.Errorf("want %.0f %% a year: %+v", rate, f)
	}
}
