package energy

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// Short runs and errors of meters leave outdoor temperatures without windows, though
// electricity went by at them; a mean of the windows alone would be that of other
// weather. A demand is how much electricity went by in each bin of a season.

// A demand is by bin, which its lower end over the width numbers.
type demand struct {
	width float64
	kwh   map[int]float64
	lift  map[int]float64 // mean logarithm of the lift in K, of all windows, with a COP or without
}

func (d demand) bin(temp float64) int { return int(math.Floor(temp / d.width)) }

// demandOf adds up the hours of a season in which the machine ran in a mode: that of the
// nearest window. Those of days without electricity, for an error of the meter,
// count as much as the sound hours of their bin do, or of all.
func demandOf(hours []table.EnergyHour, days []table.EnergyDay, of modes, zone *time.Location, width float64) demand {
	if zone == nil {
		zone = time.UTC
	}
	wrong := map[int]bool{}
	for _, d := range days {
		wrong[DayNumber(d.Day.In(zone))] = d.Covered > 0 && !finite(d.KWh)
	}
	d := demand{width: width, kwh: map[int]float64{}}
	sound, open := map[int]float64{}, map[int]float64{}
	var kwh, count float64
	for _, h := range hours {
		switch k := d.bin(h.Outdoor); {
		case !finite(h.KWh+h.Outdoor) || !of.at(h.Start):
		case wrong[DayNumber(h.Start.In(zone))]:
			open[k]++
		default:
			d.kwh[k] += h.KWh
			sound[k]++
			kwh, count = kwh+h.KWh, count+1
		}
	}
	for k, n := range open {
		switch {
		case sound[k] > 0:
			d.kwh[k] += n * d.kwh[k] / sound[k]
		case count > 0:
			d.kwh[k] += n * kwh / count
		}
	}
	return d
}

// modes tells of any time whether the machine ran in a mode; of one that has windows of
// that mode only, always.
type modes struct {
	mode  string
	start []time.Time
	modes []string
}

func modesOf(windows []table.EnergyWindow, mode string) modes {
	m := modes{mode: mode}
	if !slices.ContainsFunc(windows, func(w table.EnergyWindow) bool { return w.Mode != mode }) {
		return m
	}
	for _, w := range windows {
		m.start, m.modes = append(m.start, w.Start), append(m.modes, w.Mode)
	}
	return m
}

func (m modes) at(t time.Time) bool {
	if len(m.start) == 0 {
		return true
	}
	i, _ := slices.BinarySearchFunc(m.start, t, time.Time.Compare)
	if i == len(m.start) || i > 0 && t.Sub(m.start[i-1]) < m.start[i].Sub(t) {
		i--
	}
	return m.modes[i] == m.mode
}

// weigh sets by how much each window counts, so that the windows of a bin stand for
// the electricity of the bin.
func (d demand) weigh(points []Point) {
	seen := map[int]float64{}
	for _, p := range points {
		if finite(p.Temp + p.KW) {
			seen[d.bin(p.Temp)] += p.Hours * p.KW
		}
	}
	for i, p := range points {
		s := d.bin(p.Temp)
		if finite(p.Temp+p.KW) && d.kwh[s] > 0 && seen[s] > 0 {
			points[i].Share = d.kwh[s] / seen[s]
		}
	}
}

// lifts notes at which lift a mode's windows were, also those without a COP: pressures settle
// long before the discharge gas.
func (d *demand) lifts(windows []table.EnergyWindow, mode string) {
	all := meanLifts{}
	for _, w := range windows {
		if w.Mode == mode && w.Flag == "" && finite(w.Outdoor) {
			all.add(d.bin(w.Outdoor), w.Lift, w.End.Sub(w.Start).Hours(), w.Power)
		}
	}
	d.lift = all.means()
}

// meanLifts are sums by bin: logarithms of lifts, weighed by the electricity of the windows, and
// these weights; where power is not known, by their hours.
type meanLifts map[int][2]float64

func (m meanLifts) add(bin int, lift, hours, kw float64) {
	if !(lift > leastLift) {
		return
	}
	if kw > 0 {
		hours *= kw
	}
	m[bin] = [2]float64{m[bin][0] + hours*math.Log(lift), m[bin][1] + hours}
}

func (m meanLifts) means() map[int]float64 {
	out := map[int]float64{}
	for k, s := range m {
		if s[1] > 0 {
			out[k] = s[0] / s[1]
		}
	}
	return out
}

// complete moves a season to the lifts at which its electricity went by, and adds what went by
// in bins without a COP: at the COP that the lift there tells, or else at that of the nearest bin.
func (d demand) complete(s *Season, points []Point) {
	seen := map[int]bool{}
	for _, p := range points {
		if finite(p.Temp) && p.COP > 0 {
			seen[d.bin(p.Temp)] = true
		}
	}
	if len(seen) == 0 || len(d.kwh) == 0 {
		return
	}
	line, told := overLift(points)
	if told {
		d.shift(s, points, line)
	}
	near := d.nearest(s, points, seen)
	d.extend(s, seen, func(bin int) (cop, u float64) {
		if at, known := d.lift[bin]; known && told {
			return line.at(at)
		}
		return near(bin)
	})
}

// shift moves each bin of a season from the mean lift of its windows with a COP to that of all
// its windows. A COP by the discharge gas asks for a run of an hour or so, and such runs are
// those at part load, with the compressor at its least speed and a lift some kelvin lower: at 20
// to 24 °C outdoors a water chiller had 27 K in windows with a COP and 30 K in all, which made
// its summer a tenth better than it was.
func (d demand) shift(s *Season, points []Point, line liftLine) {
	with := meanLifts{}
	for _, p := range points {
		with.add(d.bin(p.Temp), p.Lift, p.Hours, p.KW)
	}
	own := with.means()
	var was, is, far float64
	for _, p := range points {
		apart, bin := 0.0, d.bin(p.Temp)
		if at, known := d.lift[bin]; known && p.Lift > leastLift {
			apart = at - own[bin]
		}
		heat := p.weight() * p.COP
		moved := heat * math.Exp(line.power*apart)
		was, is, far = was+heat, is+moved, far+moved*math.Abs(apart)
	}
	s.COP, s.U = s.COP*is/was, s.U*is/was
	s.SE = math.Hypot(s.SE*is/was, s.COP*line.powerU()*far/is)
}

// A standIn is the COP that stands in for a bin's, and its standard uncertainty.
type standIn func(bin int) (cop, u float64)

// perKelvin is by how much a COP may follow the weather where too few windows show it, as a
// share per K: Carnot's of a lift of 25 K follows it by 4 %, that of a machine whose head
// pressure is held up not at all.
const perKelvin = 0.02

// nearest takes the nearest bin's, by the season's line, ln COP over temperature. How much more
// the line itself would change it is the doubt: it may go on, or be bent. Without a line it is
// the season's.
func (d demand) nearest(s *Season, points []Point, seen map[int]bool) standIn {
	f := lineOver(points, func(p Point) float64 { return p.Temp })
	bins := slices.Sorted(maps.Keys(seen))
	cop := s.COP
	return func(bin int) (float64, float64) {
		near := slices.MinFunc(bins, func(x, y int) int { return cmp.Compare(max(x-bin, bin-x), max(y-bin, bin-y)) })
		far := float64(max(near-bin, bin-near)) * d.width
		if f == nil {
			return cop, cop * math.Min(1, perKelvin*far)
		}
		line := func(bin int) float64 {
			return math.Exp(f.Coefficients[0] + f.Coefficients[1]*(float64(bin)+0.5)*d.width)
		}
		return line(near), math.Abs(line(bin)-line(near)) / 2
	}
}

// How COP follows the lift, as a power of it: Carnot's falls with the lift itself, and losses
// of compression and throttling take their part. What is believed before a season shows it, and
// its standard uncertainty; what of it is left at lifts that the season did not show, as the
// line may be bent there; and how far COPs lie from such a line, as a share (engineering
// choices, no source: cold rooms had -1.2 to -1.5, water chillers -0.8 to -1.1 and scatter of
// 1 % in invented fleets).
const (
	liftPower  = -1.1
	liftPowerU = 0.25
	liftBend   = 0.12
	liftOff    = 0.01
)

// A liftLine is a season's line, ln COP over ln lift.
type liftLine struct {
	lift, cop float64 // logarithms of a point of it
	power     float64
	se        float64 // standard error of the power
}

// overLift is the line of a season, which is known better the more lifts it was seen at; false
// where no lift is known. Days count as one each.
func overLift(points []Point) (line liftLine, told bool) {
	x, y, days := []float64{}, []float64{}, map[int]bool{}
	for _, p := range points {
		if p.Lift > leastLift && p.COP > 0 {
			x, y = append(x, math.Log(p.Lift)), append(y, math.Log(p.COP))
			days[p.day()] = true
		}
	}
	if len(y) == 0 {
		return line, false
	}
	mx, my, sxx, sxy := mean(x), mean(y), 0.0, 0.0
	for i := range x {
		sxx, sxy = sxx+(x[i]-mx)*(x[i]-mx), sxy+(x[i]-mx)*(y[i]-my)
	}
	share := float64(len(days)) / float64(len(y))
	believed := liftOff * liftOff / (liftPowerU * liftPowerU)
	sum := share*sxx + believed
	return liftLine{mx, my, (share*sxy + believed*liftPower) / sum, liftOff / math.Sqrt(sum)}, true
}

// powerU is the standard uncertainty of the power at other lifts.
func (l liftLine) powerU() float64 { return math.Hypot(l.se, liftBend) }

// at is the COP at the logarithm of a lift, and its standard uncertainty.
func (l liftLine) at(lift float64) (cop, u float64) {
	cop = math.Exp(l.cop + l.power*(lift-l.lift))
	return cop, cop * math.Hypot(l.powerU()*(lift-l.lift), liftOff)
}

// lineOver is the line of ln COP over what stands for the weather; nil where points are too few.
func lineOver(points []Point, of func(Point) float64) *robust.Fit {
	one, t, y := []float64{}, []float64{}, []float64{}
	for _, p := range points {
		if finite(of(p)) && p.COP > 0 {
			one, t, y = append(one, 1), append(t, of(p)), append(y, math.Log(p.COP))
		}
	}
	if len(y) < leastDays {
		return nil
	}
	f, err := robust.LeastSquares(y, one, t)
	if err != nil {
		return nil
	}
	return &f
}

// extend puts the electricity of the bins without a COP into the season.
func (d demand) extend(s *Season, seen map[int]bool, over standIn) {
	within, beyond, held, doubt := 0.0, 0.0, 0.0, 0.0
	for _, b := range slices.Sorted(maps.Keys(d.kwh)) { // in order: sums have one order, and so the same bytes
		kwh := d.kwh[b]
		if seen[b] {
			within += kwh
			continue
		}
		cop, u := over(b)
		beyond, held, doubt = beyond+kwh, held+kwh*cop, doubt+kwh*u
	}
	if !(within > 0 && beyond > 0) {
		return
	}
	share := beyond / (within + beyond)
	there := held / beyond
	s.SE = math.Hypot(s.SE, share*doubt/beyond)
	s.U *= 1 + share*(there/s.COP-1)
	s.COP += share * (there - s.COP)
	s.Beyond = share
}
