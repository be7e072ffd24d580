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
	d := demand{width, map[int]float64{}}
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

// complete adds to a season what went by in bins without windows, at the COP of the
// nearest bin with windows by the season's line, ln COP over temperature. How much more
// the line itself would change it is the doubt: it may go on, or be bent.
func (d demand) complete(s *Season, points []Point) {
	seen := map[int]bool{}
	one, t, y := []float64{}, []float64{}, []float64{}
	for _, p := range points {
		if finite(p.Temp) && p.COP > 0 {
			seen[d.bin(p.Temp)] = true
			one, t, y = append(one, 1), append(t, p.Temp), append(y, math.Log(p.COP))
		}
	}
	if len(y) < leastDays {
		return
	}
	f, err := robust.LeastSquares(y, one, t)
	if err != nil {
		return
	}
	d.extend(s, seen, func(bin int) float64 {
		return math.Exp(f.Coefficients[0] + f.Coefficients[1]*(float64(bin)+0.5)*d.width)
	})
}

// extend puts the electricity of the bins without windows into the season.
func (d demand) extend(s *Season, seen map[int]bool, line func(bin int) float64) {
	within, beyond, held, gone := 0.0, 0.0, 0.0, 0.0
	for _, b := range slices.Sorted(maps.Keys(d.kwh)) { // in order: sums have one order, and so the same bytes
		kwh := d.kwh[b]
		if seen[b] {
			within += kwh
			continue
		}
		near := slices.MinFunc(slices.Sorted(maps.Keys(seen)), func(x, y int) int { return cmp.Compare(max(x-b, b-x), max(y-b, b-y)) })
		beyond, held, gone = beyond+kwh, held+kwh*line(near), gone+kwh*line(b)
	}
	if !(within > 0 && beyond > 0) {
		return
	}
	share := beyond / (within + beyond)
	there := held / beyond
	s.SE = math.Hypot(s.SE, share*math.Abs(gone/beyond-there)/2)
	s.U *= 1 + share*(there/s.COP-1)
	s.COP += share * (there - s.COP)
	s.Beyond = share
}
