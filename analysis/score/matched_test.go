package score

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"gonum.org/v1/gonum/mat"

	"rimelog/ingest/demofleet/truth"
)

// A known signal in white normal noise of unit variance is found with Q(Q⁻¹(P_FA) - d), d² its
// energy (Kay 1998, vol. II, sec. 4.3). Q and its inverse are those of tables of the normal
// distribution: Q(1.2816) = 0.1, Q(2.3263) = 0.01, Q(3.0902) = 0.001, Q(1) = 0.1587.
func TestAMatchedFilterFindsWhatTablesSay(t *testing.T) {
	for _, c := range []struct{ energy, falseAlarm, want float64 }{
		{0, 0.01, 0.01},
		{2.3263 * 2.3263, 0.01, 0.5},
		{3.0902 * 3.0902, 0.001, 0.5},
		{2.2816 * 2.2816, 0.1, 1 - 0.1587},
		{(2.3263 + 3.0902) * (2.3263 + 3.0902), 0.001, 0.99},
	} {
		near(t, "chance of detection", Number(detects(c.energy, c.falseAlarm)), c.want, 1e-4)
	}
}

// The closed form for sets of instruments is what solving with the whole covariance gives.
func TestEnergyUnderSharedOffsets(t *testing.T) {
	n := noise{offset: 0.7, scatter: 0.3}
	moves := map[string][]float64{"A": {-0.2, -1, -1.5}, "B": {-2}, "C": {-0.4, -2.2}}
	want := 0.0
	for _, set := range moves {
		k := len(set)
		cov := mat.NewSymDense(k, nil)
		for i := range k {
			for j := range i + 1 {
				cov.SetSym(i, j, n.offset*n.offset+flag(i == j)*n.scatter*n.scatter)
			}
		}
		var x mat.VecDense
		s := mat.NewVecDense(k, set)
		if err := x.SolveVec(cov, s); err != nil {
			t.Fatal(err)
		}
		want += mat.Dot(s, &x)
	}
	near(t, "energy", Number(n.energy(moves)), want, 1e-9)
	near(t, "energy in white noise", Number(noise{0, 0.5}.energy(map[string][]float64{"A": {1, 2}})), 5/0.25, 1e-9)
}

// Drawn many times, the likelihood ratio of readings with shared offsets finds the signal as
// often as is said, at the limit that noise alone passes as often as is allowed.
func TestTheLikelihoodRatioFindsAsOftenAsIsSaid(t *testing.T) {
	rng := rand.New(rand.NewPCG(91, 91))
	n := noise{offset: 0.8, scatter: 0.4}
	moves := map[string][]float64{"A": {-0.1, -0.6, -1.1}, "B": {-0.4, -0.9}}
	d2 := n.energy(moves)
	const trials, falseAlarm = 40000, 0.02
	limit := 2.0537 * math.Sqrt(d2) // Q(2.0537) = 0.02, of a statistic of variance d2
	found, wrong := 0, 0
	for range trials {
		ratio := 0.0
		for _, name := range []string{"A", "B"} {
			off, set := n.offset*rng.NormFloat64(), moves[name]
			y := make([]float64, len(set))
			for i := range y {
				y[i] = off + n.scatter*rng.NormFloat64()
			}
			// sᵀ Σ⁻¹ y, by the polar form of the energy
			both, less := make([]float64, len(y)), make([]float64, len(y))
			for i, s := range set {
				both[i], less[i] = s+y[i], s-y[i]
			}
			one := func(m []float64) float64 { return n.energy(map[string][]float64{name: m}) }
			ratio += (one(both) - one(less)) / 4
		}
		if ratio > limit {
			wrong++
		}
		if ratio+d2 > limit {
			found++
		}
	}
	near(t, "false alarms", Number(float64(wrong)/trials), falseAlarm, 0.003)
	near(t, "detections", Number(float64(found)/trials), detects(d2, falseAlarm), 0.01)
}

// Errors that were drawn with an offset by set and a scatter by visit give both back.
func TestHowGaugesErr(t *testing.T) {
	rng := rand.New(rand.NewPCG(92, 92))
	var claims []claim
	for set := range 300 {
		off := 0.6 * rng.NormFloat64()
		for range 12 {
			claims = append(claims, claim{kit: string(rune('a' + set)), off: off + 0.25*rng.NormFloat64()})
		}
	}
	n, ok := noiseOf(claims)
	if !ok || math.Abs(n.offset-0.6) > 0.06 || math.Abs(n.scatter-0.25) > 0.02 {
		t.Errorf("noise %+v, want 0.6 by set and 0.25 by visit", n)
	}
	if _, ok := noiseOf(claims[:leastErrs-1]); ok {
		t.Error("a few errors tell how gauges err")
	}
}

// The oracle knows by how much a loss has moved a gauge: 33 K for all of the charge, beside
// weather and a coil that fouls.
func TestTheOracleKnowsTheMove(t *testing.T) {
	in := fleetOf(map[string][]truth.Episode{"A": {leak(240), {Fault: truth.CondenserFouling, Onset: on(100), PerYear: 0.3}}})
	var points []truth.Point
	for day := 0; day <= lastDay; day += everyDays {
		for m := 0; m <= minutes; m += 10 {
			at := on(float64(day)).Add(time.Duration(m) * time.Minute)
			s := in.Truth.Systems[0]
			p := truth.Point{Time: at, Outdoor: 12 + 10*math.Sin(float64(day)/58), Source: 5, Sink: 20, SuctionSuperheat: 8}
			p.Subcooling = 7 - 0.08*p.Outdoor + 4*s.Fault(truth.CondenserFouling, at) - 33*s.Fault(truth.Leak, at)
			points = append(points, p)
		}
	}
	see(&in, "A", Observed{Points: points})
	f, err := newFleet(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range f.subjects[0].showings {
		want := -33 * in.Truth.Systems[0].Fault(truth.Leak, x.at)
		near(t, "move of subcooling on "+x.at.Format(time.DateOnly), Number(x.moved[0]-f.subjects[0].showings[0].moved[0]), want, 0.3)
		near(t, "move of superheat", Number(x.moved[1]), 0, 0.05)
		missing(t, "move of a level that is not logged", Number(x.moved[levelOfReceiver]))
	}
}
