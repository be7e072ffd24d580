package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"rimelog/pipeline/table"
)

// atRest draws a machine of which something begins at the twelfth visit, and gives the odds of
// a kind after three more.
func atRest(kind string, change func(v *table.Visit, after bool)) float64 {
	visits := machine{visits: 15, every: month, noise: 0.5}.draw(rand.New(rand.NewPCG(4, 9)))
	for i := range visits {
		change(&visits[i], i >= 12)
	}
	odds := math.Inf(-1)
	for _, c := range Causes(system(), nil, visits, Options{}) {
		if c.Kind == kind && c.DecidedOn.Equal(visits[14].Start) {
			odds = c.Odds
		}
	}
	return odds
}

// Dalton's law: gas that does not condense adds its own pressure, at rest as well; a condenser
// with too much charge in it stands at saturation (the usual check of the trade).
func TestTheStandstillTellsGas(t *testing.T) {
	gas := func(rest float64) func(*table.Visit, bool) {
		return func(v *table.Visit, after bool) {
			v.StandstillExcess = 0
			if after {
				v.Subcooling, v.CondenserTD, v.StandstillExcess = v.Subcooling+2.5, v.CondenserTD+2.5, rest
			}
		}
	}
	unknown := func(v *table.Visit, after bool) {
		gas(0)(v, after)
		v.StandstillExcess = math.NaN()
	}
	if with, without, against := atRest(Gas, gas(4)), atRest(Gas, unknown), atRest(Gas, gas(0)); !(with > without+3 && against < without-1) {
		t.Errorf("odds of gas: %.1f with a standstill above saturation, %.1f with none, %.1f with one at saturation", with, without, against)
	}
}

// Gibbs' phase rule: as long as liquid is left, pressure follows temperature alone, so that a
// standstill at saturation does not speak against a loss, but for what a baseline may get wrong.
func TestTheStandstillIsSilentOnALoss(t *testing.T) {
	loss := func(rest float64) float64 {
		return atRest(ChargeLoss, func(v *table.Visit, after bool) {
			v.StandstillExcess = rest
			if after {
				v.Subcooling -= 4
			}
		})
	}
	if saturated, unknown := loss(0), loss(math.NaN()); math.Abs(saturated-unknown) > 1 {
		t.Errorf("odds of a loss: %.1f with a standstill at saturation, %.1f with none", saturated, unknown)
	}
	gone := atRest(ChargeLoss, func(v *table.Visit, after bool) {
		v.StandstillExcess = 0
		if after {
			v.Subcooling, v.StandstillExcess = v.Subcooling-4, -7
		}
	})
	if saturated := loss(0); !(gone > saturated+2) {
		t.Errorf("odds of a loss: %.1f with nothing but gas left, %.1f with liquid", gone, saturated)
	}
}
