package energy

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"rimelog/analysis/robust"
)

// A year is days of invented weather, from a day on, of a machine that uses 20 kWh
// and 1.5 per K above 8 °C, with noise that follows itself, times a share.
func year(r *rand.Rand, from, days int, rho, sd, share float64) []Observation {
	truth := Model{Shape: Cooling3, Base: 20, Right: 1.5, High: 8}
	spell, noise := 0.0, sd*r.NormFloat64()
	var obs []Observation
	for d := from; d < from+days; d++ {
		spell = 0.8*spell + 1.6*r.NormFloat64()
		noise = rho*noise + sd*math.Sqrt(1-rho*rho)*r.NormFloat64()
		o := Observation{Day: d, Temp: 12 - 9*math.Cos(2*math.Pi*float64(d)/365) + spell}
		o.Y = share*truth.Value(o) + noise
		obs = append(obs, o)
	}
	return obs
}

// coming takes from days what a fault of a tenth had not yet cost on them: it came over some
// days before the event, as a power of their share that had gone by.
func coming(before []Observation, days, power float64) {
	sound := Model{Shape: Cooling3, Base: 20, Right: 1.5, High: 8}
	last := before[len(before)-1].Day
	for i, o := range before {
		come := math.Pow(math.Max(0, 1-float64(last-o.Day)/days), power)
		before[i].Y -= 0.1 * (1 - come) * sound.Value(o)
	}
}

// Monte Carlo: the intervals hold the truth as often as they say, with and without
// autocorrelation, over years with a fault that was there all along and as many in which it
// came; where it was there all along they are hardly wider than the oracle's. The oracle has
// the same days and weather and knows the shape, the change point and the true law of the
// noise (generalized least squares is no better than knowing); it does not know how what the
// event ended came, only that it may have come evenly, nor whether the machine changed for
// another reason too. The long test asks more of more years.
func TestSavingsIntervalsHoldTheTruth(t *testing.T) {
	savingsHoldTheTruth(t, 40, func(level float64) float64 { return 3 * math.Sqrt(level*(1-level)/40) })
}

// savingsHoldTheTruth asks intervals of that many years to hold the truth as often as they
// say, within the allowed share.
func savingsHoldTheTruth(t *testing.T, runs int, allowed func(level float64) float64) {
	for _, rho := range []float64{0, 0.5} {
		r := rand.New(rand.NewPCG(14, uint64(100*rho)))
		held, width, oracle := [3]int{}, 0.0, 0.0
		for run := range runs {
			before := year(r, 0, 300, rho, 2, 1)
			after := year(r, 300, 120, rho, 2, 0.9)
			came := run%2 == 1
			if came {
				coming(before, 300*(0.3+1.7*r.Float64()), 1+r.Float64())
			}
			s := Save(after[0].Day, before, after, false, CalibratedHourly)
			if s.Model == nil {
				t.Fatal(s.Why)
			}
			truth := 0.0
			sound := Model{Shape: Cooling3, Base: 20, Right: 1.5, High: 8}
			for _, o := range after {
				if o.Temp >= s.Coldest && o.Temp <= s.Warmest {
					truth += 0.1 * sound.Value(o)
				}
			}
			for i, a := range s.Avoided {
				if a.Lo <= truth && truth <= a.Hi {
					held[i]++
				}
			}
			if !came {
				width += s.Avoided[1].Hi - s.Avoided[1].Lo
				oracle += 2 * 1.645 * oracleU(before, after, s, rho, 2)
			}
		}
		for i, level := range Levels {
			got := float64(held[i]) / float64(runs)
			t.Logf("ρ %.1f: %2.0f %% interval holds the truth in %.1f %%", rho, 100*level, 100*got)
			if math.Abs(got-level) > allowed(level) {
				t.Errorf("ρ %.1f: %.0f %% interval holds the truth in %.1f %%", rho, 100*level, 100*got)
			}
		}
		t.Logf("ρ %.1f: width over oracle's %.3f", rho, width/oracle)
		if !(width/oracle <= 1.3) {
			t.Errorf("ρ %.1f: intervals are %.2f times as wide as the oracle's", rho, width/oracle)
		}
	}
}

// A fault that grew evenly over the days before counts as large as it was in the end: not
// as its mean.
func TestSavingOfAFaultThatGrew(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	held := 0
	const runs = 12
	for range runs {
		before, after := year(r, 0, 330, 0, 0.5, 1), year(r, 330, 200, 0, 0.5, 1)
		for i := range before {
			before[i].Y *= 1 + 0.1*math.Max(0, float64(i-100))/230
		}
		s := Save(after[0].Day, before, after, false, CalibratedHourly)
		truth := 0.0
		sound := Model{Shape: Cooling3, Base: 20, Right: 1.5, High: 8}
		for _, o := range after {
			if o.Temp >= s.Coldest && o.Temp <= s.Warmest {
				truth += 0.1 * sound.Value(o)
			}
		}
		if a := s.Avoided[1]; a.Lo <= truth && truth <= a.Hi {
			held++
		}
		if got := s.Avoided[1].Value / truth; got < 0.8 || got > 1.2 {
			t.Errorf("%.2f of what was avoided", got)
		}
	}
	if held < 8 { // 11 of 12 expected; fewer than 8 once in 200 times
		t.Errorf("90 %% interval holds the truth in %d of %d", held, runs)
	}
}

// Another fault grows on while the event puts one right, or something came at once before it:
// neither is counted as the event's. Days before and after alone, compared, would be off by
// what the other one costs by then, which is as much as the saving.
func TestSavingBesideAnotherChange(t *testing.T) {
	sound := Model{Shape: Cooling3, Base: 20, Right: 1.5, High: 8}
	for name, other := range map[string]func(day int) float64{
		"a fault that grows":    func(day int) float64 { return 0.12 * math.Max(0, float64(day-80)) / 365 },
		"gas that was let in":   func(day int) float64 { return 0.06 * math.Min(1, math.Floor(float64(day)/240)) },
		"a fault after it only": func(day int) float64 { return 0.15 * math.Max(0, float64(day-330)) / 365 },
	} {
		r := rand.New(rand.NewPCG(6, 6))
		held, shares := 0, []float64{}
		const runs = 6
		for range runs {
			before, after := year(r, 0, 330, 0, 0.4, 1), year(r, 330, 200, 0, 0.4, 0.9)
			coming(before, 260, 1.7)
			for _, days := range [][]Observation{before, after} {
				for i, o := range days {
					days[i].Y += other(o.Day) * sound.Value(o)
				}
			}
			s := Save(after[0].Day, before, after, false, CalibratedHourly)
			truth := 0.0
			for _, o := range after {
				if o.Temp >= s.Coldest && o.Temp <= s.Warmest {
					truth += 0.1 * sound.Value(o)
				}
			}
			if a := s.Avoided[1]; a.Lo <= truth && truth <= a.Hi {
				held++
			}
			shares = append(shares, s.Avoided[1].Value/truth)
		}
		if got, err := robust.Median(shares); err != nil || got < 0.8 || got > 1.2 {
			t.Errorf("%s: %.2f of what was avoided (%v)", name, got, err)
		}
		t.Logf("%s: the 90 %% interval holds the truth in %d of %d", name, held, runs)
		if held < 4 { // 5.4 expected; fewer than 4 once in 60 times
			t.Errorf("%s: the 90 %% interval holds the truth in %d of %d", name, held, runs)
		}
	}
}

// oracleU is the standard uncertainty for one who knows the shape, the change point, the noise
// and its memory, and that the machine got worse evenly, if it did. Of a change that the event
// had no part in it believes what the method believes: that one grew with the probability
// slowBelief, by changeSpread of the electricity in a year, from the first day on or from the
// event on.
func oracleU(before, after []Observation, s Saving, rho, sd float64) float64 {
	k := knowing{before, after, s, rho, sd}
	sure, long, late := k.u(before[0].Day, 0), k.u(before[0].Day, changeSpread), k.u(after[0].Day, changeSpread)
	return math.Sqrt((1-slowBelief)*sure*sure + slowBelief*(long*long+late*late)/2)
}

// knowing is the days, and what is known of their noise.
type knowing struct {
	before, after []Observation
	s             Saving
	rho, sd       float64
}

// u is the standard uncertainty of one who knows from when on the machine may have changed by
// what is normal about nothing with a standard deviation, in shares of the electricity a year.
func (k knowing) u(from int, change float64) float64 {
	known := Model{Shape: Cooling3, High: 8}
	columns, total, days := make([][]float64, 6), make([]float64, 6), []int{}
	add := func(day int, row ...float64) {
		days = append(days, day)
		for i, v := range row {
			columns[i] = append(columns[i], v)
		}
	}
	event := k.after[0].Day
	for _, o := range slices.Concat(k.before, k.after) {
		x := known.linear(o)
		grown := float64(max(0, o.Day-from)) / 365
		switch {
		case o.Day < event:
			add(o.Day, x[0], x[1], x[0], x[1], float64(event-1-o.Day), grown)
		case o.Temp >= k.s.Coldest && o.Temp <= k.s.Warmest:
			add(o.Day, x[0], x[1], 0, 0, 0, grown)
			total[2], total[3] = total[2]+x[0], total[3]+x[1]
		}
	}
	if change == 0 {
		columns, total = columns[:5], total[:5]
	} else { // what is believed of the change is as good as a day far off that shows it
		add(event+10000, 0, 0, 0, 0, 0, k.sd*float64(k.s.Days)/(change*k.s.Expected))
	}
	if total[3] == 0 { // no day after was warm enough to cool for: both have one slope
		columns, total = slices.Delete(columns, 3, 4), slices.Delete(total, 3, 4)
	}
	w, err := robust.Weights(total, columns...)
	if err != nil {
		return math.NaN()
	}
	return k.sd * math.Sqrt(together(w, days, k.rho))
}

// together is Σ w[i]·w[j]·ρ^|day i - day j|.
func together(w []float64, days []int, rho float64) (sum float64) {
	for i := range w {
		for j := range w {
			sum += w[i] * w[j] * math.Pow(rho, math.Abs(float64(days[i]-days[j])))
		}
	}
	return sum
}

// Nothing was done: a saving is hardly ever stated. The long test asks more years.
func TestNoSavingWithoutADifference(t *testing.T) { noSavingStated(t, 30, 4) }

// noSavingStated asks that in so many years without a saving at the most some state one.
func noSavingStated(t *testing.T, runs, most int) {
	r := rand.New(rand.NewPCG(3, 3))
	stated := 0
	for range runs {
		if s := Save(200, year(r, 0, 200, 0.4, 2, 1), year(r, 200, 100, 0.4, 2, 1), false, CalibratedHourly); s.Why == "" {
			stated++
		}
	}
	if stated > most { // half width at 68 % below half of the saving: beyond 2 standard errors, 5 % and change
		t.Errorf("a saving is stated in %d of %d years without one", stated, runs)
	}
}

// A model that does not qualify states no saving, and says why; so do too few days
// and other weather.
func TestSavingsAreNotStated(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	before := year(r, 0, 300, 0, 2, 1)
	for name, c := range map[string]struct{ before, after []Observation }{
		"few days": {before[:20], before[20:60]},
		"no model": {year(r, 0, 200, 0, 30, 1), year(r, 200, 100, 0, 30, 0.5)},
		"weather":  {year(r, 0, 60, 0, 2, 1), year(r, 180, 30, 0, 2, 0.5)},
	} {
		if s := Save(200, c.before, c.after, false, CalibratedHourly); s.Why == "" {
			t.Errorf("%s: stated %+v", name, s.Avoided)
		}
	}
	s := Save(300, before, year(r, 300, 120, 0, 2, 0.8), false, CalibratedHourly)
	if s.Why != "" || !(s.Avoided[1].Lo > 0) {
		t.Errorf("a fifth less is not stated: %q, %+v", s.Why, s.Avoided)
	}
}

// Degree days by hand: 10, 14, 17 °C to base 15: 5 + 1 + 0 heating, 2 cooling.
func TestDegreeDays(t *testing.T) {
	temps := []float64{10, 14, 17}
	near(t, "heating", DegreeDays(temps, 15, true), 6, 0)
	near(t, "cooling", DegreeDays(temps, 15, false), 2, 0)
	near(t, "normalised", Normalise(100, 300, 1500, 2000), 500, 0)
}

// What came at once some days before the event, as a valve sticks, counts as large as it was:
// a mean of the days before, or a fault that came evenly, would hardly show it.
func TestSavingOfWhatCameAtOnce(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	sound := Model{Shape: Cooling3, Base: 20, Right: 1.5, High: 8}
	held := 0
	const runs = 6
	for range runs {
		before, after := year(r, 0, 300, 0, 0.8, 1), year(r, 300, 150, 0, 0.8, 1)
		for i := range before[292:] {
			before[292+i].Y *= 1.25
		}
		s := Save(300, before, after, false, CalibratedHourly)
		truth := 0.0
		for _, o := range after {
			if o.Temp >= s.Coldest && o.Temp <= s.Warmest {
				truth += 0.25 * sound.Value(o)
			}
		}
		if a := s.Avoided[1]; a.Lo <= truth && truth <= a.Hi {
			held++
		}
		if got := s.Avoided[1].Value / truth; got < 0.6 || got > 1.4 {
			t.Errorf("%.2f of what was avoided", got)
		}
	}
	if held < 4 { // 5.4 expected; fewer than 4 once in 60 times
		t.Errorf("90 %% interval holds the truth in %d of %d", held, runs)
	}
}

// Nobody knows what a fault cost in the end if the meter was silent in the months before it
// was put right.
func TestNoSavingAfterASilence(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 10))
	before, after := year(r, 0, 300, 0, 0.5, 1), year(r, 400, 150, 0, 0.5, 0.9)
	if s := Save(300, before, after, false, CalibratedHourly); s.Why != "" {
		t.Errorf("the days are lacking after the event: %s", s.Why)
	}
	if s := Save(400, before, after, false, CalibratedHourly); s.Why == "" || s.U != 0 {
		t.Errorf("stated after a silence of 100 days: %+v", s.Avoided[1])
	}
}
