package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

func TestNextTime(t *testing.T) {
	at := time.Date(2026, 3, 28, 23, 30, 0, 0, time.UTC)
	for _, c := range []struct{ text, want string }{
		{"05:00", "2026-03-29 05:00"}, {"23:45", "2026-03-28 23:45"}, {"23:30", "2026-03-29 23:30"},
	} {
		if got, err := nextTime(c.text, at); err != nil || got.Format("2006-01-02 15:04") != c.want {
			t.Errorf("%s after %v is %v, %v; want %s", c.text, at, got, err, c.want)
		}
	}
}

// A night that is told to stop leaves whole results and ends with 5; nights after it go
// on and end where one undisturbed night does, byte for byte.
func TestNightStopsAndGoesOn(t *testing.T) {
	whole, cut := newFleet(t, allUploads()...), newFleet(t, allUploads()...)
	if code, _ := oneNight(t, whole, time.Hour); code != exitLeftOut {
		t.Fatalf("an undisturbed night ends with %d", code)
	}
	nights := 0
	for code := exitStopped; code == exitStopped; nights++ {
		var metrics string
		if code, metrics = oneNight(t, cut, 10*time.Minute); code == exitStopped && !strings.Contains(metrics, "rimelog_exit_code 5\n") {
			t.Errorf("metrics of a night cut short:\n%s", metrics)
		}
		if nights > 50 {
			t.Fatal("the nights come to no end")
		}
	}
	if nights < 3 {
		t.Errorf("%d nights: the clock did not cut", nights)
	}
	sameResults(t, "nights cut short", results(t, cut), results(t, whole))
}

// oneNight runs with a clock that moves on by a minute each time it is asked, until a
// time so far ahead.
func oneNight(t *testing.T, folder string, length time.Duration) (code int, metrics string) {
	t.Helper()
	start := time.Date(2025, 5, 1, 2, 0, 0, 0, time.UTC)
	var asked atomic.Int64
	now := func() time.Time { return start.Add(time.Duration(asked.Add(1)-1) * time.Minute) }
	file := filepath.Join(t.TempDir(), "m.prom")
	n := nightly{where: where{folder: folder, workers: 1}, log: "text", metrics: file, until: start.Add(length).Format("15:04")}
	if length >= time.Hour {
		n.until = ""
	}
	var out, errOut bytes.Buffer
	err := n.run(t.Context(), &console{out: &out, err: &errOut}, now)
	code, _ = outcome(t.Context(), err)
	b, readErr := os.ReadFile(file)
	if readErr != nil {
		t.Fatal(readErr, errOut.String())
	}
	return code, string(b)
}
