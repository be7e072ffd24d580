package score

import (
	"math"
	"time"

	"rimelog/analysis/robust"
	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// An informed is somebody who is told the course of every fault, and only not what each cost.
// Of faults that grew, the plain oracle's interval is no interval: it takes the days before for
// days with the fault as large as it was in the end, is off by what it had grown by, and holds
// the truth in one case of seven (9 of 63 savings of fleets rich in faults). How wide an
// interval must be that does hold it, this one tells: the form of the line over outdoor
// temperature is given, the size of each fault on each day as a share of its largest, the law
// of the scatter, and what is believed of costs before the days are asked; what is left is what
// the days say of the costs. By the theorem of Gauss and Markov no unbiased estimate from these
// days is surer (Aitken, Proc. R. Soc. Edinburgh 55 (1936) 42, for scatter that follows itself;
// from memory). Whoever reads logs knows less: no log tells those courses. It still takes a
// fault to cost in proportion to its size, and its intervals held 45 of those 63.
type informed struct {
	v        view
	on       time.Time
	mid      float64 // °C, and
	reach    float64 // K about it, of the days that count
	act      []truth.Episode
	others   []truth.Episode
	largest  []float64 // of others, on the days
	rows     [][]float64
	y        []float64
	day      []int
	total    []float64 // of the days that count
	counting int
}

// believedCost is the standard deviation of what a fault is believed to cost before the days
// are asked, as a share of the electricity: as the method believes it.
const believedCost = 0.15

// toldSaving is the estimate of one who is told, of days before and after, of which those
// between the temperatures of a saving count, and half of its 90 % interval.
func (v view) toldSaving(s table.Saving, days []truth.EnergyDay) (avoided, half float64) {
	t := informed{v: v, on: s.On, mid: (s.Coldest + s.Warmest) / 2, reach: math.Max(1, (s.Warmest-s.Coldest)/2)}
	before := between(days, s.On.AddDate(-1, 0, -1), s.On.Add(-12*time.Hour))
	after := between(days, s.On.AddDate(0, 0, 1), s.Until)
	t.part(append(append([]truth.EnergyDay{}, before...), after...))
	for _, d := range before {
		t.add(d, false)
	}
	for _, d := range after {
		t.add(d, d.WithoutHours > 23 && d.Outdoor >= s.Coldest && d.Outdoor <= s.Warmest)
	}
	if len(before) < leastOracle || t.counting == 0 || len(t.y) < leastOracle {
		return math.NaN(), math.NaN()
	}
	avoided, half = t.solve()
	share := float64(s.After) / float64(t.counting)
	return avoided * share, half * share
}

// part tells faults that the event put right from the others, of which those count whose size
// is another on some days.
func (t *informed) part(days []truth.EnergyDay) {
	for _, e := range t.v.Episodes {
		if !e.Ended.IsZero() && e.Ended.Sub(t.on).Abs() < 7*24*time.Hour {
			t.act = append(t.act, e)
			continue
		}
		least, most := math.Inf(1), 0.0
		for _, d := range days {
			size := e.Size(d.Day.Add(12 * time.Hour))
			least, most = math.Min(least, size), math.Max(most, size)
		}
		if most > 0 && most-least > 0.02*most {
			t.others, t.largest = append(t.others, e), append(t.largest, most)
		}
	}
}

// courses are how far the act's faults had come at a time, together, and each other.
func (t *informed) courses(at time.Time) []float64 {
	list := []float64{0}
	for _, e := range t.act {
		list[0] += e.Size(at) / e.Size(e.Ended.Add(-time.Second)) / float64(len(t.act))
	}
	if at.After(t.on) {
		list[0] = 0
	}
	for i, e := range t.others {
		list = append(list, e.Size(at)/t.largest[i])
	}
	return list
}

// add adds a day of the truth, if the meter was read on it.
func (t *informed) add(d truth.EnergyDay, counts bool) {
	x, ok := t.v.metered(d.Day)
	if !ok || d.Hours <= 23 {
		return
	}
	at := (x.Outdoor - t.mid) / t.reach
	row := []float64{1, at, at * at}
	for _, c := range t.courses(d.Day.Add(12 * time.Hour)) {
		row = append(row, c, c*at)
	}
	if t.total == nil {
		t.total = make([]float64, len(row))
	}
	if counts {
		t.counting++
		t.total[3], t.total[4] = t.total[3]+1, t.total[4]+at
	}
	t.rows, t.y, t.day = append(t.rows, row), append(t.y, x.KWh), append(t.day, int(d.Day.Unix()/86400))
}

// solve fits twice: what the first leaves over tells how days follow each other.
func (t *informed) solve() (avoided, half float64) {
	mean := 0.0
	for _, y := range t.y {
		mean += y / float64(len(t.y))
	}
	rho, sd := 0.0, 0.05*mean
	for range 2 {
		f, err := t.fit(rho, sd/(believedCost*mean))
		if err != nil {
			return math.NaN(), math.NaN()
		}
		rho, sd = t.law(f.Coefficients)
	}
	f, err := t.fit(rho, sd/(believedCost*mean))
	if err != nil {
		return math.NaN(), math.NaN()
	}
	columns, _ := t.whitened(rho, sd/(believedCost*mean))
	w, err := robust.Weights(t.total, columns...)
	if err != nil {
		return math.NaN(), math.NaN()
	}
	square := 0.0
	for i := range w {
		square += w[i] * w[i]
	}
	for k, c := range f.Coefficients {
		avoided += c * t.total[k]
	}
	return avoided, normal90 * sd * math.Sqrt(square)
}

func (t *informed) fit(rho, believed float64) (robust.Fit, error) {
	columns, y := t.whitened(rho, believed)
	return robust.LeastSquares(y, columns...)
}

// law is how the scatter follows itself from one day to the next, and its size.
func (t *informed) law(coefficients []float64) (rho, sd float64) {
	var square, pairs, last float64
	for i, row := range t.rows {
		r := t.y[i]
		for k, c := range coefficients {
			r -= c * row[k]
		}
		square += r * r
		if i > 0 && t.day[i]-t.day[i-1] == 1 {
			pairs += r * last
		}
		last = r
	}
	return max(0, min(0.95, pairs/square)), math.Sqrt(square / float64(max(1, len(t.y)-len(coefficients))))
}

// whitened are the columns and values without what the day before foretells, and a row for
// each cost that is believed to be near nothing.
func (t *informed) whitened(rho, believed float64) (columns [][]float64, y []float64) {
	columns = make([][]float64, len(t.total))
	for i, row := range t.rows {
		kept, left := 0.0, 1.0
		if i > 0 {
			kept = math.Pow(rho, float64(t.day[i]-t.day[i-1]))
			left = math.Sqrt(1 - kept*kept)
		}
		for k, x := range row {
			if i > 0 {
				x -= kept * t.rows[i-1][k]
			}
			columns[k] = append(columns[k], x/left)
		}
		v := t.y[i]
		if i > 0 {
			v -= kept * t.y[i-1]
		}
		y = append(y, v/left)
	}
	for k := 3; k < len(columns); k++ {
		for j := range columns {
			columns[j] = append(columns[j], 0)
		}
		columns[k][len(y)], y = believed, append(y, 0)
	}
	return columns, y
}
