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
func trendEvidence(trends []table.Trend) float64 {
	most := 0.0
	for _, t := range trends {
		if t.Feature == subcooling && t.PerYear < 0 && !math.IsNaN(t.Significance) {
			most = math.Max(most, 1-t.Significance)
		}
	}
	return most
}
