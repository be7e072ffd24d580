package energy

import (
	"math"

	"rimelog/analysis/robust"
)

// A Change is one season held against another, in their common bins only.
type Change struct {
	Percent Interval // of the COP, at Confidence: above 0 is better
	Bins    int      // in common
	Hours   float64  // in windows of both seasons in these bins
	Share   float64  // of the hours of both seasons that lie in common bins
	Sensors bool     // the instruments are others, so that their errors do not cancel
	Why     string   // why nothing can be said, or empty
}

// Verdicts of a comparison.
const (
	Better      = "better"
	Worse       = "worse"
	WithinNoise = "within noise"
	NotCompared = "not compared"
)

// Verdict puts the change into a word.
func (c Change) Verdict() string {
	switch {
	case c.Why != "":
		return NotCompared
	case c.Percent.Lo > 0:
		return Better
	case c.Percent.Hi < 0:
		return Worse
	}
	return WithinNoise
}

// Weights of bins: how much of the season's demand lies in one. Nil stands for the
// hours that both seasons were seen in it.
type Weights func(Bin) float64

// Standard weights bins by the hours and demand of a season of EN 14825.
func Standard(c Climate) Weights {
	return func(b Bin) float64 {
		demand := 0.0
		for i, h := range c.Hours {
			if t := float64(c.First + i); t >= b.From && t < b.To {
				demand += h * max(0, c.Share(t))
			}
		}
		return demand
	}
}

// Compare holds a season against an earlier one. Figures of other modes, routes or
// boundaries are never compared. Bins count by their weights, as shares of the same
// demand: the COP over them is demand over the electricity it takes.
func Compare(now, before Season, weights Weights, b Binning) Change {
	b = b.WithDefaults()
	switch {
	case now.Mode != before.Mode:
		return Change{Why: "another mode"}
	case now.Boundary != before.Boundary:
		return Change{Why: "another boundary: " + before.Boundary.String() + ", now " + now.Boundary.String()}
	case now.Route != before.Route:
		return Change{Why: "another route: " + before.Route.String() + ", now " + now.Route.String()}
	}
	var c Change
	var both sums
	days := 0
	for _, x := range now.Bins {
		for _, y := range before.Bins {
			if x.From != y.From || !x.enough(b) || !y.enough(b) {
				continue
			}
			w := x.Hours + y.Hours
			c.Hours += w
			if weights != nil {
				w = weights(x)
			}
			both.add(w, x, y)
			c.Bins++
			days += x.Days + y.Days
		}
	}
	if c.Bins == 0 || both.now == 0 {
		c.Why = "no outdoor temperature at which both seasons were seen often enough"
		return c
	}
	c.Share = c.Hours / (now.Hours + before.Hours)
	c.Sensors = now.Sensors != before.Sensors
	ratio, u := both.ratio()
	if c.Sensors {
		u = math.Hypot(u, math.Hypot(now.U/now.COP, before.U/before.COP))
	}
	half := robust.Student(Confidence, max(1, days-2*c.Bins)) * u
	c.Percent = Interval{100 * (ratio - 1), 100 * (ratio*math.Exp(-half) - 1), 100 * (ratio*math.Exp(half) - 1)}
	return c
}

func (b Bin) enough(rule Binning) bool {
	return b.Windows >= rule.Windows && b.Days >= rule.Days && b.COP > 0 && finite(b.SE)
}

// sums adds up the electricity for the same demand in both seasons.
type sums struct {
	now, before        float64
	varNow, varEarlier float64
}

func (s *sums) add(w float64, x, y Bin) {
	s.now, s.before = s.now+w/x.COP, s.before+w/y.COP
	s.varNow += math.Pow(w/x.COP*x.SE/x.COP, 2)
	s.varEarlier += math.Pow(w/y.COP*y.SE/y.COP, 2)
}

// ratio is the COP now over that before, and its relative standard uncertainty.
func (s *sums) ratio() (ratio, u float64) {
	return s.before / s.now, math.Sqrt(s.varNow/s.now/s.now + s.varEarlier/s.before/s.before)
}
