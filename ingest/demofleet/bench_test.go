package demofleet

import "testing"

// BenchmarkGenerate says how fast a fleet's files are made, on one core.
func BenchmarkGenerate(b *testing.B) {
	for name, o := range map[string]Options{
		"logging=visits":    {Seed: 1, Systems: 16, Years: 2, Permanent: -1},
		"logging=permanent": {Seed: 1, Systems: 4, Years: 1, Permanent: 4, PermanentDays: 60},
	} {
		b.Run(name, func(b *testing.B) {
			var rows, bytes int
			for b.Loop() {
				fleet, err := Generate(b.Context(), o, func(_ string, c []byte) error { bytes += len(c); return nil })
				if err != nil {
					b.Fatal(err)
				}
				for _, f := range fleet.Files {
					rows += f.Rows
				}
			}
			b.ReportMetric(float64(rows)/b.Elapsed().Seconds(), "rows/s")
			b.SetBytes(int64(bytes / b.N))
		})
	}
}
