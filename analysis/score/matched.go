package score

import "math"

// A noise is how a gauge errs: sets of instruments are off by an offset each, and readings
// with a set scatter about it, both normal.
type noise struct{ offset, scatter float64 }

// energy is the squared distance, in standard deviations of the noise, between readings that
// have moved and readings that have not: sᵀ Σ⁻¹ s, for the moves with one set of instruments
// each. A set's covariance is scatter² I + offset² J, whose inverse is that of Sherman and
// Morrison, Ann. Math. Stat. 21 (1950) 124.
func (n noise) energy(moves map[string][]float64) (sum float64) {
	v, common := n.scatter*n.scatter, n.offset*n.offset
	for _, set := range moves {
		var total, squares float64
		for _, s := range set {
			total, squares = total+s, squares+s*s
		}
		sum += (squares - common*total*total/(v+float64(len(set))*common)) / v
	}
	return sum
}

// detects is the chance that the likelihood ratio test finds moves of an energy while it
// raises a false alarm with some chance: P_D = Q(Q⁻¹(P_FA) - d) for a known signal in normal
// noise (Kay, Fundamentals of Statistical Signal Processing II: Detection Theory, 1998, sec.
// 4.3 and 4.4). No test does better (Neyman & Pearson, Phil. Trans. A 231 (1933) 289).
func detects(energy, falseAlarm float64) float64 {
	limit := math.Sqrt2 * math.Erfcinv(2*falseAlarm)
	return math.Erfc((limit-math.Sqrt(energy))/math.Sqrt2) / 2
}
