package drift

import (
	"math"
	"slices"
	"time"

	"rimelog/pipeline/table"
)

// Baselines works out what each feature of a system should be as of a day: its own
// visits since the last act that made an older baseline void and before a suspected
// change, pooled with the prior of the day's quarter. Findings are those of the system.
func (r Record) Baselines(priors []table.Prior, findings []table.Finding, asOf time.Time) (out []table.Baseline) {
	for k, f := range features() {
		if why := cannotJudge(r.System, f); why != "" {
			continue
		}
		points, note := r.healthy(k, findings, asOf)
		if len(points) == 0 {
			continue
		}
		b := r.pooled(k, points, priors, asOf)
		b.Healthy, b.Note = note == "", note
		out = append(out, b)
	}
	return out
}

// healthy are the points that a baseline is made of, and why they are not those of a
// machine that is well; nothing where they are.
func (r Record) healthy(k int, findings []table.Finding, asOf time.Time) (points []point, note string) {
	column := features()[k].column
	end := calendarDay(asOf).AddDate(0, 0, 1)
	for _, f := range findings {
		switch {
		case f.State != Open || f.Feature != column || f.Observed != "":
		case f.Kind == LowFromTheStart:
			note = "low since the first visit: not taken for healthy until somebody says so"
		case f.Suspected.Before(end):
			end = f.Suspected
		}
	}
	era := -1
	for _, p := range r.points {
		if p.at.Before(calendarDay(asOf).AddDate(0, 0, 1)) {
			era = p.era
		}
	}
	for _, p := range r.points {
		if p.era == era && p.at.Before(end) && !math.IsNaN(p.values[k]) {
			points = append(points, p)
		}
	}
	return points, note
}

// pooled is a baseline from points and the closest prior.
func (r Record) pooled(k int, points []point, priors []table.Prior, asOf time.Time) table.Baseline {
	f := features()[k]
	b := table.Baseline{System: r.System.ID, Feature: f.column, Since: points[0].at, Until: points[len(points)-1].at, Visits: int64(len(points))}
	p, ok := priorFor(priors, r.System, f.column, Quarter(asOf))
	if ok {
		b.Prior = p.Quarter + ": " + p.Scope
	} else {
		p = r.believed(k)
	}
	x, y := r.seen(&b, k, points)
	b.PerOutdoor, b.PerOutU = p.PerOutdoor, slopeBelief
	if !math.IsNaN(p.PerOutdoorSE) {
		b.PerOutU = math.Hypot(leastSlopeSpread, p.PerOutdoorSE)
	}
	if math.IsNaN(b.PerOutdoor) {
		b.PerOutdoor = 0
	}
	slopeFrom(&b, x, y, p.Scatter)
	rest := make([]float64, len(y))
	for i := range y {
		rest[i] = y[i] - b.PerOutdoor*(x[i]-b.OutdoorRef)
	}
	own := mean(rest)
	b.Scatter = scatterOf(rest, own, p.Scatter)
	variance := b.Scatter * b.Scatter / float64(len(rest))
	between := p.Spread*p.Spread + p.LevelSE*p.LevelSE
	b.OwnWeight = between / (between + variance)
	prior := p.Level + b.PerOutdoor*(b.OutdoorRef-reference)
	b.Level = b.OwnWeight*own + (1-b.OwnWeight)*prior
	b.LevelU = math.Sqrt(b.OwnWeight * variance)
	return b
}

// slopeBelief is how far a slope may differ from one that nobody taught, K/K.
const slopeBelief = 0.15

// seen fills in the conditions of a baseline and returns them with the values. An
// outdoor temperature that is not known counts as the mean.
func (r Record) seen(b *table.Baseline, k int, points []point) (x, y []float64) {
	var out, room []float64
	for _, p := range points {
		if !math.IsNaN(p.outdoor) {
			out = append(out, p.outdoor)
		}
		if !math.IsNaN(p.room) {
			room = append(room, p.room)
		}
	}
	nan := math.NaN()
	b.OutdoorRef, b.OutdoorLo, b.OutdoorHi, b.RoomLo, b.RoomHi = reference, nan, nan, nan, nan
	if len(out) > 0 {
		b.OutdoorRef, b.OutdoorLo, b.OutdoorHi = mean(out), slices.Min(out), slices.Max(out)
	}
	if len(room) > 0 {
		b.RoomLo, b.RoomHi = slices.Min(room), slices.Max(room)
	}
	for _, p := range points {
		at := p.outdoor
		if math.IsNaN(at) {
			at = b.OutdoorRef
		}
		x, y = append(x, at), append(y, p.values[k])
	}
	return x, y
}

// slopeFrom narrows the slope by the system's own visits.
func slopeFrom(b *table.Baseline, x, y []float64, scatter float64) {
	mx, my, sxx, sxy := mean(x), mean(y), 0.0, 0.0
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	if sxx == 0 || len(x) < leastPoints {
		return
	}
	own, prior := sxx/(scatter*scatter), 1/(b.PerOutU*b.PerOutU)
	b.PerOutdoor = (b.PerOutdoor*prior + sxy/sxx*own) / (prior + own)
	b.PerOutU = 1 / math.Sqrt(prior+own)
}

// scatterOf is the scatter of values about their mean, pooled with what is usual, which
// counts as two of them.
func scatterOf(rest []float64, mean, usual float64) float64 {
	sum := 2 * usual * usual
	for _, v := range rest {
		sum += (v - mean) * (v - mean)
	}
	return math.Sqrt(sum / float64(len(rest)+1))
}

// believed is what is known of a feature where no systems teach it: the wide beliefs of
// the trade that the gauges have.
func (r Record) believed(k int) table.Prior {
	column := features()[k].column
	for _, g := range gauges(r.System) {
		if g.column == column {
			return table.Prior{Level: g.level.mean, Spread: g.level.sd, Scatter: g.scatter, PerOutdoor: 0, PerOutdoorSE: slopeBelief}
		}
	}
	return table.Prior{Level: 25, Spread: 12, Scatter: 3, PerOutdoor: 0.2, PerOutdoorSE: slopeBelief} // discharge superheat
}

// Expected is what a feature should be at an outdoor temperature, with the standard
// deviation of one visit about it; not ok beyond the conditions that were seen.
func Expected(b table.Baseline, outdoor float64) (value, sd float64, ok bool) {
	if !(outdoor >= b.OutdoorLo && outdoor <= b.OutdoorHi) {
		return math.NaN(), math.NaN(), false
	}
	away := outdoor - b.OutdoorRef
	return b.Level + b.PerOutdoor*away, math.Sqrt(b.LevelU*b.LevelU + b.PerOutU*b.PerOutU*away*away + b.Scatter*b.Scatter), true
}
