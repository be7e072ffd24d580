package score

import (
	"math"

	"rimelog/pipeline/table"
)

// subcooling is the feature that carries charge loss.
const subcooling = "subcooling_k"

// trendEvidence is the analysis's strongest evidence that a system's subcooling fell,
// over all days it was judged: 1 less the chance of such a trend in noise; 0 where
// it never fell or never was judged.
func trendEvidence(s *subject) float64 {
	most := 0.0
	for _, t := range s.Trends {
		if t.Feature == subcooling && t.PerYear < 0 && !math.IsNaN(t.Significance) {
			most = math.Max(most, 1-t.Significance)
		}
	}
	return most
}

// judged tells whether a visit may be used for trends, with what was found before
// anybody worked on the system.
func judged(v table.Visit) bool {
	return v.Use == "trend" && v.Part != "as left" && !math.IsNaN(v.Subcooling)
}
