package report

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"rimelog/pipeline/table"
)

// How far a reading lies from a baseline that it is a part of varies as the law says:
// machines drawn about a prior, visits about each machine, the level pooled by its variances
// (Gelman & Hill, Data Analysis Using Regression and Multilevel/Hierarchical Models, 2007,
// chapter 12).
func TestDistanceFromABaselineOfItsOwn(t *testing.T) {
	draw := rand.New(rand.NewPCG(11, 4))
	const prior, between, scatter = 6.0, 1.5, 0.8
	for _, n := range []int{1, 2, 4, 5} {
		w := between * between / (between*between + scatter*scatter/float64(n))
		b := table.Baseline{Visits: int64(n), OwnWeight: w, Scatter: scatter}
		var squares float64
		const machines = 20000
		for range machines {
			level, sum, last := prior+between*draw.NormFloat64(), 0.0, 0.0
			for range n {
				last = level + scatter*draw.NormFloat64()
				sum += last
			}
			d := last - (w*sum/float64(n) + (1-w)*prior)
			squares += d * d
		}
		if got, want := apart(b, math.NaN()), math.Sqrt(squares/machines); math.Abs(got-want) > 0.02*want {
			t.Errorf("of %d visits: %.3f K, drawn %.3f K", n, got, want)
		}
	}
}

// A machine with three visits is held against what systems like it let expect, and is
// told that no trend is known; one whose visits may not be those of a healthy machine is
// not.
func TestReadingsOfAYoungRecord(t *testing.T) {
	s := System{Trends: []table.Trend{{Feature: "subcooling_k", Verdict: "not judged", Note: "3 visits: too few to judge a trend, want 6"}}}
	for i, k := range []float64{6, 5.8, 3} {
		at := on("2025-05-01").AddDate(0, 2*i, 0)
		v := table.Visit{Start: at, End: at, Subcooling: k, SubcoolingU: 0.3, OutdoorTemp: 20, Use: table.UseTrend,
			Superheat: nan, DischargeSuperheat: nan, CondenserTD: nan, EvaporatorTD: nan}
		s.Visits = append(s.Visits, v)
	}
	b := table.Baseline{Feature: "subcooling_k", Visits: 3, Healthy: true, Level: 5.6, PerOutdoor: 0.1, OutdoorRef: 18, OutdoorLo: 12, OutdoorHi: 24,
		Scatter: 0.4, OwnWeight: 0.9, Prior: "2025Q2: cold room", Until: s.Visits[2].Start}
	row := func(b table.Baseline) readingRow {
		s.Baselines = []table.Baseline{b}
		var v systemView
		s.readings(&v)
		return v.Readings[0]
	}
	got := row(b)
	if want := "5.8\u00a0±\u00a0"; !strings.HasPrefix(got.Usual, want) || !strings.HasPrefix(got.Verdict, "Not as expected from its own visits and from systems like it. Not judged yet: 3 of the 6 visits needed") || got.Moves || got.Wire == "" {
		t.Errorf("got %+v", got)
	}
	calm := b
	calm.Level = 3
	if got := row(calm); !strings.HasPrefix(got.Verdict, "As expected") {
		t.Errorf("got %+v", got)
	}
	for why, change := range map[string]func(*table.Baseline){
		"may not be well":       func(b *table.Baseline) { b.Healthy = false },
		"colder than ever seen": func(b *table.Baseline) { b.OutdoorLo, b.OutdoorHi = 30, 40 },
		"it is the baseline":    func(b *table.Baseline) { b.Visits = 1 },
		"a later visit":         func(b *table.Baseline) { b.Until = b.Until.AddDate(0, 1, 0) },
	} {
		other := b
		change(&other)
		if got := row(other); got.Usual != "" || got.Wire != "" {
			t.Errorf("%s: got %+v", why, got)
		}
	}
}
