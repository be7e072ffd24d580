package robust

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Wilson is the interval of a share of which hits were seen in n trials: those
// shares that a test at the confidence (0..1, e.g. 0.95) would not reject. It
// keeps within 0..1 and holds for few trials and for none or all of them hit. n
// need not be whole, so that an effective number of trials may be given (see
// Clustered). Without trials both ends are NaN.
//
// Source: Wilson, J. Am. Stat. Assoc. 22 (1927) 209; recommended by Newcombe,
// Stat. Med. 17 (1998) 857 (method 3, without continuity correction).
func Wilson(hits, n, confidence float64) (lo, hi float64) {
	if !(n > 0) {
		return math.NaN(), math.NaN()
	}
	z := distuv.UnitNormal.Quantile(0.5 + confidence/2)
	p := hits / n
	middle := p + z*z/(2*n)
	half := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	all := 1 + z*z/n
	lo, hi = (middle-half)/all, (middle+half)/all
	if hits == 0 {
		lo = 0
	}
	if hits == n {
		hi = 1
	}
	return lo, hi
}

// ClopperPearson is the exact interval of a share of which hits were seen in n
// trials, at a confidence (0..1): it covers the true share at least as often as
// it says, so it is wider than Wilson's. n need not be whole. Without trials both
// ends are NaN.
//
// Source: Clopper & Pearson, Biometrika 26 (1934) 404, by quantiles of the beta
// distribution.
func ClopperPearson(hits, n, confidence float64) (lo, hi float64) {
	if !(n > 0) {
		return math.NaN(), math.NaN()
	}
	tail := (1 - confidence) / 2
	hi = 1
	if hits > 0 {
		lo = distuv.Beta{Alpha: hits, Beta: n - hits + 1}.Quantile(tail)
	}
	if hits < n {
		hi = distuv.Beta{Alpha: hits + 1, Beta: n - hits}.Quantile(1 - tail)
	}
	return lo, hi
}

// Clustered is the share of hits among trials that come in clusters (the readings
// of one set of instruments, say), with the number of independent trials it is
// worth: trials over the design effect, the variance of the share between
// clusters over that of independent trials. Between no trials resemble each other
// and all of a cluster do, that is between the number of clusters and that of
// trials; where all or none are hits nothing can be seen of it, and it is the
// number of clusters. hits and trials have one entry for each cluster.
//
// Sources: Kish, Survey Sampling (1965), sec. 5.4 and 8.2 (design effect, ratio
// mean of unequal clusters), from memory.
func Clustered(hits, trials []float64) (share, effective float64) {
	var h, n, clusters float64
	for i := range hits {
		h, n = h+hits[i], n+trials[i]
		if trials[i] > 0 {
			clusters++
		}
	}
	if n == 0 {
		return math.NaN(), 0
	}
	share = h / n
	var between float64
	for i := range hits {
		d := hits[i] - share*trials[i]
		between += d * d
	}
	independent := n * share * (1 - share)
	if independent == 0 || clusters < 2 {
		return share, clusters
	}
	effect := between * clusters / (clusters - 1) / independent
	return share, min(n, max(clusters, n/effect))
}

// ROCArea is the chance that a value from those that have something lies above
// one from those that do not; equal ones count half. 0.5 is a coin, 1 tells all
// of them apart. It is the area under the receiver operating characteristic.
//
// Source: Hanley & McNeil, Radiology 143 (1982) 29: the area is Wilcoxon's
// statistic.
func ROCArea(with, without []float64) (float64, error) {
	a, err := rows("area of the ROC curve", 1, with)
	if err != nil {
		return math.NaN(), err
	}
	b, err := rows("area of the ROC curve", 1, without)
	if err != nil {
		return math.NaN(), err
	}
	var above float64
	for _, x := range a[0] {
		for _, y := range b[0] {
			switch {
			case x > y:
				above++
			case x == y:
				above += 0.5
			}
		}
	}
	return above / float64(len(a[0])*len(b[0])), nil
}

// Brier is the mean square distance of given probabilities (0..1) from what
// happened (1 or 0): 0 is perfect, 0.25 is what 0.5 each time gives. It is half of
// the sum over both outcomes that Brier, Mon. Weather Rev. 78 (1950) 1, uses.
func Brier(probability []float64, happened []float64) (float64, error) {
	c, err := rows("Brier score", 1, probability, happened)
	if err != nil {
		return math.NaN(), err
	}
	var sum float64
	for i, p := range c[0] {
		d := p - c[1][i]
		sum += d * d
	}
	return sum / float64(len(c[0])), nil
}

// ShareDifference is the interval of the difference of two shares, hits1 of n1 less hits2
// of n2: Newcombe's method 10, made of Wilson's intervals. NaN where one has no trials.
// Source: Newcombe, Statistics in Medicine 17 (1998) 873.
func ShareDifference(hits1, n1, hits2, n2, confidence float64) (lo, hi float64) {
	if n1 <= 0 || n2 <= 0 {
		return math.NaN(), math.NaN()
	}
	p1, p2 := hits1/n1, hits2/n2
	l1, u1 := Wilson(hits1, n1, confidence)
	l2, u2 := Wilson(hits2, n2, confidence)
	return p1 - p2 - math.Hypot(p1-l1, u2-p2), p1 - p2 + math.Hypot(u1-p1, p2-l2)
}
