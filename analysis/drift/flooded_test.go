package drift

import (
	"math"
	"testing"

	"rimelog/analysis/robust"
)

// floodedAt is the mean condensing temperature of a condenser whose pressure is held at one
// value while the weather swings: the mean of max(held, t + difference) over the quantiles of
// a logistic distribution, summed up directly.
func floodedAt(outdoor, difference, held, swing float64) (condensing float64) {
	const n = 20000
	for i := range n {
		p := (float64(i) + 0.5) / n
		t := outdoor + swing*math.Log(p/(1-p))
		condensing += math.Max(held, t+difference) / n
	}
	return condensing
}

// winters are points of a flooded condenser, whose difference grows by some kelvins a year
// from a time on.
func winters(n int, from, perYear float64) []*point {
	points := seasons(n, 99, 0)
	for i, p := range points {
		difference := 11 + perYear*math.Max(0, float64(i)/12-from)
		p.condensing = floodedAt(p.outdoor, difference, 32, 2)
		p.values[atCondenser] = p.condensing - p.outdoor
	}
	return points
}

// A clean flooded condenser stands at the mean of what is held and what follows the weather.
func TestAFloodedCondenserStandsAtTheMeanOfItsSwing(t *testing.T) {
	b := band{middle: 32, swing: 2}
	for _, outdoor := range []float64{-5, 8, 15, 19, 22, 24, 30} {
		want := floodedAt(outdoor, 11, 32, 2)
		v := b.clean(math.Log(11), outdoor)
		if math.Abs(outdoor+v-want) > 0.02 {
			t.Errorf("at %.0f °C outdoors: condenses at %.2f °C, want %.2f °C", outdoor, outdoor+v, want)
		}
		little := (floodedAt(outdoor, 11.1, 32, 2) - want) / 0.1
		if got := b.shows(v, outdoor+v); math.Abs(got-little) > 0.02 {
			t.Errorf("at %.0f °C outdoors: %.2f of a little more shows, want %.2f", outdoor, got, little)
		}
		open := b.opened(v, outdoor+v)
		if free := want > 33.4; free != !math.IsNaN(open) || free && math.Abs(math.Exp(open)-11) > 0.1 {
			t.Errorf("at %.0f °C outdoors: the coil reads %.2f K; want 11 K where it is free, nothing else", outdoor, math.Exp(open))
		}
	}
}

// A record tells one value held from fans that slow down over some kelvins.
func TestTheRecordTellsFloodingFromFans(t *testing.T) {
	s := fanned()
	if b := bandOf(s, winters(24, 9, 0)); !b.flooded() || math.Abs(b.middle-32) > 0.6 {
		t.Errorf("held at 32 °C: found %+v", b)
	}
	if b := bandOf(s, seasons(24, 9, 0.1)); b.flooded() {
		t.Errorf("fans over 7 K: found %+v", b)
	}
}

// Winter says nothing of a flooded condenser, a fouled one shows once it is warm again: against
// what is held no value lies off, and a loss is of its size where the coil is free.
func TestAHeldPressureSaysNothingOfTheCoil(t *testing.T) {
	for _, c := range []struct{ perYear, warm float64 }{{0, 0}, {3, 3}} {
		points := winters(24, 1, c.perYear)
		tr := track{space: &robust.Workspace{}}
		tr.belief.Y, tr.t = make([]float64, len(points)), make([]float64, len(points))
		tr.exchange(bandOf(fanned(), points), gauges(fanned())[2], points)
		for i, p := range points {
			switch off := tr.belief.Y[i]; {
			case p.outdoor < 10 && (math.Abs(off) > 0.4 || tr.unit[i] > 0.05):
				t.Errorf("%.0f K a year, %.1f °C outdoors: lies %.2f K off and %.2f of a change shows, want neither", c.perYear, p.outdoor, off, tr.unit[i])
			case p.outdoor > 23.5 && i > 12 && math.Abs(off-c.warm*(float64(i)/12-1)) > 0.5:
				t.Errorf("%.0f K a year, %.1f °C outdoors: lies %.2f K off, want %.2f K", c.perYear, p.outdoor, off, c.warm*(float64(i)/12-1))
			}
		}
	}
}
