package robust

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Source: Newcombe, Stat. Med. 17 (1998) 857, table I, method 3; four printed digits.
func TestWilsonAgreesWithNewcombe(t *testing.T) {
	for _, c := range []struct{ hits, n, lo, hi float64 }{
		{81, 263, 0.2553, 0.3662},
		{15, 148, 0.0624, 0.1605},
		{0, 20, 0, 0.1611},
		{1, 29, 0.0061, 0.1718},
	} {
		lo, hi := Wilson(c.hits, c.n, 0.95)
		within(t, "lower end", lo, c.lo, 5e-5)
		within(t, "upper end", hi, c.hi, 5e-5)
	}
	for n := 1.0; n < 50; n++ {
		if lo, _ := Wilson(0, n, 0.95); lo != 0 {
			t.Errorf("none of %g: lower end %g, want 0", n, lo)
		}
		if _, hi := Wilson(n, n, 0.95); hi != 1 {
			t.Errorf("all of %g: upper end %g, want 1", n, hi)
		}
	}
	if lo, hi := Wilson(0, 0, 0.95); !math.IsNaN(lo) || !math.IsNaN(hi) {
		t.Errorf("without trials: %g to %g, want NaN", lo, hi)
	}
}

// Source: Newcombe, Stat. Med. 17 (1998) 857, table I, method 5; four printed digits.
func TestClopperPearsonAgreesWithNewcombe(t *testing.T) {
	for _, c := range []struct{ hits, n, lo, hi float64 }{
		{81, 263, 0.2527, 0.3676},
		{15, 148, 0.0578, 0.1617},
		{0, 20, 0, 0.1684},
		{1, 29, 0.0009, 0.1776},
	} {
		lo, hi := ClopperPearson(c.hits, c.n, 0.95)
		within(t, "lower end", lo, c.lo, 5e-5)
		within(t, "upper end", hi, c.hi, 5e-5)
	}
	// None of n: both tails are in closed form, 1-(0.025)^(1/n).
	_, hi := ClopperPearson(0, 4000, 0.95)
	within(t, "upper end of none in 4000", hi, 1-math.Pow(0.025, 1.0/4000), 1e-12)
	if lo, hi := ClopperPearson(3, 3, 0.95); hi != 1 || lo <= 0 {
		t.Errorf("all of 3: %g to %g, want up to 1", lo, hi)
	}
	if lo, hi := ClopperPearson(0, 0, 0.95); !math.IsNaN(lo) || !math.IsNaN(hi) {
		t.Errorf("without trials: %g to %g, want NaN", lo, hi)
	}
}

// Source: Hanley & McNeil, Radiology 143 (1982) 29, table I: 109 CT images rated
// from 1 to 5; the area is 0.893.
func TestROCAreaAgreesWithHanleyAndMcNeil(t *testing.T) {
	rated := func(counts ...int) (list []float64) {
		for rating, n := range counts {
			for range n {
				list = append(list, float64(rating+1))
			}
		}
		return list
	}
	area, err := ROCArea(rated(3, 2, 2, 11, 33), rated(33, 6, 6, 11, 2))
	if err != nil {
		t.Fatal(err)
	}
	within(t, "area", area, 0.893, 5e-4)
	if _, err := ROCArea(nil, []float64{1}); err == nil {
		t.Error("an area without anything to find: want an error")
	}
}

// Source: Brier, Mon. Weather Rev. 78 (1950) 1, table 1: ten forecasts of rain;
// his score over both outcomes is 0.19.
func TestBrierAgreesWithBrier(t *testing.T) {
	score, err := Brier(
		[]float64{0.7, 0.9, 0.8, 0.4, 0.2, 0, 0, 0, 0, 0.1},
		[]float64{0, 1, 1, 1, 0, 0, 0, 0, 0, 0})
	if err != nil {
		t.Fatal(err)
	}
	within(t, "score", 2*score, 0.19, 1e-12)
}

// Laws of the design effect (Kish 1965): with clusters of m trials it is
// 1+(m-1)ρ: m where all of a cluster are alike, about 1 where they are independent.
func TestClusteredKeepsBetweenClustersAndTrials(t *testing.T) {
	var hits, trials []float64
	for i := range 200 {
		trials = append(trials, 8)
		hits = append(hits, 8*float64(i%2))
	}
	share, n := Clustered(hits, trials)
	within(t, "share of clusters that are alike", share, 0.5, 1e-12)
	within(t, "their worth", n, 200, 1)

	r := rand.New(rand.NewPCG(5, 5))
	for i := range hits {
		hits[i] = 0
		for range 8 {
			if r.Float64() < 0.3 {
				hits[i]++
			}
		}
	}
	if _, n = Clustered(hits, trials); n < 1300 {
		t.Errorf("1600 independent trials are worth %.0f, want nearly all", n)
	}
	if share, n := Clustered([]float64{4, 3}, []float64{4, 3}); share != 1 || n != 2 {
		t.Errorf("all hit in two clusters: %g of %g, want 1 of 2", share, n)
	}
}

// TestShareDifference against the worked examples of Newcombe, Statistics in Medicine 17
// (1998) 873, table II, method 10 (from memory).
func TestShareDifference(t *testing.T) {
	for _, c := range []struct{ hits1, n1, hits2, n2, lo, hi float64 }{
		{56, 70, 48, 80, 0.0524, 0.3339},
		{9, 10, 3, 10, 0.1705, 0.8090},
		{10, 10, 0, 10, 0.6075, 1.0000},
	} {
		lo, hi := ShareDifference(c.hits1, c.n1, c.hits2, c.n2, 0.95)
		if math.Abs(lo-c.lo) > 5e-5 || math.Abs(hi-c.hi) > 5e-5 {
			t.Errorf("%g/%g less %g/%g: %.4f to %.4f, want %.4f to %.4f", c.hits1, c.n1, c.hits2, c.n2, lo, hi, c.lo, c.hi)
		}
	}
	if lo, _ := ShareDifference(0, 0, 1, 2, 0.95); !math.IsNaN(lo) {
		t.Error("no trials give a difference")
	}
}
