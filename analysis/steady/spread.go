package steady

import (
	"math"

	"rimelog/analysis/robust"
)

// spread is the standard uncertainty of the mean of a window from the scatter of its
// values alone. Values follow each other, so that they count for fewer; a rhythm of
// hunting, of which the window holds whole periods, averages out, and what is left is how
// much the means of the periods differ.
func (b *bins) spread(x []float64, of line, sd float64) float64 {
	if b.swings(x, of) {
		if means := periodMeans(x, float64(b.period)/float64(b.step)); len(means) >= fewestPeriods {
			return errorOfMean(means)
		}
	}
	return sd / math.Sqrt(of.effective())
}

// fewestPeriods is how many means of periods tell how much they differ.
const fewestPeriods = 3

// periodMeans are the means of an even series over whole periods, one after the other;
// values on the edge of two count for each by their share.
func periodMeans(x []float64, period float64) (means []float64) {
	sum := make([]float64, len(x)+1)
	for i, v := range x {
		sum[i+1] = sum[i] + v
	}
	until := func(at float64) float64 {
		i := min(int(at), len(x)-1)
		return sum[i] + (at-float64(i))*x[i]
	}
	const rounding = 1e-9
	for k := 1; float64(k)*period <= float64(len(x))+rounding; k++ {
		to := math.Min(float64(k)*period, float64(len(x)))
		means = append(means, (until(to)-until(float64(k-1)*period))/period)
	}
	return means
}

// errorOfMean is the standard uncertainty of the mean of some independent values. So few
// leave their own scatter in doubt: it is that of a t-distribution, √((n-1)/(n-3)) times
// s/√n (JCGM 101:2008, 6.4.9.4), and as for four where there are three.
func errorOfMean(x []float64) float64 {
	_, sd, n, err := robust.Mean(x)
	if err != nil {
		return math.NaN()
	}
	free := math.Max(float64(n), 4)
	return sd / math.Sqrt(float64(n)) * math.Sqrt((free-1)/(free-3))
}
