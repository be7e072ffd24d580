package analysis

import (
	"math"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// A month with a visit knows the last months with visits before it, and no later one; a
// month of a logger that stays knows none.
func TestMonthsKnowVisitsBefore(t *testing.T) {
	uploads := map[string][]filed{}
	var g dataset.Generation
	file := func(month string) dataset.File {
		return dataset.File{Path: table.Samples().Path("CR-01", month), Table: samplesName}
	}
	for month, lasts := range map[string]time.Duration{
		"2023-01": time.Hour, "2023-02": time.Hour, "2023-03": 20 * 24 * time.Hour, "2023-05": time.Hour, "2023-06": time.Hour,
		"2023-07": time.Hour, "2023-08": time.Hour, "2023-09": time.Hour,
	} {
		uploads[month] = []filed{{reading: &reading{brief: &dataset.Brief{First: 0, Last: lasts.Microseconds()}}}}
		g = g.With(file(month))
	}
	came := visitedIn(uploads, 4*time.Hour)
	for month, want := range map[string][]string{
		"2023-01": nil, "2023-02": {"2023-01"}, "2023-03": nil,
		"2023-06": {"2023-01", "2023-02", "2023-05"}, "2023-08": {"2023-02", "2023-05", "2023-06", "2023-07"},
	} {
		m, err := dataset.ParseMonth(month)
		if err != nil {
			t.Fatal(err)
		}
		var got, paths []string
		for _, f := range earlierOf(g, "CR-01", m, came) {
			got = append(got, f.Path)
		}
		for _, name := range want {
			paths = append(paths, file(name).Path)
		}
		if !slices.Equal(got, paths) {
			t.Errorf("%s knows %q, want %q", month, got, paths)
		}
	}
}

// A logger that stays and sends a file a day is not visited, whatever the order of its files; days
// without a file between them, or hours of one day, may be a visit.
func TestDailyFilesOfALoggerAreNoVisits(t *testing.T) {
	const day = 24 * time.Hour
	upload := func(from, lasts time.Duration) filed {
		return filed{reading: &reading{brief: &dataset.Brief{First: from.Microseconds(), Last: (from + lasts).Microseconds()}}}
	}
	daily := day - 10*time.Minute
	for name, c := range map[string]struct {
		uploads []filed
		want    bool
	}{
		"days in a row":        {[]filed{upload(2*day, daily), upload(0, daily), upload(day, daily)}, false},
		"a day alone":          {[]filed{upload(0, daily), upload(day, daily), upload(5*day, daily)}, true},
		"an hour each morning": {[]filed{upload(0, time.Hour), upload(day, time.Hour)}, true},
		"an hour in the log":   {[]filed{upload(0, daily), upload(20*time.Hour, time.Hour), upload(day, daily)}, false},
		"nobody knows when":    {[]filed{upload(0, 20*day), {reading: &reading{brief: &dataset.Brief{First: math.MinInt64, Last: math.MaxInt64}}}}, true},
		"nothing":              {nil, false},
	} {
		if got := visited(c.uploads, 4*time.Hour); got != c.want {
			t.Errorf("%s: visited %t, want %t", name, got, c.want)
		}
	}
}
