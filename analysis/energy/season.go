package energy

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
)

// A Point is the performance in one window.
type Point struct {
	Start   time.Time // in the site's zone
	Hours   float64   // length
	Temp    float64   // outdoor temperature, or lift: what bins are made of
	Lift    float64   // K; NaN unknown
	COP     float64
	U       float64 // relative standard uncertainty by instruments and what was assumed
	KW      float64 // NaN unknown
	Share   float64 // by which the window counts more than its electricity in the season; 0 stands for 1
	Sensors string  // serials of the instruments
}

// day numbers the calendar day of a point.
func (p Point) day() int { return DayNumber(p.Start) }

// weight is by how much a window counts in its season: by its electricity, where power is known.
func (p Point) weight() float64 {
	w := p.Hours
	if finite(p.KW) {
		w *= p.KW
	}
	if p.Share > 0 {
		w *= p.Share
	}
	return w
}

// DayNumber numbers a calendar day by its date alone, whatever the zone.
func DayNumber(t time.Time) int {
	y, m, d := t.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// A Bin is what was seen in a range of outdoor temperature (or lift). COP is that
// at the middle of the range: each window is moved there along the season's line.
type Bin struct {
	From, To float64 // °C, K; to is not in it
	COP      float64
	SE       float64 // standard error of COP by scatter from day to day, instruments apart; fit for adding bins as if they were independent
	KW       float64 // mean power; NaN unknown
	KWSE     float64
	Windows  int
	Days     int
	Hours    float64 // in windows
}

// A Season is half a year of one system, in one mode, by one route.
type Season struct {
	Name     string // such as "2024/25 Oct-Mar"
	From, To time.Time
	Mode     string
	Route    Route
	Boundary register.Boundary
	Bins     []Bin
	COP      float64 // useful heat over electricity of all windows
	SE       float64 // standard error by what was not seen
	U        float64 // standard uncertainty by instruments and what was assumed
	KW       float64
	Windows  int
	Days     int
	Hours    float64
	Sensors  string  // serials; several sets are separated by semicolons
	Beyond   float64 // share of the electricity at temperatures without windows, for which the nearest ones stand in
}

// SeasonOf names the half-year that a day lies in, and its first day and the day
// after its last: October to March, April to September. The names say no winter or
// summer, so that they hold on both halves of the earth.
func SeasonOf(t time.Time) (name string, from, to time.Time) {
	y, m, _ := t.Date()
	at := func(y int, m time.Month) time.Time { return time.Date(y, m, 1, 0, 0, 0, 0, t.Location()) }
	switch {
	case m >= time.October:
		return fmt.Sprintf("%d/%02d Oct-Mar", y, (y+1)%100), at(y, time.October), at(y+1, time.April)
	case m < time.April:
		return fmt.Sprintf("%d/%02d Oct-Mar", y-1, y%100), at(y-1, time.October), at(y, time.April)
	}
	return fmt.Sprintf("%d Apr-Sep", y), at(y, time.April), at(y, time.October)
}

// halfYear numbers the half-year of a day, as SeasonOf names it.
func halfYear(t time.Time) int {
	y, m, _ := t.Date()
	return 2*y + (int(m)+8)/6 - 2
}

// Binning says how bins are made: their width, and the fewest windows and days
// with which one is compared.
type Binning struct {
	Width   float64 // K; default 2
	Windows int     // default 5
	Days    int     // default 2
}

// WithDefaults fills in what is zero.
func (b Binning) WithDefaults() Binning {
	b.Width = cmp.Or(b.Width, 2)
	b.Windows = cmp.Or(b.Windows, 5)
	b.Days = cmp.Or(b.Days, 2)
	return b
}

// Seasons sorts the points of one system, mode, route and boundary into half-years
// and bins.
func Seasons(points []Point, mode string, route Route, boundary register.Boundary, b Binning) []Season {
	b = b.WithDefaults()
	var out []Season
	for _, group := range byYearHalf(points) {
		name, from, to := SeasonOf(group[0].Start)
		s := Season{Name: name, From: from, To: to, Mode: mode, Route: route, Boundary: boundary, Windows: len(group)}
		s.fill(group, b)
		out = append(out, s)
	}
	return out
}

func byYearHalf(points []Point) [][]Point {
	points = slices.Clone(points)
	slices.SortStableFunc(points, func(a, b Point) int { return a.Start.Compare(b.Start) })
	var out [][]Point
	last := math.MinInt
	for _, p := range points {
		if n := halfYear(p.Start); n != last {
			out, last = append(out, nil), n
		}
		out[len(out)-1] = append(out[len(out)-1], p)
	}
	return out
}

// fill works out a season's figures. Its COP is heat over electricity: windows
// count by their power, or alike where power is not known. Days that were not seen
// are taken to scatter like those that were; a season seen on every day has none
// of that doubt left (finite population, Cochran, Sampling Techniques, section 2.6).
func (s *Season) fill(points []Point, b Binning) {
	n := len(points)
	cop, weight, kw, hours, days := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([]int, n)
	for i, p := range points {
		cop[i], kw[i], hours[i], days[i] = p.COP, p.KW, p.Hours, p.day()
		weight[i] = p.weight()
		s.Hours += p.Hours
		s.U += p.U * p.COP * p.Hours
	}
	s.COP, s.SE, s.Days = clustered(cop, weight, days)
	s.U /= s.Hours
	s.KW = weighted(kw, hours)
	if whole := s.To.Sub(s.From).Hours() / 24; finite(s.SE) {
		s.SE *= math.Sqrt(max(0, 1-float64(s.Days)/whole))
	}
	s.Sensors = sensorsOf(points)
	s.bins(points, b)
}

func weighted(x, w []float64) float64 {
	var sum, total float64
	for i, v := range x {
		if finite(v) {
			sum, total = sum+v*w[i], total+w[i]
		}
	}
	return sum / total
}

func sensorsOf(points []Point) string {
	var all []string
	for _, p := range points {
		if !slices.Contains(all, p.Sensors) {
			all = append(all, p.Sensors)
		}
	}
	slices.Sort(all)
	text := ""
	for i, s := range all {
		if i > 0 {
			text += "; "
		}
		text += s
	}
	return text
}

// Interval is the season's COP with the interval of a confidence.
func (s Season) Interval(confidence float64) Interval {
	more := robust.Student(confidence, max(1, s.Days-1)) / robust.Student(confidence, manyDays)
	return s.interval(s.COP, more*firstOf(s.SE, s.COP), confidence)
}

// manyDays are as good as all.
const manyDays = 1000

// interval is that of a COP of the season with a standard error of its own: instruments
// and what was assumed are those of the season.
func (s Season) interval(cop, se, confidence float64) Interval {
	limit := cop * s.Route.limit()
	instruments := math.Sqrt(math.Max(0, math.Pow(cop*s.U/s.COP, 2)-limit*limit/3))
	half := within(confidence, limit, math.Hypot(se, instruments))
	return Interval{cop, cop - half, cop + half}
}

// bins sorts the points of the season by temperature.
func (s *Season) bins(points []Point, b Binning) {
	slope := slopeOf(points)
	byBin := map[int][]Point{}
	for _, p := range points {
		if finite(p.Temp) {
			k := int(math.Floor(p.Temp / b.Width))
			byBin[k] = append(byBin[k], p)
		}
	}
	var keys []int
	for k := range byBin {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		s.Bins = append(s.Bins, binOf(byBin[k], float64(k)*b.Width, b.Width, slope))
	}
	s.together(byBin, b.Width, slope)
}

// together widens the bins' standard errors by one factor: a day that was better
// was better in all bins it touched, so that their errors do not cancel. With it,
// the variance of the mean over bins by their hours is that of the days.
func (s *Season) together(byBin map[int][]Point, width, slope float64) {
	apart := 0.0
	cop, hours, days := []float64{}, []float64{}, []int{}
	for _, bin := range s.Bins {
		if !finite(bin.SE) {
			continue
		}
		apart += math.Pow(bin.Hours*bin.SE, 2)
		for _, p := range byBin[int(math.Round(bin.From/width))] {
			cop = append(cop, p.COP*math.Exp(slope*(bin.From+width/2-p.Temp))-bin.COP)
			hours, days = append(hours, p.Hours), append(days, p.day())
		}
	}
	_, se, _ := clustered(cop, hours, days)
	joint := se * sum(hours)
	if factor := joint / math.Sqrt(apart); factor > 1 {
		for i := range s.Bins {
			s.Bins[i].SE *= factor
		}
	}
}

func binOf(points []Point, from, width, slope float64) Bin {
	bin := Bin{From: from, To: from + width, Windows: len(points)}
	cop, kw, hours, days := []float64{}, []float64{}, []float64{}, []int{}
	for _, p := range points {
		cop = append(cop, p.COP*math.Exp(slope*(from+width/2-p.Temp)))
		kw, hours, days = append(kw, p.KW), append(hours, p.Hours), append(days, p.day())
		bin.Hours += p.Hours
	}
	bin.COP, bin.SE, bin.Days = clustered(cop, hours, days)
	bin.KW, bin.KWSE, _ = clustered(kw, hours, days)
	return bin
}

// slopeOf is how the logarithm of COP moves with temperature, 1/K; 0 where that
// cannot be told.
func slopeOf(points []Point) float64 {
	if f := lineOver(points, func(p Point) float64 { return p.Temp }); f != nil {
		return f.Coefficients[1]
	}
	return 0
}
