package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
)

// The local time of every line follows from UTC and the offsets that are kept, over a
// change of clocks too, also where each stamp has its own offset. The zone's offsets
// are those of Go's zone database.
func TestLocalTimeCanBeRestored(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	for _, layout := range []string{"2006-01-02 15:04:05", "2006-01-02T15:04:05-07:00"} {
		var b strings.Builder
		b.WriteString("Time;Power [W]\n")
		start := time.Date(2025, 10, 25, 23, 30, 0, 0, time.UTC) // the clocks fall back at 01:00 UTC
		for i := range 36 {
			fmt.Fprintf(&b, "%s;%d\n", start.Add(time.Duration(i)*5*time.Minute).In(berlin).Format(layout), 1000+i)
		}
		r := readBytes(t, []byte(b.String()), logtest.InZone(berlin))
		runs := r.Understanding.Time.Offsets
		if len(runs) != 2 || runs[0].OffsetS != 7200 || runs[1].OffsetS != 3600 || runs[1].FirstUTC != "2025-10-26T01:00:00Z" {
			t.Errorf("%s: %+v", layout, runs)
		}
	}
}
