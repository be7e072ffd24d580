package energy

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// What a row of seasons is.
const (
	WholeSeason = "season"
	OneBin      = "bin"
)

// fieldName is what a seasonal figure from field bins is called.
func fieldName(c Climate) string { return "EN 14825 " + c.Name + ": field, not rated" }

// leastCovered is the share of a season's demand that its bins must have seen for a
// seasonal figure.
const leastCovered = 0.8

// leastTold is the share of the electricity beyond the windows' temperatures that is
// told of.
const leastTold = 0.01

// SeasonRows works out the seasons of a system from its sound windows. Each sort
// (mode, route and boundary) has seasons of its own; sorts with less than a tenth of
// the windows are left to energy_windows. Hours tell how much electricity went by at
// which outdoor temperature: where short runs leave few windows, these count for
// more, and where they leave none, the nearest stand in, with their doubt.
func SeasonRows(windows []table.EnergyWindow, hours []table.EnergyHour, days []table.EnergyDay, zone *time.Location, o Options) []table.Season {
	return SeasonsAfter(nil, CountSound(windows), windows, hours, days, zone, o)
}

// SeasonsAfter is SeasonRows where the rows of the first seasons are known: windows and
// hours are those since, counts of all windows, days all days.
func SeasonsAfter(known []table.Season, counts []Count, windows []table.EnergyWindow, hours []table.EnergyHour, days []table.EnergyDay, zone *time.Location, o Options) []table.Season {
	o.EnsureDefaults()
	if zone == nil {
		zone = time.UTC
	}
	rows, since := []table.Season{}, halves(windows, hours, days, zone)
	for _, k := range sortsOf(counts) {
		was := slices.DeleteFunc(slices.Clone(known), func(r table.Season) bool { return sort{r.Mode, r.Route, r.Boundary} != k })
		rows = append(rows, was...)
		seasons := seasonsOf(was)
		for _, h := range since {
			s, ok := h.season(k, zone, o)
			if !ok {
				continue
			}
			before := earlier(seasons, s)
			seasons = append(seasons, s)
			more := s.rows(before, o)
			weather(&more[0], s, before, days, zone)
			rows = append(rows, more...)
		}
	}
	return rows
}

// A half is what is known of half a year.
type half struct {
	windows []table.EnergyWindow
	sound   []table.EnergyWindow
	hours   []table.EnergyHour
	days    []table.EnergyDay
}

// halves sorts what is known into half-years, in their order.
func halves(windows []table.EnergyWindow, hours []table.EnergyHour, days []table.EnergyDay, zone *time.Location) (out []*half) {
	at := map[int]*half{}
	of := func(t time.Time) *half {
		n := halfYear(t.In(zone))
		if at[n] == nil {
			at[n] = &half{}
		}
		return at[n]
	}
	deal(windows, func(w *table.EnergyWindow) *half { return of(w.Start) }, func(h *half, run []table.EnergyWindow) { h.windows = append(h.windows, run...) })
	deal(hours, func(x *table.EnergyHour) *half { return of(x.Start) }, func(h *half, run []table.EnergyHour) { h.hours = append(h.hours, run...) })
	deal(days, func(d *table.EnergyDay) *half { return of(d.Day) }, func(h *half, run []table.EnergyDay) { h.days = append(h.days, run...) })
	for _, n := range slices.Sorted(maps.Keys(at)) {
		at[n].sound = soundOf(at[n].windows)
		out = append(out, at[n])
	}
	return out
}

// deal gives rows to their half-years, run by run: rows are in time order, or nearly so.
func deal[Row any](rows []Row, of func(*Row) *half, give func(*half, []Row)) {
	var to *half
	from := 0
	for i := range rows {
		if h := of(&rows[i]); h != to {
			if i > from {
				give(to, rows[from:i])
			}
			to, from = h, i
		}
	}
	if len(rows) > 0 {
		give(to, rows[from:])
	}
}

// season is the half-year of one sort of windows; false where there are none.
func (h *half) season(k sort, zone *time.Location, o Options) (Season, bool) {
	points := pointsOf(h.sound, k, zone, o.Axis)
	if len(points) == 0 {
		return Season{}, false
	}
	asked := demand{}
	if o.Axis == AxisOutdoor {
		asked = demandOf(h.hours, h.days, modesOf(h.windows, k.mode), zone, o.BinWidth)
		asked.weigh(points)
		asked.lifts(h.windows, k.mode)
	}
	s := Seasons(points, k.mode, routeNamed(k.route), boundaryNamed(k.boundary), o.binning())[0]
	asked.complete(&s, points)
	return s, true
}

// soundOf are the windows with a COP and without a data error.
func soundOf(windows []table.EnergyWindow) []table.EnergyWindow {
	return slices.DeleteFunc(slices.Clone(windows), func(w table.EnergyWindow) bool { return w.Flag != "" || !finite(w.COP) })
}

// A Count is how many sound windows there are of a mode, route and boundary.
type Count struct {
	Mode, Route, Boundary string
	Windows               int
}

// CountSound counts the sound windows of each sort, the one seen first first.
func CountSound(windows []table.EnergyWindow) (out []Count) {
	for _, w := range soundOf(windows) {
		out = Add(out, Count{w.Mode, w.Route, w.Boundary, 1})
	}
	return out
}

// Add adds one count to others.
func Add(to []Count, c Count) []Count {
	i := slices.IndexFunc(to, func(x Count) bool { return x.sort() == c.sort() })
	if i < 0 {
		return append(to, c)
	}
	to[i].Windows += c.Windows
	return to
}

func (c Count) sort() sort { return sort{c.Mode, c.Route, c.Boundary} }

// sortsOf lists the sorts of windows that are worth seasons.
func sortsOf(counts []Count) (out []sort) {
	all := 0
	for _, c := range counts {
		all += c.Windows
	}
	for _, c := range counts {
		if 10*c.Windows >= all {
			out = append(out, c.sort())
		}
	}
	slices.SortFunc(out, func(a, b sort) int {
		return cmp.Or(cmp.Compare(a.mode, b.mode), cmp.Compare(a.route, b.route), cmp.Compare(a.boundary, b.boundary))
	})
	return out
}

func pointsOf(windows []table.EnergyWindow, k sort, zone *time.Location, axis string) []Point {
	if zone == nil {
		zone = time.UTC
	}
	var out []Point
	for _, w := range windows {
		if keyOf(w) != k {
			continue
		}
		p := Point{Start: w.Start.In(zone), Hours: w.End.Sub(w.Start).Hours(), Temp: w.Outdoor, Lift: w.Lift, COP: w.COP, U: w.COPU / w.COP, KW: w.Power, Sensors: w.Instruments}
		if axis == AxisLift {
			p.Temp = w.Lift
		}
		if p.Hours > 0 {
			out = append(out, p)
		}
	}
	return out
}

func routeNamed(word string) Route {
	r, _ := ParseRoute(word)
	return r
}

func boundaryNamed(word string) register.Boundary { return register.BoundaryOf(word) }

// earlier is the same half-year before a season, or nil.
func earlier(seasons []Season, s Season) *Season {
	for i := range slices.Backward(seasons) {
		if seasons[i].From.In(s.From.Location()).Month() == s.From.Month() {
			return &seasons[i]
		}
	}
	return nil
}

// seasonsOf gives back the seasons of rows of one sort.
func seasonsOf(rows []table.Season) (out []Season) {
	for i, r := range rows {
		if r.What != WholeSeason {
			continue
		}
		bins := slices.DeleteFunc(slices.Clone(rows[i:]), func(b table.Season) bool { return b.Season != r.Season })
		out = append(out, Season{
			Name: r.Season, From: r.From, To: r.To, Mode: r.Mode, Route: routeNamed(r.Route), Boundary: boundaryNamed(r.Boundary), Bins: BinsOf(bins),
			COP: r.COP, SE: r.SE, U: r.U, KW: r.Power, Windows: int(r.Windows), Days: int(r.Days), Hours: r.Hours, Sensors: r.Sensors,
		})
	}
	return out
}

// rows are the season's rows: itself, its bins, and its figure by EN 14825.
func (s Season) rows(before *Season, o Options) []table.Season {
	whole := s.row(WholeSeason, o)
	in := s.Interval(Confidence)
	whole.COP, whole.COPLo, whole.COPHi, whole.SE, whole.U = in.Value, in.Lo, in.Hi, s.SE, s.U
	whole.Power, whole.Windows, whole.Days, whole.Hours = s.KW, int64(s.Windows), int64(s.Days), s.Hours
	whole.Verdict, whole.Note = NotCompared, "no season before"
	if before != nil {
		c := Compare(s, *before, o.weights(), o.binning())
		whole.Against, whole.Verdict, whole.Note, whole.Common = before.Name, c.Verdict(), c.Why, int64(c.Bins)
		if c.Why == "" {
			whole.Change, whole.ChangeLo, whole.ChangeHi = c.Percent.Value, c.Percent.Lo, c.Percent.Hi
			whole.Note = fmt.Sprintf("common bins hold %.0f %% of both seasons' windows", 100*c.Share)
			if c.Sensors {
				whole.Note += "; other instruments: their errors are in the interval"
			}
		}
	}
	if s.Beyond >= leastTold {
		whole.Note += fmt.Sprintf("; %.0f %% of the electricity went by at outdoor temperatures without a COP: the lift there tells it, or the nearest stand in", 100*s.Beyond)
	}
	out := []table.Season{whole}
	for _, b := range s.Bins {
		out = append(out, s.binRow(b, o))
	}
	if o.Axis == AxisOutdoor {
		out = append(out, s.field(o))
	}
	return out
}

// row is a row without figures.
func (s Season) row(what string, o Options) table.Season {
	nan := math.NaN()
	return table.Season{
		Season: s.Name, From: s.From.UTC(), To: s.To.UTC(), What: what, Mode: s.Mode, Route: s.Route.String(), Boundary: s.Boundary.String(),
		Axis: o.Axis, Lo: nan, Hi: nan, COP: nan, COPLo: nan, COPHi: nan, KWh: nan, Degrees: nan, Normal: nan, SE: nan, U: nan, Power: nan, PowerSE: nan, Change: nan, ChangeLo: nan, ChangeHi: nan,
		Sensors: s.Sensors,
	}
}

func (s Season) binRow(b Bin, o Options) table.Season {
	row := s.row(OneBin, o)
	row.Lo, row.Hi, row.Windows, row.Days, row.Hours = b.From, b.To, int64(b.Windows), int64(b.Days), b.Hours
	row.COP, row.SE, row.U, row.Power, row.PowerSE = b.COP, b.SE, b.COP*s.U/s.COP, b.KW, b.KWSE
	in := s.interval(b.COP, b.SE, Confidence)
	row.COPLo, row.COPHi = in.Lo, in.Hi
	if !b.enough(o.binning()) {
		row.Note = fmt.Sprintf("fewer than %d windows on %d days: shown, not compared", o.BinWindows, o.BinDays)
	}
	return row
}

// field is the seasonal figure from the season's bins.
func (s Season) field(o Options) table.Season {
	climate := CoolingSeason
	if s.Mode == Heating {
		climate = Average
	}
	row := s.row(fieldName(climate), o)
	enough := slices.DeleteFunc(slices.Clone(s.Bins), func(b Bin) bool { return !b.enough(o.binning()) })
	cop, se, covered := climate.Field(enough)
	if covered < leastCovered {
		row.Note = fmt.Sprintf("bins were seen for %.0f %% of the demand, want %.0f %%", 100*covered, 100*leastCovered)
		return row
	}
	row.COP, row.SE, row.U = cop, se, cop*s.U/s.COP
	in := s.interval(cop, se, Confidence)
	row.COPLo, row.COPHi, row.Windows, row.Days = in.Lo, in.Hi, int64(s.Windows), int64(s.Days)
	row.Note = fmt.Sprintf("bins were seen for %.0f %% of the demand", 100*covered)
	return row
}

// BinsOf gives back the bins of rows of seasons.
func BinsOf(rows []table.Season) []Bin {
	var out []Bin
	for _, r := range rows {
		if r.What == OneBin {
			out = append(out, Bin{From: r.Lo, To: r.Hi, COP: r.COP, SE: r.SE, KW: r.Power, KWSE: r.PowerSE, Windows: int(r.Windows), Days: int(r.Days), Hours: r.Hours})
		}
	}
	return out
}
