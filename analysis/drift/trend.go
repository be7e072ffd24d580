package drift

import (
	"errors"
	"fmt"
	"math"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The verdicts of a trend.
const (
	Falling   = "falling"
	Rising    = "rising"
	Noise     = "within noise"
	NotJudged = "not judged"
)

// Judge works out a trend per feature after each visit of a system, from visits
// up to it only. Visits may come in any order; visits closer than
// Options.DecideEvery share one decision. The rows come by time, then by feature.
func Judge(s register.System, events []register.Event, visits []table.Visit, o Options) []table.Trend {
	return judgeAfter(Known{}, s, events, visits, o)
}

// judgeAfter takes over the rows of decisions that stand.
func judgeAfter(known Known, s register.System, events []register.Event, visits []table.Visit, o Options) []table.Trend {
	o.EnsureDefaults()
	j := judge{system: s, options: o, features: features(), known: known}
	j.healthy = make([][]point, len(j.features))
	for era, seg := range segments(visits, events) {
		j.segment(seg, era)
	}
	return j.out
}

// A judge goes through the segments of a system.
type judge struct {
	system   register.System
	options  Options
	features []feature
	healthy  [][]point // by feature: of earlier segments, before a change began
	points   []point   // of this one
	known    Known
	out      []table.Trend
	space    robust.Workspace
}

func (j *judge) segment(seg segment, era int) {
	j.points = nil
	for from, to := range seg.decisions(j.options.DecideEvery) {
		j.points = append(j.points, pool(seg[from:to], j.features, era)...)
		if decided := seg[to-1].Start; j.known.stands(decided) {
			j.out = append(j.out, j.known.trends(decided)...)
			continue
		}
		for k := range j.features {
			j.out = append(j.out, j.decide(k, seg[:to]))
		}
	}
	j.remember()
}

// remember keeps the points before a change for the next segment: they say how a
// feature follows the weather, though not where it stands after an event.
func (j *judge) remember() {
	n := len(j.features)
	for k := range j.features {
		var onset time.Time
		if len(j.out) >= n {
			onset = j.out[len(j.out)-n+k].Suspected
		}
		for _, p := range j.points {
			if onset.IsZero() || p.at.Before(onset) {
				j.healthy[k] = append(j.healthy[k], p)
			}
		}
	}
}

// decide is the trend of one feature as of the last of the visits.
func (j *judge) decide(k int, visits segment) table.Trend {
	f, o := j.features[k], j.options
	t := trend{blank(f, visits)}
	limit := floor(j.system, f, j.points)
	all := newSeries(k, j.points).withOutdoor()
	ser := all.above(limit)
	t.Visits = int64(len(ser.y))
	if len(ser.y) > 0 {
		t.Since = ser.at[0]
	}
	why := ser.unfit(j.system, f, visits, o)
	if why != "" && len(ser.y) == 0 && len(all.y) > 0 {
		why = heldUp
		t.Since = all.at[0]
	}
	if why != "" {
		t.Note = why
		if len(all.y) < leastInSegment || why == cannotJudge(j.system, f) {
			return t.Trend
		}
	} else {
		t.line(ser, f, o)
	}
	if len(j.healthy[k]) > 0 {
		all = newSeries(k, j.healthy[k], j.points).withOutdoor()
		ser = all.above(limit)
	}
	j.onset(&t, k, all, ser, !math.IsInf(limit, 0))
	return t.Trend
}

// line judges the line through a segment.
func (t *trend) line(s series, f feature, o Options) {
	same, group, note, err := s.grouped(o)
	t.Note = note
	if err != nil {
		t.Note = err.Error()
		return
	}
	t.judge(same, group, f, o)
}

// onset looks for a change after a baseline: for the condenser where its difference
// is free, then over all weather, where head pressure control hides a part of it but
// there are more visits.
func (j *judge) onset(t *trend, k int, all, free series, held bool) {
	f, share := j.features[k], j.options.Significance*(1-lineShare)
	if !held {
		t.onset(all, f, share, &j.space, j.options)
		return
	}
	if !t.onset(free, f, share/2, &j.space, j.options) {
		t.onset(all, f, share/2, &j.space, j.options)
	}
}

// heldUp says why a condenser cannot be judged.
const heldUp = "head pressure control held the condensing temperature up at every visit: the condenser shows itself in warm weather"

// leastInSegment is how many visits after an event may show that a change goes on.
const leastInSegment = 4

// A trend is a row of the table while it is worked out.
type trend struct{ table.Trend }

// judge fits a line to a series and takes over what came out.
func (t *trend) judge(s series, group []int, f feature, o Options) {
	fit, note, err := s.fit(f, group, o)
	t.Note = join(t.Note, note)
	if err != nil {
		t.Note = join(t.Note, err.Error())
		return
	}
	t.Visits, t.Since = int64(fit.Line.N), s.at[0]
	t.fill(fit, s, o)
}

// blank is a trend that is not judged.
func blank(f feature, visits segment) table.Trend {
	nan := math.NaN()
	return table.Trend{
		DecidedOn: visits[len(visits)-1].Start, Feature: f.column, Verdict: NotJudged,
		PerYear: nan, Lo: nan, Hi: nan, Change: nan, ChangeLo: nan, ChangeHi: nan,
		Level: nan, PerOutdoor: nan, OutdoorRef: nan, Noise: nan, Significance: nan,
	}
}

// fill takes over what was fitted, and the verdict.
func (t *trend) fill(fit fitted, ser series, o Options) {
	span := fit.Times[len(fit.Times)-1] - fit.Times[0]
	t.PerYear, t.Lo, t.Hi = fit.Slope, finite(fit.Lo), finite(fit.Hi)
	t.Change, t.ChangeLo, t.ChangeHi = fit.Slope*span, finite(fit.Lo*span), finite(fit.Hi*span)
	t.Level, t.Noise, t.Significance = fit.Level, fit.Noise, fit.P
	if fit.outdoor {
		t.PerOutdoor, t.OutdoorRef = fit.Influence[0], fit.Reference[0]
	}
	t.Verdict = Noise
	if fit.P <= o.Significance*lineShare && (fit.Lo > 0 || fit.Hi < 0) {
		t.Verdict = direction(fit.Slope)
	}
	if t.Verdict == Noise {
		return
	}
	if onset, err := robust.Onset(fit.Times, fit.Leveled); err == nil {
		t.Suspected = ser.timeOf(onset)
	}
}

// lineShare of the significance is asked of the line through the whole segment, the
// rest of a break after a baseline: each may raise what the other does not see.
const lineShare = 0.54

func direction(change float64) string {
	if change < 0 {
		return Falling
	}
	return Rising
}

// finite makes an open end of an interval a gap.
func finite(x float64) float64 {
	if math.IsInf(x, 0) {
		return math.NaN()
	}
	return x
}

// A fitted trend, and whether its first influence is the outdoor temperature.
type fitted struct {
	robust.Trend
	outdoor bool
}

// A series is the points at which a feature has a value.
type series struct {
	at                        []time.Time
	t, y                      []float64 // t in years since the first
	outdoor, room, condensing []float64
	doubt                     []float64
	set                       []string
	era                       []int
}

const year = 365.25 * 24 * float64(time.Hour)

// newSeries puts the points of one record after another at which a feature has a value.
func newSeries(k int, records ...[]point) series {
	n := 0
	for _, points := range records {
		n += len(points)
	}
	s := series{at: make([]time.Time, 0, n), set: make([]string, 0, n), era: make([]int, 0, n)}
	space := make([]float64, 6*n)
	for i, to := range []*[]float64{&s.t, &s.y, &s.outdoor, &s.room, &s.condensing, &s.doubt} {
		*to = space[i*n : i*n : (i+1)*n]
	}
	for _, points := range records {
		for i := range points {
			if p := &points[i]; !math.IsNaN(p.values[k]) {
				s.add(p, k)
			}
		}
	}
	return s
}

// add takes up a point.
func (s *series) add(p *point, k int) {
	s.at = append(s.at, p.at)
	s.t = append(s.t, float64(p.at.Sub(s.at[0]))/year)
	s.y = append(s.y, p.values[k])
	s.outdoor = append(s.outdoor, p.outdoor)
	s.room = append(s.room, p.room)
	s.condensing = append(s.condensing, p.condensing)
	s.doubt = append(s.doubt, p.doubts[k])
	s.set = append(s.set, p.set)
	s.era = append(s.era, p.era)
}

func (s series) timeOf(years float64) time.Time {
	for i, t := range s.t {
		if t >= years-1e-9 {
			return s.at[i]
		}
	}
	return s.at[len(s.at)-1]
}

// cannotJudge says why no record of a system's feature can be judged, or nothing.
func cannotJudge(sys register.System, f feature) string {
	switch {
	case f.column == Subcooling && (sys.Receiver == register.HighSideReceiver || sys.Receiver == register.LowSideReceiver):
		return "a receiver keeps subcooling where it is until it is empty: charge cannot be judged from these channels; log the receiver level"
	case f.column == Superheat && sys.Expansion == register.Flooded:
		return "a flooded evaporator has no superheat to judge"
	}
	return ""
}

// unfit says why a series cannot be judged, or nothing.
func (s series) unfit(sys register.System, f feature, visits segment, o Options) string {
	n := len(s.y)
	if why := cannotJudge(sys, f); why != "" {
		return why
	}
	switch {
	case n == 0:
		return noValue(f, visits)
	case n < o.MinVisits:
		return fmt.Sprintf("%s: too few to judge a trend, want %d", visitsOf(n), o.MinVisits)
	case s.at[n-1].Sub(s.at[0]) < o.MinSpan:
		return fmt.Sprintf("%s within %.0f days: too short to judge a trend, want %.0f days", visitsOf(n), s.at[n-1].Sub(s.at[0]).Hours()/24, o.MinSpan.Hours()/24)
	}
	return ""
}

// noValue says why no visit has a value.
func noValue(f feature, visits segment) string {
	last := visits[len(visits)-1]
	if last.Reason != "" && len(visits) == 1 {
		return "one visit, not used: " + last.Reason
	}
	if last.Reason != "" {
		return fmt.Sprintf("none of %s is used; the last: %s", visitsOf(len(visits)), last.Reason)
	}
	return fmt.Sprintf("no %s: a channel it needs was not logged", f.words)
}

func visitsOf(n int) string {
	if n == 1 {
		return "one visit"
	}
	return fmt.Sprintf("%d visits", n)
}

// errSeason says that season and trend run together.
var errSeason = errors.New("outdoor temperature went along with time: season and change cannot be told apart yet")

// errNoOutdoor says that nothing tells the season.
var errNoOutdoor = errors.New("outdoor temperature is not known for the visits, and they cover less than a year: season and change cannot be told apart")

// fit finds the trend with season and instruments taken out.
func (s series) fit(f feature, group []int, o Options) (fitted, string, error) {
	influences, outdoor, note, err := s.influences(f)
	if err != nil {
		return fitted{}, note, err
	}
	if len(s.y) < o.MinVisits+len(influences) {
		return fitted{}, note, fmt.Errorf("%s: too few to tell season and change apart, want %d", visitsOf(len(s.y)), o.MinVisits+len(influences))
	}
	tr, err := robust.Partial(s.t, s.y, group, o.Confidence, influences...)
	if errors.Is(err, robust.ErrSingular) {
		return fitted{}, note, errSeason
	}
	if err != nil {
		return fitted{}, note, err
	}
	if tr.Line.N >= correctFrom {
		by, err := robust.Inflation(tr.Leveled, correctLags)
		if err != nil {
			return fitted{}, note, err
		}
		tr = tr.Inflated(by)
	}
	return fitted{tr, outdoor}, note, nil
}

// From correctFrom values on, neighbours are asked whether they resemble each
// other, up to correctLags apart: with fewer values the correlation is mostly
// noise, with more lags the correction becomes wild (Hamed & Rao 1998).
const (
	correctFrom = 15
	correctLags = 3
)

func join(a, b string) string {
	switch {
	case a == "":
		return b
	case b == "":
		return a
	}
	return a + "; " + b
}
