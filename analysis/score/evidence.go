package score

import "math"

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
