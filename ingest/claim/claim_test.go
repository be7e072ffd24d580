package claim

import (
	"context"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/ingest/look"
)

func TestClaimsByPlaceNameAndPattern(t *testing.T) {
	reg := logtest.RegisterOf(t, "system;zone\nCR-1;UTC\nCR-10;UTC\nAHU.2;UTC\n", "system;file;column;channel\nAHU.2;plant/*.csv;P;power\n")
	for path, want := range map[string]string{
		"CR-1/a.csv": "CR-1", "site/CR-10/2025/a.csv": "CR-10", "cr-1/a.csv": "CR-1", "CR-1_visit.csv": "CR-1", "CR-10.csv": "CR-10",
		"CR-1x.csv": "", "CR-10-2025.csv": "CR-10", "plant/x.csv": "AHU.2", "CR-1/AHU.2/x.csv": "AHU.2", "other/x.csv": "",
	} {
		if got := strings.Join(Systems(reg, path, look.Facts{}), " "); got != want {
			t.Errorf("%s belongs to %q, want %q", path, got, want)
		}
	}
}

func TestThePreambleClaimsWhereNothingElseDoes(t *testing.T) {
	reg := logtest.RegisterOf(t, "system;zone\nCR-1;UTC\nCR-10;UTC\n", "")
	file := "System: CR-10\n" + logtest.ClockFile(logtest.ISO, logtest.Every(time.Minute, logtest.Noon, 10))
	f, err := look.File(context.Background(), logtest.SourceOf([]byte(file)), limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if got := Systems(reg, "inbox/a.csv", f); len(got) != 1 || got[0] != "CR-10" {
		t.Errorf("claimed by %v", got)
	}
	if got := Systems(reg, "CR-1/a.csv", f); len(got) != 1 || got[0] != "CR-1" {
		t.Errorf("the folder counts before the preamble, got %v", got)
	}
}
