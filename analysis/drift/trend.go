package drift

import (
	"errors"
	"fmt"
	"math"
	"slices"
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
	o.EnsureDefaults()
	var out []table.Trend
	for _, seg := range segments(visits, events) {
		out = append(out, seg.judge(s, o)...)
	}
	return out
}

func (seg segment) judge(s register.System, o Options) []table.Trend {
	fs := features()
	var out []table.Trend
	var points []point
	var pending []table.Visit
	var decided time.Time
	for i, v := range seg {
		pending = append(pending, v)
		if !decided.IsZero() && calendarDay(v.Start).Sub(calendarDay(decided)) < o.DecideEvery {
			continue
		}
		points = append(points, pool(pending, fs)...)
		pending, decided = nil, v.Start
		for k, f := range fs {
			out = append(out, decide(s, f, k, points, seg[:i+1], o))
		}
	}
	return out
}

// decide is the trend of one feature as of the last of the visits.
func decide(s register.System, f feature, k int, points []point, visits segment, o Options) table.Trend {
	t := trend{blank(f, visits)}
	ser := newSeries(k, points).withOutdoor().above(floor(s, f, points))
	t.Visits = int64(len(ser.y))
	if len(ser.y) > 0 {
		t.Since = ser.at[0]
	}
	if why := ser.unfit(s, f, visits, o); why != "" {
		t.Note = why
		return t.Trend
	}
	same, group, note, err := ser.grouped(o)
	t.Note = note
	if err == nil {
		t.judge(same, group, f, 0, o)
	} else {
		t.Note = err.Error()
	}
	if bound := ser.betweenSets(); t.Verdict != Falling && t.Verdict != Rising && bound > 0 {
		all := trend{blank(f, visits)}
		all.Since, all.Note = ser.at[0], "instruments changed: counted only because it is more than they may differ by"
		if all.judge(ser, nil, f, bound, o); all.Verdict == Falling || all.Verdict == Rising {
			return all.Trend
		}
	}
	return t.Trend
}

// A trend is a row of the table while it is worked out.
type trend struct{ table.Trend }

// judge fits a series and takes over what came out. All of a change's interval must
// lie beyond bound.
func (t *trend) judge(s series, group []int, f feature, bound float64, o Options) {
	fit, note, err := s.fit(f, group, o)
	t.Note = join(t.Note, note)
	if err != nil {
		t.Note = join(t.Note, err.Error())
		return
	}
	t.Visits, t.Since = int64(fit.Line.N), s.at[0]
	t.fill(fit, s, o)
	if bound > 0 && !(t.ChangeLo > bound || t.ChangeHi < -bound) {
		t.Verdict = Noise
	}
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
	if fit.P <= o.Significance && (fit.Lo > 0 || fit.Hi < 0) {
		t.Verdict = direction(fit.Slope)
	} else if late, ok := fit.late(o); ok {
		t.Verdict = direction(late.Size)
		t.Change, t.ChangeLo, t.ChangeHi, t.Significance = late.Size, late.Lo, late.Hi, late.P
		t.Note = join(t.Note, fmt.Sprintf("the last %d visits against the %d before; the slope is that of all", late.Last, late.Earlier))
	}
	if t.Verdict == Noise {
		return
	}
	if onset, err := robust.Onset(fit.Times, fit.Leveled); err == nil {
		t.Suspected = ser.timeOf(onset)
	}
}

func direction(change float64) string {
	if change < 0 {
		return Falling
	}
	return Rising
}

// lastVisits are compared with the earlier ones, of which there must be a year
// and lateVisits in all, so that the season is known.
const (
	lastVisits = 4
	lateVisits = 12
)

// late finds a change that began only lately: the last visits against the ones
// before. Both must point the same way as the slope. Where instruments changed it
// is not asked: their offsets are set by the same visits.
func (f fitted) late(o Options) (robust.Shift, bool) {
	n := len(f.Times)
	if f.sets > 1 || n < lateVisits || f.Times[n-1-lastVisits]-f.Times[0] < wholeYear {
		return robust.Shift{}, false
	}
	s, err := robust.LastShift(f.Leveled, lastVisits, o.Confidence)
	ok := err == nil && s.P <= o.Significance*lateShare && s.Size*f.Slope > 0
	return s, ok
}

// lateShare of the significance is asked of late changes: the last visits are
// others every time, so that a record is looked at afresh more often.
const lateShare = 0.5

// finite makes an open end of an interval a gap.
func finite(x float64) float64 {
	if math.IsInf(x, 0) {
		return math.NaN()
	}
	return x
}

// A fitted trend, whether its first influence is the outdoor temperature, and how
// many sets of instruments were compared with themselves.
type fitted struct {
	robust.Trend
	outdoor bool
	sets    int
}

// A series is the points at which a feature has a value.
type series struct {
	at                        []time.Time
	t, y                      []float64 // t in years since the first
	outdoor, room, condensing []float64
	doubt                     []float64
	set                       []string
}

const year = 365.25 * 24 * float64(time.Hour)

func newSeries(k int, points []point) series {
	var s series
	for _, p := range points {
		if math.IsNaN(p.values[k]) {
			continue
		}
		s.at = append(s.at, p.at)
		s.t = append(s.t, float64(p.at.Sub(s.at[0]))/year)
		s.y = append(s.y, p.values[k])
		s.outdoor = append(s.outdoor, p.outdoor)
		s.room = append(s.room, p.room)
		s.condensing = append(s.condensing, p.condensing)
		s.doubt = append(s.doubt, p.doubts[k])
		s.set = append(s.set, p.set)
	}
	return s
}

func (s series) timeOf(years float64) time.Time {
	for i, t := range s.t {
		if t >= years-1e-9 {
			return s.at[i]
		}
	}
	return s.at[len(s.at)-1]
}

// unfit says why a series cannot be judged, or nothing.
func (s series) unfit(sys register.System, f feature, visits segment, o Options) string {
	n := len(s.y)
	switch {
	case f.column == Subcooling && (sys.Receiver == register.HighSideReceiver || sys.Receiver == register.LowSideReceiver):
		return "a receiver keeps subcooling where it is until it is empty: charge cannot be judged from these channels; log the receiver level"
	case f.column == Superheat && sys.Expansion == register.Flooded:
		return "a flooded evaporator has no superheat to judge"
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
	return fitted{tr, outdoor, setsOf(group)}, note, nil
}

func setsOf(group []int) int {
	if len(group) == 0 {
		return 1
	}
	return slices.Max(group) + 1
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
