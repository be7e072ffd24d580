package drift

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A Record is what the visits to one system say, as far as others can learn from it: a
// value per feature and week.
type Record struct {
	System register.System
	Events []register.Event // with the repairs that answers date
	points []point
}

// NewRecord takes a record from visits, in any order.
func NewRecord(s register.System, events []register.Event, visits []table.Visit, o Options) Record {
	o.EnsureDefaults()
	r := Record{System: s, Events: events}
	for era, seg := range segments(visits, events) {
		for from, to := range seg.decisions(o.DecideEvery) {
			r.points = append(r.points, pool(seg[from:to], features(), era)...)
		}
	}
	return r
}

// reference is the outdoor temperature at which levels of systems are compared, °C.
const reference = 15

// What systems teach each other needs some of them, each with some visits.
const (
	leastPeers  = 5
	leastPoints = 3
	// slopeVisits and slopeSpan are what a slope of one system needs.
	slopeVisits = 6
	slopeSpan   = 8.0 // K of outdoor temperature
)

// A line is what one system's visits say of a feature: a level at the reference, a slope
// where they tell one, and the scatter about them.
type line struct {
	n                     int
	level, slope, scatter float64 // NaN: not told
}

// Quarter names the calendar quarter of a time.
func Quarter(t time.Time) string {
	t = t.UTC()
	return fmt.Sprintf("%dQ%d", t.Year(), (int(t.Month())+2)/3)
}

// quarterStart is the first moment of a quarter.
func quarterStart(t time.Time) time.Time {
	t = t.UTC()
	return time.Date(t.Year(), 3*((t.Month()-1)/3)+1, 1, 0, 0, 0, 0, time.UTC)
}

// scopes are the groups that a system belongs to, the closest first.
func scopes(s register.System) []string {
	kind := s.Kind.String()
	return []string{
		strings.Join([]string{kind, s.RefrigerantName, s.Expansion.String()}, ", "),
		strings.Join([]string{kind, s.Expansion.String()}, ", "),
		kind,
	}
}

// Priors works out what systems teach each other, for the quarter of a day, from visits
// before it.
func Priors(fleet []Record, day time.Time) []table.Prior {
	before := quarterStart(day)
	var out []table.Prior
	for k, f := range features() {
		groups := map[string][]line{}
		for _, r := range fleet {
			l, ok := r.line(k, before)
			if !ok {
				continue
			}
			for _, scope := range scopes(r.System) {
				groups[scope] = append(groups[scope], l)
			}
		}
		names := make([]string, 0, len(groups))
		for name, lines := range groups {
			if len(lines) >= leastPeers {
				names = append(names, name)
			}
		}
		slices.Sort(names)
		for _, name := range names {
			p := taught(groups[name])
			p.Quarter, p.Scope, p.Feature = Quarter(day), name, f.column
			out = append(out, p)
		}
	}
	return out
}

// line fits one system's visits before a day; not ok where there are too few.
func (r Record) line(k int, before time.Time) (line, bool) {
	var x, y []float64
	for _, p := range r.points {
		if p.at.Before(before) && p.era == 0 && !math.IsNaN(p.values[k]) && !math.IsNaN(p.outdoor) && r.counts(k, p) {
			x, y = append(x, p.outdoor-reference), append(y, p.values[k])
		}
	}
	if len(y) < leastPoints {
		return line{}, false
	}
	l := line{n: len(y), slope: math.NaN(), scatter: math.NaN()}
	rest := slices.Clone(y)
	if len(y) >= slopeVisits && slices.Max(x)-slices.Min(x) >= slopeSpan {
		l.slope = slopeOf(x, y)
		for i := range rest {
			rest[i] -= l.slope * x[i]
		}
	}
	var err error
	if l.level, l.scatter, err = robust.MAD(rest); err != nil {
		return line{}, false
	}
	return l, true
}

// counts tells whether a point may teach others: subcooling only in the season for which
// the charge was chosen.
func (r Record) counts(k int, p point) bool {
	return features()[k].column != Subcooling || inSeason(r.System, p.outdoor)
}

// inSeason tells whether liquid should stand behind the condenser.
func inSeason(s register.System, outdoor float64) bool {
	return liquidStands(s, &table.Condition{OutdoorTemp: outdoor})
}

// slopeOf is the slope of least squares.
func slopeOf(x, y []float64) float64 {
	mx, my := mean(x), mean(y)
	sxx, sxy := 0.0, 0.0
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	return sxy / sxx
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// taught sums up the lines of a group.
func taught(lines []line) table.Prior {
	n := float64(len(lines))
	of := func(field func(line) float64) (median, spread float64, count int) {
		var x []float64
		for _, l := range lines {
			if v := field(l); !math.IsNaN(v) {
				x = append(x, v)
			}
		}
		if len(x) == 0 {
			return math.NaN(), math.NaN(), 0
		}
		median, spread, _ = robust.MAD(x)
		return median, spread, len(x)
	}
	p := table.Prior{Systems: int64(len(lines))}
	p.Level, p.Spread, _ = of(func(l line) float64 { return l.level })
	p.Spread = math.Max(p.Spread, leastSpread)
	p.LevelSE = medianError * p.Spread / math.Sqrt(n)
	p.Level = rounded(p.Level, p.LevelSE)
	var spread float64
	var slopes int
	p.PerOutdoor, spread, slopes = of(func(l line) float64 { return l.slope })
	p.PerOutdoorSE = math.NaN()
	if slopes > 0 {
		p.PerOutdoorSE = medianError * math.Max(spread, leastSlopeSpread) / math.Sqrt(float64(slopes))
		p.PerOutdoor = rounded(p.PerOutdoor, p.PerOutdoorSE)
	}
	p.Scatter, _, _ = of(func(l line) float64 { return l.scatter })
	p.Scatter = rounded(math.Max(p.Scatter, leastOff), p.LevelSE)
	return p
}

// medianError is the standard error of a median over that of a mean, of normal values:
// sqrt(pi/2) (Kendall & Stuart, The Advanced Theory of Statistics, vol. 1, 10.11).
const medianError = 1.2533141373155001

// Least spreads that are believed: systems differ.
const (
	leastSpread      = 0.5  // K
	leastSlopeSpread = 0.02 // K/K
)

// rounded rounds a value to a tenth of its standard error, taken as one digit.
func rounded(v, se float64) float64 {
	if !(se > 0) || math.IsNaN(v) {
		return v
	}
	step := math.Pow(10, math.Floor(math.Log10(se/10)))
	step *= math.Max(1, math.Floor(se/10/step))
	out, err := strconv.ParseFloat(strconv.FormatFloat(math.Round(v/step)*step, 'g', 12, 64), 64) // without dust of binary fractions
	if err != nil {
		return v
	}
	return out
}

// priorFor is the closest prior of a system's feature in a quarter; not ok where too few
// systems are like it.
func priorFor(priors []table.Prior, s register.System, feature, quarter string) (table.Prior, bool) {
	for _, scope := range scopes(s) {
		for _, p := range priors {
			if p.Quarter == quarter && p.Feature == feature && p.Scope == scope {
				return p, true
			}
		}
	}
	return table.Prior{}, false
}
