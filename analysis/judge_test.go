package analysis

import (
	"testing"
	"time"

	"rimelog/pipeline/register"
)

// Decisions before visits that may change stand, but for those since an act of which only the
// day is known: these visits may tell its time of day.
func TestDecisionsStandUpToAnActThatVisitsPlace(t *testing.T) {
	changed := time.Date(2025, 6, 12, 9, 0, 0, 0, time.UTC)
	day := func(n int) time.Time { return time.Date(2025, 6, n, 0, 0, 0, 0, time.UTC) }
	for name, c := range map[string]struct {
		event register.Event
		want  time.Time
	}{
		"the day before":    {register.Event{Kind: register.ChargeAdded, Time: day(11)}, day(11)},
		"its time is known": {register.Event{Kind: register.ChargeAdded, Time: day(11), HasTime: true}, changed},
		"long before":       {register.Event{Kind: register.ChargeAdded, Time: day(9)}, changed},
		"after it":          {register.Event{Kind: register.ChargeAdded, Time: day(13)}, changed},
	} {
		if got := before(changed, []register.Event{c.event}); !got.Equal(c.want) {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}
