package score

import (
	"encoding/json"
	"math"
	"strconv"

	"rimelog/analysis/robust"
)

// A Number is a figure that may be absent: NaN, null in JSON.
type Number float64

// MarshalJSON writes null for an absent figure, others to six digits.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(n.rounded())
}

// rounded keeps six digits: more mean nothing, and differ between processors.
func (n Number) rounded() float64 {
	short, _ := strconv.ParseFloat(strconv.FormatFloat(float64(n), 'g', 6, 64), 64)
	return short
}

// absent is a figure that is not there.
var absent = Number(math.NaN())

// A Share is a share of n trials with its interval (Wilson, 95 %) and the exact one of
// Clopper and Pearson.
type Share struct {
	Share     Number `json:"share"`
	N         int    `json:"n"`
	Low       Number `json:"low"`
	High      Number `json:"high"`
	ExactLow  Number `json:"exact_low"`
	ExactHigh Number `json:"exact_high"`
}

// share is a share of independent trials.
func share(hits, n int) Share {
	return shareOf(float64(hits), float64(n), n)
}

// shareOf is a share of so many independent trials, which stand for n.
func shareOf(hits, trials float64, n int) Share {
	lo, hi := robust.Wilson(hits, trials, confidence)
	least, most := robust.ClopperPearson(hits, trials, confidence)
	return Share{Number(hits / trials), n, Number(lo), Number(hi), Number(least), Number(most)}
}

// A tally counts trials by cluster.
type tally struct {
	index        map[string]int
	hits, trials []float64
}

func (t *tally) add(cluster string, hits, trials int) {
	i, ok := t.index[cluster]
	if !ok {
		if t.index == nil {
			t.index = map[string]int{}
		}
		i = len(t.hits)
		t.index[cluster] = i
		t.hits, t.trials = append(t.hits, 0), append(t.trials, 0)
	}
	t.hits[i] += float64(hits)
	t.trials[i] += float64(trials)
}

// share is the share of trials that come in clusters.
func (t *tally) share() Share {
	p, n := robust.Clustered(t.hits, t.trials)
	var all float64
	for _, x := range t.trials {
		all += x
	}
	s := shareOf(p*n, n, int(all))
	s.Share = Number(p)
	return s
}

// mean is the mean share of the clusters, each counted once; they are the trials.
func (t *tally) mean() Share {
	var hits float64
	for i, n := range t.trials {
		hits += t.hits[i] / n
	}
	return shareOf(hits, float64(len(t.trials)), len(t.trials))
}

// A Rate is a number of events in 100 system-years. A system-year is a trial: n is
// how many there are, rounded, low and high are Wilson's interval, and the exact
// ends are those of Clopper and Pearson; all at 95 %.
type Rate struct {
	Rate        Number `json:"rate"`
	N           int    `json:"n"`
	Low         Number `json:"low"`
	High        Number `json:"high"`
	ExactLow    Number `json:"exact_low"`
	ExactHigh   Number `json:"exact_high"`
	Events      int    `json:"events"`
	SystemYears Number `json:"system_years"`
}

func rate(events int, years float64) Rate {
	r := Rate{absent, int(math.Round(years)), absent, absent, absent, absent, events, Number(years)}
	if years <= 0 {
		return r
	}
	hits, trials := float64(events), math.Max(years, float64(events))
	per := func(share float64) Number { return Number(100 * share * trials / years) }
	r.Rate = per(hits / trials)
	lo, hi := robust.Wilson(hits, trials, confidence)
	r.Low, r.High = per(lo), per(hi)
	lo, hi = robust.ClopperPearson(hits, trials, confidence)
	r.ExactLow, r.ExactHigh = per(lo), per(hi)
	return r
}

// A Spread is the middle and the upper end of figures.
type Spread struct {
	Median Number `json:"median"`
	P90    Number `json:"p90"`
	N      int    `json:"n"`
}

func spread(x []float64) Spread {
	return Spread{median(x), quantile(x, 0.9), len(x)}
}

func median(x []float64) Number {
	m, err := robust.Median(x)
	if err != nil {
		return absent
	}
	return Number(m)
}

func quantile(x []float64, p float64) Number {
	q, err := robust.Quantile(x, p)
	if err != nil {
		return absent
	}
	return Number(q)
}

func mean(x []float64) Number {
	m, _, _, err := robust.Mean(x)
	if err != nil {
		return absent
	}
	return Number(m)
}
