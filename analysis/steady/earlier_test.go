package steady

import (
	"strings"
	"testing"
	"time"

	"rimelog/analysis/cycle"
)

// visits is some visits of three quarters of an hour, a week apart.
func visits(n int, traits string) string {
	return "every 10s\n" + strings.Repeat("on 45m "+traits+"\ngap 168h\n", n)
}

// Of a machine that scattered by 0.1 K at two visits the third one knows: a valve that hunts
// by 0.6 K is seen, which a limit of 1 K does not see. The first visit knows nothing.
func TestLimitsAreLearnedFromVisitsBefore(t *testing.T) {
	story := visits(3, "noise=0.1") + "on 45m noise=0.6\n"
	_, learned := Cut(tell(t, story), nil, Options{})
	_, fixed := Cut(tell(t, story), nil, Options{FixedLimits: true})
	first, last := learned[0], learned[len(learned)-1]
	if first.SuperheatLimit != 1 || !(last.SuperheatLimit <= 0.4) {
		t.Errorf("superheat's limit is %.2f K at the first visit and %.2f K at the last, want 1 K and at most 0.4 K", first.SuperheatLimit, last.SuperheatLimit)
	}
	if was := fixed[len(fixed)-1]; last.Grade != Oscillating || was.Grade != Steady || was.SuperheatLimit != 1 {
		t.Errorf("the last window is %s by learned limits and %s by fixed ones of %.2f K, want oscillating and steady by 1 K", last.Grade, was.Grade, was.SuperheatLimit)
	}
}

// Months are worked on one by one, each knowing the visits before it by what Learn keeps of
// their samples: the windows are those of all samples together. What is kept is bounded, and
// no later visit changes them.
func TestVisitsOfMonthsKnowThoseBefore(t *testing.T) {
	c := tell(t, visits(3, "noise=0.1")+visits(4, "noise=0.4")+visits(1, "noise=0.2"))
	_, whole := Cut(c, nil, Options{})
	var parts []*Window
	var known Earlier
	week := 7 * 24 * time.Hour
	for from := c.Time[0]; from <= c.Time[len(c.Time)-1]; from += week.Microseconds() {
		part := cutRows(c, from, from+week.Microseconds())
		_, windows := CutAfter(known, part, nil, Options{})
		parts, known = append(parts, windows...), known.And(Learn(part, nil, Options{}))
		if len(known) > learnedVisits {
			t.Fatalf("%d visits are kept, want at most %d", len(known), learnedVisits)
		}
	}
	if len(parts) < 50 || len(parts) != len(whole) {
		t.Fatalf("%d windows in weeks, %d in all samples together; want as many, more than 50", len(parts), len(whole))
	}
	for i, w := range parts {
		if then := whole[i]; w.Start != then.Start || w.Grade != then.Grade || w.SuperheatLimit != then.SuperheatLimit || w.Spread[cycle.Superheat] != then.Spread[cycle.Superheat] {
			t.Fatalf("window %d by weeks is %+v, in all samples together %+v", i, w, then)
		}
	}
}

// Days of a logger that stays are no visits.
func TestWhoHasVisits(t *testing.T) {
	for story, want := range map[string]bool{"every 60s\non 45m\n": true, "every 60s\n" + strings.Repeat("on 60m\n", 30): false} {
		if got := HasVisits(tell(t, story).Time, Options{}); got != want {
			t.Errorf("%.20q: visits %v, want %v", story, got, want)
		}
	}
}
