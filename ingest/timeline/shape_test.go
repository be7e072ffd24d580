package timeline

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
				if utc, v, why := line.At([][]byte{[]byte(text)}); v != Timed || utc != want.UnixMicro() {
					t.Fatalf("%s is read as %s %s", text, time.UnixMicro(utc).UTC(), why)
				}
			}
		}
	}
}

// timelineOf follows stamps of a form: of those tested, the year stands first but in dotted dates.
func timelineOf(form string) *Timeline {
	p := Plan{Kind: StampTime, Columns: []int{0}, Fixed: true, Zone: clock.ZoneRule{Loc: time.UTC, Fixed: true}}
	if form[2] != '.' {
		p.Order.Out[clock.DayFirst], p.Order.Out[clock.MonthFirst] = true, true
	}
	return New(p)
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
		line.At([][]byte{[]byte(text)})
		if got := len(line.Above.Prefix) > 0; got != plain {
			t.Errorf("%s: the quick way follows: %v", text, got)
		}
	}
}

// TestClockTimeReadsEachSecond compares with the standard library over a day, and looks
// at what is no time of day.
func TestClockTimeReadsEachSecond(t *testing.T) {
	for s := range int64(86_400) {
		text := time.Unix(s, 0).UTC().Format(time.TimeOnly)
		if micros, hours, ok := ClockTime([]byte(text)); !ok || micros != s*clock.Second || hours != s/3600 {
			t.Fatalf("%s is read as %d, %d, %v", text, micros, hours, ok)
		}
	}
	for _, text := range []string{"24:00:00", "00:60:00", "00:00:60", "99:99:99", "1 :00:00", "00-00:00", "00:00.00", "::::::::", "00:0a:00", "00:00:0/", "\xff0:00:00", "00:00:\x80\x80"} {
		if _, _, ok := ClockTime([]byte(text)); ok {
			t.Errorf("%q is read as a time", text)
		}
	}
}
