package analysis

import (
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
		uploads[month] = []filed{{reading: &reading{brief: dataset.Brief{First: 0, Last: lasts.Microseconds()}}}}
		g.Files = append(g.Files, file(month))
	}
	for month, want := range map[string][]string{
		"2023-01": nil, "2023-02": {"2023-01"}, "2023-03": nil,
		"2023-06": {"2023-01", "2023-02", "2023-05"}, "2023-08": {"2023-02", "2023-05", "2023-06", "2023-07"},
	} {
		m, err := dataset.ParseMonth(month)
		if err != nil {
			t.Fatal(err)
		}
		var got, paths []string
		for _, f := range earlierOf(g, "CR-01", m, uploads) {
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
