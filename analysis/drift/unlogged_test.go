package drift

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"rimelog/analysis/condition"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// lossRaised is how many months after the leak began half of some machines had the finding.
func lossRaised(s register.System, m machine, change func(*table.Visit, bool)) float64 {
	rng := rand.New(rand.NewPCG(11, 7))
	var months []float64
	for range 15 {
		visits := m.draw(rng)
		for i := range visits {
			change(&visits[i], i >= m.from)
		}
		found := Findings(s, nil, nil, nil, Causes(s, nil, visits, Options{}), time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC), Options{})
		months = append(months, monthsTo(ChargeLoss, found, visits[m.from].Start))
	}
	return middleOf(months)
}

// Common practice, no source: a reversible unit that heats all winter loses its charge all the
// same, and its subcooling in heating falls as well.
func TestVisitsInHeatingTellOfALoss(t *testing.T) {
	s := system()
	s.Kind = register.AirConditioning
	m := machine{visits: 32, every: month, noise: 0.4, leak: 4, from: 14}
	heating := func(reason string) func(*table.Visit, bool) {
		return func(v *table.Visit, _ bool) {
			v.EvaporatingTemp = 5
			if v.OutdoorTemp < 10 {
				v.Mode, v.Use, v.Reason = condition.Heats, table.UseSpot, reason
				v.Subcooling, v.EvaporatingTemp = v.Subcooling+5, v.OutdoorTemp-8
				v.CondenserTD, v.EvaporatorTD = v.CondenserTD+25, v.EvaporatorTD+15
			}
		}
	}
	with, without := lossRaised(s, m, heating(OtherWay)), lossRaised(s, m, heating("too short"))
	t.Logf("found after %.1f months with visits in heating, %.1f without", with, without)
	if !(with <= without-1) {
		t.Errorf("found after %.1f months with visits in heating, %.1f without: want a month less", with, without)
	}
}

// Common practice, no source: where nobody logged the weather, the machine's own temperatures
// tell it within some kelvins, and subcooling moves by tenths of a kelvin for each.
func TestVisitsWithoutWeatherCount(t *testing.T) {
	m := machine{visits: 28, every: month, noise: 0.4, leak: 4, from: 14}
	with := lossRaised(system(), m, func(v *table.Visit, _ bool) { v.EvaporatingTemp = -8 })
	without := lossRaised(system(), m, func(v *table.Visit, late bool) {
		v.EvaporatingTemp = -8
		if late {
			v.OutdoorTemp, v.CondenserTD = math.NaN(), math.NaN()
		}
	})
	t.Logf("found after %.1f months, %.1f without the weather", with, without)
	if !(without <= with+2) {
		t.Errorf("found after %.1f months, %.1f without the weather: want at most two more", with, without)
	}
}
