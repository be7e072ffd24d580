package report_test

import (
	"testing"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

func BenchmarkSystemPage(b *testing.B) {
	w, err := report.NewWriter(report.Options{})
	if err != nil {
		b.Fatal(err)
	}
	f := reporttest.Fleet(1)
	for b.Loop() {
		if _, err := w.System(f.Systems[0], f.Made); err != nil {
			b.Fatal(err)
		}
	}
}
