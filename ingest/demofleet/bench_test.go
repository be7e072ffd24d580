package demofleet

import (
	"io"
	"testing"
)

// BenchmarkGenerate says how fast a fleet's files are made, on one core.
func BenchmarkGenerate(b *testing.B) {
	for name, o := range map[string]Options{
		"logging=visits":    {Seed: 1, Systems: 100, Years: 3, Logging: ByVisits},
		"logging=permanent": {Seed: 1, Systems: 4, Years: 0.2, Logging: Permanent},
	} {
		b.Run(name, func(b *testing.B) {
			var rows int
			var written counter
			for b.Loop() {
				fleet, err := Generate(b.Context(), o, func(_ string, write func(io.Writer) error) error { return write(&written) }, nil)
				if err != nil {
					b.Fatal(err)
				}
				for _, f := range fleet.Files {
					rows += f.Rows
				}
			}
			b.ReportMetric(float64(rows)/b.Elapsed().Seconds(), "rows/s")
			b.SetBytes(int64(written) / int64(b.N))
		})
	}
}

// A counter counts bytes.
type counter int64

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}
