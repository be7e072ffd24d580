package steady

import (
	"math/rand/v2"
	"strings"
	"testing"

	"rimelog/analysis/cycle"
)

// cycling is a permanent log of some days, a sample a minute, runs of ten minutes.
func cycling(days int, traits string) string {
	return "every 60s\n" + strings.Repeat("off 20m\non 10m "+traits+"\n", days*48)
}

// On the first day of a log the limits are the configured ones; from the second on they are
// those of a machine that scatters by 0.1 K, and a valve that begins to hunt by 0.6 K is seen,
// which a limit of 1 K does not see.
func TestLimitsAreLearnedFromTheDayBefore(t *testing.T) {
	story := cycling(3, "noise=0.1") + strings.Repeat("off 20m\non 10m noise=0.6\n", 20)
	_, learned := Cut(tell(t, story), nil, Options{})
	_, fixed := Cut(tell(t, story), nil, Options{FixedLimits: true})
	first, last := learned[0], learned[len(learned)-1]
	if first.SuperheatLimit != 1 || !(last.SuperheatLimit <= 0.4) {
		t.Errorf("superheat's limit is %.2f K on the first day and %.2f K on the last, want 1 K and at most 0.4 K", first.SuperheatLimit, last.SuperheatLimit)
	}
	noisy := func(windows []*Window) (oscillating int) {
		for _, w := range windows[len(windows)-15:] {
			if w.Grade == Oscillating {
				oscillating++
			}
		}
		return oscillating
	}
	if got, without := noisy(learned), noisy(fixed); got < 12 || without > 5 {
		t.Errorf("%d of the last 15 windows oscillate, %d with fixed limits; want most and few", got, without)
	}
	for _, w := range fixed {
		if w.SuperheatLimit != 1 {
			t.Fatalf("a fixed limit is %.2f K, want 1 K", w.SuperheatLimit)
		}
	}
}

// What is learned on one day never comes from a later one.
func TestLearningLooksBackOnly(t *testing.T) {
	c := tell(t, cycling(2, "noise=0.1")+cycling(2, "noise=1.5"))
	_, whole := Cut(c, nil, Options{})
	_, part := Cut(cutRows(c, 0, c.Time[0]+2*24*3600e6), nil, Options{})
	if len(part) < 50 {
		t.Fatalf("%d windows in two days, want more", len(part))
	}
	for i, w := range part[:len(part)-1] {
		then := whole[i]
		if w.Start != then.Start || w.Grade != then.Grade || w.SuperheatLimit != then.SuperheatLimit || w.Spread[cycle.Superheat] != then.Spread[cycle.Superheat] {
			t.Fatalf("window %d changes with what was logged later: %+v, %+v", i, w, then)
		}
	}
}

// Five values alone know their own scatter badly: t of three degrees of freedom is 3.18, of
// thirteen 2.16 (any table of Student's distribution). With what the day before tells a real
// drift is seen more often, and noise is taken for one no more often than it may.
func TestKnownNoiseSeesDriftsSooner(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 60))
	o := Options{}
	o.EnsureDefaults()
	limits := o.Limits.all()
	const superheat = 2
	known := &noise{}
	known.usual[superheat], known.calm[superheat] = 0.5, 0.4
	transients := func(before *noise, drift float64) (share float64) {
		b := &bins{scratch: newScratch(), limits: limits, before: before}
		const draws = 2000
		for range draws {
			x := make([]float64, 5)
			for i := range x {
				x[i] = 6 + drift*float64(i)/5 + 0.5*rng.NormFloat64()
			}
			if b.grade(superheat, 1, x, lineOf(x)) == transient {
				share += 1.0 / draws
			}
		}
		return share
	}
	if alone, with := transients(nil, 2.5), transients(known, 2.5); !(with > alone+0.1) {
		t.Errorf("a drift of 2.5 K is seen in %.2f of cases, in %.2f where the noise is known; want more", alone, with)
	}
	if false1 := transients(known, 0); false1 > 0.10 { // two tests at 5 %
		t.Errorf("noise is taken for a drift in %.3f of cases, want at most 0.10", false1)
	}
}

// Limits of the options hold, and what is wrong with them is told.
func TestLimitsAreConfigurable(t *testing.T) {
	story := "every 10s\non 40m noise=0.2"
	grades := func(o Options) map[Grade]int {
		out := map[Grade]int{}
		_, windows := Cut(tell(t, story), nil, o)
		for _, w := range windows {
			out[w.Grade]++
		}
		return out
	}
	if got := grades(Options{}); got[Oscillating] > 0 || got[Steady] < 6 {
		t.Errorf("by default: %v, want all steady", got)
	}
	if got := grades(Options{Limits: Limits{Superheat: Limit{Spread: 0.05}}}); got[Steady] > 0 || got[Oscillating] < 6 {
		t.Errorf("with a spread of 0.05 K: %v, want all oscillating", got)
	}
	err := Options{Limits: Limits{Power: Limit{Drift: -1}}}.Validate()
	if err == nil || !strings.Contains(err.Error(), "steady.limits.power") {
		t.Errorf("got %v, want it to name steady.limits.power", err)
	}
	one, other := Options{}, Options{Limits: Limits{Superheat: Limit{Drift: 2}}}
	if one.Key() == other.Key() || one.Key() == (Options{FixedLimits: true}).Key() {
		t.Error("options with other limits have the same key")
	}
}
