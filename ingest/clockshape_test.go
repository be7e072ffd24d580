package ingest

import (
	"strings"
	"testing"
	"time"

	"rimelog/ingest/clock"
)

// TestStampsAreReadAsTheyFollow reads stamps over a change of the clocks, one after the
// other, and compares with the standard library, which wrote them.
func TestStampsAreReadAsTheyFollow(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	for _, layout := range []string{
		"2006-01-02 15:04:05-07:00", "2006-01-02T15:04:05Z07:00", "02.01.2006 15:04:05 -0700", "2006-01-02 15:04:05.00-07:00",
		"2006-01-02 15:04-07:00", "2006-01-02 03:04:05 PM -07:00", "2006-01-02 15:04:05 UTC-07:00",
	} {
		for _, zone := range []*time.Location{berlin, time.UTC} {
			line := timelineOf(layout)
			at := time.Date(2025, 10, 25, 20, 0, 0, 250_000_000, time.UTC)
			for range 12 * 60 {
				at = at.Add(59 * time.Second)
				text := at.In(zone).Format(layout)
				want := at.Truncate(time.Second)
				if strings.Contains(layout, ".00") {
					want = at
				} else if layout[16] == '-' {
					want = at.Truncate(time.Minute)
				}
				if utc, v, why := line.at([][]byte{[]byte(text)}); v != timed || utc != want.UnixMicro() {
					t.Fatalf("%s is read as %s %s", text, time.UnixMicro(utc).UTC(), why)
				}
			}
		}
	}
}

// timelineOf follows stamps of a form: of those tested, the year stands first but in dotted dates.
func timelineOf(form string) *timeline {
	p := timePlan{kind: stampTime, columns: []int{0}, fixed: true, zone: clock.ZoneRule{Loc: time.UTC, Fixed: true}}
	if form[2] != '.' {
		p.order.Out[clock.DayFirst], p.order.Out[clock.MonthFirst] = true, true
	}
	return newTimeline(p)
}

// TestOffsetsDoNotBecomePartOfTheTime keeps what the quick way of lines may not take over.
func TestOffsetsDoNotBecomePartOfTheTime(t *testing.T) {
	for text, plain := range map[string]bool{
		"2025-03-04 12:00:05":         true,
		"2025-03-04 12:00:05+01:00":   true,
		"2025-03-04T12:00:05Z":        true,
		"2025-03-04 12:00+01:00":      false,
		"2025-03-04 12:00:05:25":      false,
		"2025-03-04 12:00:05.5+01:00": false,
		"2025-03-04 12:00:05 PM":      false,
		"2025-03-04 12:00:05 CET":     false,
		"12:00:05 2025-03-04":         false,
	} {
		line := timelineOf(text)
		line.at([][]byte{[]byte(text)})
		if got := len(line.above.prefix) > 0; got != plain {
			t.Errorf("%s: the quick way follows: %v", text, got)
		}
	}
}
