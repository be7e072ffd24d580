package analysis

import (
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/table"
)

func TestSamplesOfATimeToComeAreDoubted(t *testing.T) {
	day := time.Date(2026, 1, 10, 0, 0, 0, 0, time.UTC)
	on := func(times ...string) (out []table.Visit) {
		for _, text := range times {
			at, err := time.Parse("2006-01-02 15:04", text)
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, table.Visit{Start: at})
		}
		return out
	}
	for _, c := range []struct {
		name   string
		asOf   time.Time
		visits []table.Visit
		want   string // in what is wrong; empty: nothing is
	}{
		{"none", day, nil, ""},
		{"past", day, on("2025-06-01 09:00", "2026-01-09 09:00"), ""},
		{"that evening, by the clock of a site", day, on("2026-01-11 11:59"), ""},
		{"years ahead", day, on("2025-06-01 09:00", "2055-06-01 09:00", "2055-07-01 09:00"), "reach to 2055-07-01, which is later than 2026-01-10, the day that this is judged on: first on 2055-06-01"},
		{"no day given", time.Time{}, on("2055-06-01 09:00"), ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := (&Stage{AsOf: c.asOf}).ahead("A1", c.visits)
			if (len(got) > 0) != (c.want != "") {
				t.Fatalf("got %+v", got)
			}
			for _, p := range got {
				if !strings.Contains(p.Problem, c.want) || p.System != "A1" || p.Weight != doubt || p.Remedy == "" {
					t.Errorf("got %+v", p)
				}
			}
		})
	}
}
