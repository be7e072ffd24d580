package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// atRest draws machines of which something begins at the twelfth visit, and gives the middle of
// the odds of a kind after three more.
func atRest(kind string, change func(v *table.Visit, after bool)) float64 {
	return atRestOf(system(), kind, change)
}

// atRestOf is the same of a system.
func atRestOf(s register.System, kind string, change func(v *table.Visit, after bool)) float64 {
	const drawn = 9
	var odds []float64
	rng := rand.New(rand.NewPCG(4, 9))
	for range drawn {
		odds = append(odds, oddsAtRest(s, kind, change, rng))
	}
	slices.Sort(odds)
	return odds[drawn/2]
}

// oddsAtRest draws one of them. Odds that are not kept count as less than those that are.
func oddsAtRest(s register.System, kind string, change func(v *table.Visit, after bool), rng *rand.Rand) float64 {
	visits := machine{visits: 15, every: month, noise: 0.5}.draw(rng)
	for i := range visits {
		change(&visits[i], i >= 12)
	}
	odds := 2 * leastOdds
	for _, c := range Causes(s, nil, visits, Options{}) {
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

// Behind a fixed opening the pressure that gas adds pushes liquid on into the evaporator (flow
// through an orifice rises with the pressure before it): superheat falls, and subcooling need
// not rise with the condensing pressure. The standstill tells such gas from a fouled condenser.
func TestGasBehindAFixedOpening(t *testing.T) {
	s := system()
	s.Expansion = register.Orifice
	gas := func(v *table.Visit, after bool) {
		v.StandstillExcess = 0
		if after {
			v.Subcooling, v.Superheat, v.CondenserTD, v.StandstillExcess = v.Subcooling-1, v.Superheat-6, v.CondenserTD+2.5, 3
		}
	}
	if airs, fouls := atRestOf(s, Gas, gas), atRestOf(s, CondenserFouling, gas); airs < fouls+3 {
		t.Errorf("odds of gas %.1f, of a fouled condenser %.1f", airs, fouls)
	}
	running := func(v *table.Visit, after bool) {
		if after {
			v.Subcooling, v.CondenserTD = v.Subcooling-1, v.CondenserTD+2.5
		}
	}
	if opening, valve := atRestOf(s, Gas, running), atRest(Gas, running); opening < valve+3 {
		t.Errorf("subcooling did not rise: odds of gas %.1f behind a fixed opening, %.1f behind a valve", opening, valve)
	}
	fouled := func(v *table.Visit, after bool) {
		v.StandstillExcess = 0
		if after {
			v.CondenserTD += 4
		}
	}
	if airs, fouls := atRestOf(s, Gas, fouled), atRestOf(s, CondenserFouling, fouled); fouls < airs+3 {
		t.Errorf("at saturation: odds of gas %.1f, of a fouled condenser %.1f", airs, fouls)
	}
}

// Much gas behind a fixed opening moves every gauge at once: the first visit that shows it tells
// (Dalton's law, and the flow through an orifice). Dirt of a condenser shows at no single visit.
func TestOneVisitTellsMuchGasBehindAFixedOpening(t *testing.T) {
	s := system()
	s.Expansion = register.Orifice
	seen := func(change func(v *table.Visit)) table.Cause {
		visits := machine{visits: 13, every: month, noise: 0.5}.draw(rand.New(rand.NewPCG(4, 9)))
		change(&visits[12])
		for _, c := range Causes(s, nil, visits, Options{}) {
			if c.Kind == Gas && c.DecidedOn.Equal(visits[12].Start) {
				return c
			}
		}
		return table.Cause{Odds: math.Inf(-1)}
	}
	p, _ := find(Gas)
	gas := seen(func(v *table.Visit) {
		v.Subcooling, v.Superheat, v.CondenserTD, v.EvaporatorTD = v.Subcooling+13, v.Superheat-7, v.CondenserTD+30, v.EvaporatorTD-5
		v.CondensingTemp, v.EvaporatingTemp = v.CondensingTemp+30, v.EvaporatingTemp+5
	})
	if !p.holds(gas) {
		t.Errorf("gas at the first visit: odds %.1f, probability %.2f; want a finding", gas.Odds, gas.Probability)
	}
	if dirt := seen(func(v *table.Visit) { v.CondenserTD += 6 }); p.holds(dirt) {
		t.Errorf("a condenser's difference up at one visit: odds of gas %.1f; want no finding", dirt.Odds)
	}
}
