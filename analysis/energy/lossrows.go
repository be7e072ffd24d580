package energy

import (
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Rules of the split over a year.
const (
	lossDays     = 366     // the latest days that count
	bestDays     = 3 * 366 // the latest days that the own best is of
	leastLossDay = 7       // fewest days with windows
	floorWithin  = 1.5     // K above the floor's temperature where head pressure counts as held up
)

// LossRows splits the electricity of the latest year, and says what each part costs
// and what restoring the system's own best would gain. kwh is the electricity of a
// year, NaN unknown; floor is the condensing temperature that head-pressure control
// holds, NaN where there is none or it is unknown.
func LossRows(m *Machine, days []DayState, kwh, floor float64, tariff register.Tariff) []table.Loss {
	rows := []table.Loss{}
	if m.Refrigerant == nil {
		return rows
	}
	l := splitOf(m, days, floor)
	if len(l.days)-l.year < leastLossDay {
		return rows
	}
	for i, part := range l.parts {
		row := l.row(i, part)
		row.KWh, row.Cost, row.Currency = row.Share/100*kwh, row.Share/100*kwh*tariff.Price, tariff.Currency
		row.GainKWh, row.GainCost = row.Gain/100*kwh, row.Gain/100*kwh*tariff.Price
		rows = append(rows, row)
	}
	return rows
}

// A yearSplit is the splits of a system's days.
type yearSplit struct {
	m      *Machine
	days   []DayState // with a split
	year   int        // the first of the latest year
	parts  []string
	shares [][]float64 // by part, then day
	sizes  [][]float64
	taken  robust.Sorted // differences of the condenser

	outdoor []float64 // of each day, or what enters on that side
	order   []int     // of days, by it
}

func splitOf(m *Machine, days []DayState, floor float64) *yearSplit {
	l := &yearSplit{m: m}
	for _, d := range days {
		if days[len(days)-1].Day.Sub(d.Day) > bestDays*24*time.Hour {
			continue
		}
		cycle, ok := d.solved(m)
		if !ok {
			continue
		}
		held := 0.0
		source, sink := m.media(d.State)
		if tc := cycle.condensing; finite(floor) && tc < floor+floorWithin && m.Mode == Cooling {
			held = tc - sink - l.usual()
		}
		losses := cycle.split(Chain{Source: source, Sink: sink, State: d.State, FloorK: held}, m.Mode == Heating)
		if !finite(losses[0].Share + losses[len(losses)-1].Share) {
			continue
		}
		l.days, l.outdoor = append(l.days, d), append(l.outdoor, firstOf(d.State.Outdoor, d.State.SinkIn, 0))
		for i, loss := range losses {
			if len(l.parts) <= i {
				l.parts, l.shares, l.sizes = append(l.parts, loss.Part), append(l.shares, nil), append(l.sizes, nil)
			}
			l.shares[i], l.sizes[i] = append(l.shares[i], loss.Share), append(l.sizes[i], loss.K)
			if loss.Part == CondenserLoss {
				l.taken.Add(loss.K)
			}
		}
	}
	l.order = robust.Order(l.outdoor)
	l.year = slices.IndexFunc(l.days, func(d DayState) bool { return l.days[len(l.days)-1].Day.Sub(d.Day) <= lossDays*24*time.Hour })
	return l
}

// usualTD is what a condenser takes where nothing is known of this one, K (trade
// practice for air-cooled condensers 8 to 11 K, no source).
const usualTD = 10.0

// usual is the condenser's usual difference on the days seen so far on which head
// pressure was not held up.
func (l *yearSplit) usual() float64 {
	if m := l.taken.Median(); finite(m) {
		return m
	}
	return usualTD
}

// row is the row of a part: means over the latest year, and the gain of the own best.
func (l *yearSplit) row(i int, part string) table.Loss {
	nan := math.NaN()
	row := table.Loss{
		Part: part, From: l.days[l.year].Day.UTC(), To: l.days[len(l.days)-1].Day.UTC(), K: l.mean(l.sizes[i]), Share: 100 * l.mean(l.shares[i]),
		KWh: nan, Cost: nan, Best: nan, Gain: nan, GainKWh: nan, GainCost: nan, Windows: int64(len(l.days) - l.year),
	}
	switch part {
	case CarnotWork, CycleLoss:
		row.Note = "set by the temperatures asked for and the refrigerant: nothing to restore"
	case CompressorLosses:
		row.Gain = max(0, row.Share-100*l.mean(ownBest(l.shares[i], l.outdoor, l.order, l.year, true)))
	default:
		less := part != SubcoolingLoss
		row.Best = l.mean(ownBest(l.sizes[i], l.outdoor, l.order, l.year, less))
		row.Gain = max(0, 100*(row.K-row.Best)*l.m.Sensitivity(part, l.middle())) // for subcooling both factors are below zero
	}
	return row
}

// mean is that of the days of the latest year, by their hours.
func (l *yearSplit) mean(x []float64) float64 {
	var w []float64
	for _, d := range l.days[l.year:] {
		w = append(w, d.Weight)
	}
	return weighted(x[l.year:], w)
}

// middle is the state of the latest year's day in the middle by outdoor temperature.
func (l *yearSplit) middle() State {
	year := l.days[l.year:]
	order := robust.Order(l.outdoor[l.year:])
	return year[order[len(order)/2]].State
}

// Floor is the condensing temperature that a system's head-pressure control holds,
// °C, from the register; NaN where there is none or it is unknown.
func (m *Machine) Floor(s register.System) float64 {
	if s.HeadPressureControl == table.No {
		return math.NaN()
	}
	return m.dew(s.HeadPressureFloor)
}

// YearOf is the electricity of a year from complete days of the latest year, scaled
// to 365.25 days by their mean; NaN with fewer than 28 of them. Where less than half
// of the year was seen the season is in it, which share says.
func YearOf(days []table.EnergyDay) (kwh, share float64) {
	if len(days) == 0 {
		return math.NaN(), 0
	}
	newest := days[len(days)-1].Day
	var total float64
	n := 0
	for _, d := range days {
		if d.Complete && newest.Sub(d.Day) < lossDays*24*time.Hour {
			total, n = total+d.KWh, n+1
		}
	}
	if n < leastBefore {
		return math.NaN(), 0
	}
	return total / float64(n) * 365.25, math.Min(1, float64(n)/365)
}
