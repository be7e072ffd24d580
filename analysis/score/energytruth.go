package score

import (
	"math"
	"slices"
	"time"

	"rimelog/analysis/robust"
	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// binWidth is the width of bins of a day's outdoor temperature, K.
const binWidth = 2.0

// A spent is what went in and came out, kWh, in some hours.
type spent struct{ heat, electricity, hours float64 }

func (s spent) cop() float64 { return s.heat / s.electricity }

func (s spent) plus(x spent) spent {
	return spent{s.heat + x.heat, s.electricity + x.electricity, s.hours + x.hours}
}

// bins are what went in and came out by the day's outdoor temperature.
type bins map[int]spent

// binsOf adds up days of a kind. Fans count while the machine runs: what they take
// besides is in no COP.
func binsOf(days []truth.EnergyDay, k energyKind) bins {
	b := bins{}
	for _, d := range days {
		if d.Heats != k.heats || d.Ran == 0 {
			continue
		}
		x := spent{d.Heat, d.Compressor, d.Ran}
		if k.fans {
			x.electricity += d.Fans
		}
		at := int(math.Floor(d.Outdoor / binWidth))
		b[at] = b[at].plus(x)
	}
	return b
}

// keys are the bins in their order: sums have one order, and so the same bytes.
func (b bins) keys() []int {
	keys := make([]int, 0, len(b))
	for k := range b {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

func (b bins) total() (all spent) {
	for _, k := range b.keys() {
		all = all.plus(b[k])
	}
	return all
}

// ratio is the COP of one over that of another in their common bins, by the hours of
// both: the same demand over the electricity it takes. NaN where they share none.
func ratio(a, b bins) float64 {
	var with, without float64
	for _, k := range a.keys() {
		if y, ok := b[k]; ok {
			w := a[k].hours + y.hours
			with, without = with+w/a[k].cop(), without+w/y.cop()
		}
	}
	return without / with
}

// between are the days of a time, its end not included.
func between(days []truth.EnergyDay, from, to time.Time) (out []truth.EnergyDay) {
	for _, d := range days {
		if noon := d.Day.Add(12 * time.Hour); !noon.Before(from) && noon.Before(to) {
			out = append(out, d)
		}
	}
	return out
}

func lastYear(days []truth.EnergyDay) []truth.EnergyDay { return days[max(0, len(days)-365):] }

// leastOracle is the fewest days before an event from which the oracle tells anything.
const leastOracle = 20

// saving holds what an event is said to have avoided against what it truly did: of all
// faults put right by it, had they been left as large as they were. Other faults grow on in
// both: what they cost after the event is no saving less. Days with weather that the saving
// leaves out count for neither.
func (v view) saving(s table.Saving, days []truth.EnergyDay) (energyCase, bool) {
	if math.IsNaN(s.Lo90) || !v.putRight(s.On) {
		return energyCase{}, false
	}
	fans := v.Covers != "compressor"
	before := between(days, s.On.AddDate(-1, 0, -1), s.On.Add(-12*time.Hour)) // days that were over by then
	after := likeWeather(between(days, s.On.AddDate(0, 0, 1), s.Until), s.Coldest, s.Warmest)
	guess, half := v.oracle(before, after)
	if !(half > 0) {
		return energyCase{}, false
	}
	var avoided float64
	for _, d := range after {
		avoided += d.Without - d.Metered(fans)
	}
	avoided *= float64(s.After) / float64(len(after)) // days that the meter missed
	known, bound := v.toldSaving(s, days)
	return energyCase{
		class: restsOn("", v.class), off: s.Avoided - avoided, holds: s.Lo90 <= avoided && avoided <= s.Hi90, width: (s.Hi90 - s.Lo90) / (2 * half),
		oracle: math.Abs(guess*float64(s.After)/float64(len(after))-avoided) / half, told: math.Abs(known-avoided) / bound, toldWidth: (s.Hi90 - s.Lo90) / (2 * bound),
	}, true
}

// likeWeather are the whole days between two outdoor temperatures about which it is known
// what would have been without the event.
func likeWeather(days []truth.EnergyDay, coldest, warmest float64) (out []truth.EnergyDay) {
	for _, d := range days {
		if d.WithoutHours > 23 && d.Outdoor >= coldest && d.Outdoor <= warmest {
			out = append(out, d)
		}
	}
	return out
}

// putRight tells whether a fault was put right within a day of a time.
func (v view) putRight(on time.Time) bool {
	return slices.ContainsFunc(v.Episodes, func(e truth.Episode) bool {
		return !e.Ended.IsZero() && e.Ended.Sub(on).Abs() < 24*time.Hour
	})
}

// normal90 is the normal quantile of a two-sided interval of 90 %.
const normal90 = 1.6448536269514722

// oracle is the estimate and half of the 90 % interval of somebody who has the same days and outdoor
// temperatures as the method, and is told what the method must find out: the form of the
// line, a parabola, and the law of the scatter about it, its size and how it follows itself
// from day to day, as they are on the days before. Like the method, the oracle is not told
// how the fault came: what it grew is scatter to the oracle. Where meters scatter more than
// faults grow, that scatter is all it sees, and the estimate is off by what the fault had grown
// by (see informed).
func (v view) oracle(before, after []truth.EnergyDay) (avoided, half float64) {
	one, t, t2, y := []float64{}, []float64{}, []float64{}, []float64{}
	for _, d := range before {
		if x, ok := v.metered(d.Day); ok && d.Hours > 23 {
			one, t, t2, y = append(one, 1), append(t, d.Outdoor), append(t2, d.Outdoor*d.Outdoor), append(y, x.KWh)
		}
	}
	if len(y) < leastOracle || len(after) == 0 {
		return math.NaN(), math.NaN()
	}
	f, err := robust.LeastSquares(y, one, t, t2)
	if err != nil {
		return math.NaN(), math.NaN()
	}
	seen := 0.0
	for _, d := range after {
		if x, ok := v.metered(d.Day); ok {
			seen, avoided = seen+1, avoided+f.Coefficients[0]+f.Coefficients[1]*d.Outdoor+f.Coefficients[2]*d.Outdoor*d.Outdoor-x.KWh
		}
	}
	var square, pairs, last float64
	for i := range y {
		r := y[i] - f.Coefficients[0] - f.Coefficients[1]*t[i] - f.Coefficients[2]*t2[i]
		square += r * r
		if i > 0 {
			pairs += r * last
		}
		last = r
	}
	rho := max(0, min(0.95, pairs/square))
	n := float64(len(after))
	variance := square / float64(len(y)-3) * (1 + rho) / (1 - rho)
	return avoided * n / math.Max(1, seen), normal90 * math.Sqrt(variance*n*(1+n/float64(len(y))))
}

// metered is a day of the table that is complete. Days of the truth are those of UTC; the
// table's begin at the site's midnight, hours off.
func (v view) metered(day time.Time) (table.EnergyDay, bool) {
	i := slices.IndexFunc(v.Days, func(d table.EnergyDay) bool { return d.Day.Sub(day).Abs() <= 12*time.Hour })
	if i < 0 || !v.Days[i].Complete {
		return table.EnergyDay{}, false
	}
	return v.Days[i], true
}
