package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The charge sensor of Li & Braun 2009 with its default coefficients: at a rated
// subcooling of 7.5 K and superheat of 10 K, 3.5 and 14 K mean 13.6 % less charge, of
// which superheat makes 0.4 * 4 K. Here subcooling stands alone.
func TestSensitivityIsThatOfTheChargeSensor(t *testing.T) {
	if got := 100 * perPercent; math.Abs(got-41.1) > 0.05 {
		t.Errorf("K_ch %.2f K, want 41.1", got)
	}
	if got := ((3.5 - 7.5) - perSuperheat*(14-10)) / perPercent; math.Abs(got+13.6) > 0.05 {
		t.Errorf("charge %.2f %%, want -13.6", got)
	}
}

// Over a reading's own width, evidence follows Bayes: a change of so many standard
// deviations under a belief of the same width as its uncertainty.
func TestEvidenceOfAReading(t *testing.T) {
	over := func(r reading, m move) float64 { return m.explains(r) - logDensity(r.size, r.sd*r.sd) }
	for _, c := range []struct{ size, sd, mean, width, want float64 }{
		{0, 1, 0, 1, -math.Log(2) / 2},            // nothing seen: the wider belief loses by its width
		{3, 1, 0, 1, 9./2 - 9./4 - math.Log(2)/2}, // N(3; 0, 2) over N(3; 0, 1)
		{3, 1, 3, 1, 9./2 - math.Log(2)/2},
	} {
		if got := over(reading{c.size, c.sd}, tells(c.mean, c.width, 0, 0)); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%+v: %.6f, want %.6f", c, got, c.want)
		}
	}
	// Of a belief about 0 that knows the sign, half is left: the right sign gains
	// nearly ln 2, the wrong one loses nearly all.
	r := reading{6, 1}
	either := over(r, tells(0, 2, 0, 0))
	if gain := over(r, tells(0, 2, 1, 0)) - either; math.Abs(gain-math.Ln2) > 1e-6 {
		t.Errorf("the right sign gains %.4f, want ln 2", gain)
	}
	if loss := over(r, tells(0, 2, -1, 0)) - either; loss > -10 {
		t.Errorf("the wrong sign loses %.1f only", loss)
	}
}

// lossOf is what is known of a machine's loss after its last visit.
func lossOf(t *testing.T, s register.System, visits []table.Visit, events ...register.Event) table.Cause {
	t.Helper()
	rows := Causes(s, events, visits, Options{})
	for _, c := range slices.Backward(rows) {
		if c.Kind == ChargeLoss && c.DecidedOn.Equal(visits[len(visits)-1].Start) {
			return c
		}
	}
	t.Fatal("no loss of charge is seen")
	return table.Cause{}
}

// A loss that goes on after subcooling is used up is not taken for a slower one: rate and
// loss stay those of the machine, drawn with the generic sensitivity.
func TestLossGoesOnOnceSubcoolingIsUsedUp(t *testing.T) {
	const machines = 40
	rng := rand.New(rand.NewPCG(70, 70))
	rates, losses, told := 0, 0, 0
	for range machines {
		m := machine{visits: 36, every: month, noise: 0.5, leak: 5 + 3*rng.Float64(), from: 8}
		c := lossOf(t, system(), m.draw(rng))
		rate := m.leak / perPercent
		gone := rate * years(time.Duration(m.visits-1-m.from)*m.every)
		rates += int(is(c.LossPctLo <= rate && rate <= c.LossPctHi))
		losses += int(is(c.LostLo <= gone && gone <= c.LostHi))
		told += int(is(c.Note == usedUp))
	}
	if rates < 36 || losses < 36 || told < 36 {
		t.Errorf("of %d machines the rate is held %d times, the loss %d times, and %d are told that subcooling is used up", machines, rates, losses, told)
	}
}

// sawtooth draws visits to a machine that loses so much subcooling a year from a visit on, K,
// and is filled up again just before another. It gives how much it had lost by then too.
func sawtooth(rng *rand.Rand, visits int, leak float64, from, refilled int) (out []table.Visit, back float64) {
	out = machine{visits: visits, every: month, noise: 0.4}.draw(rng)
	slices.SortFunc(out, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
	back = leak * years(out[refilled].Start.Sub(out[from].Start))
	for i := from; i < len(out); i++ {
		out[i].Subcooling -= leak*years(out[i].Start.Sub(out[from].Start)) - back*is(i >= refilled)
	}
	return out, back
}

// A weighed addition shows how much a percent is worth at this machine, and takes what it
// put back off the loss. A line with the kilograms in grams does not.
func TestWeighedAdditionCalibrates(t *testing.T) {
	const own, refilled = 1.5 * perPercent, 20
	rng := rand.New(rand.NewPCG(71, 71))
	const leak = 4.0
	s := system()
	s.Charge.KG = 10
	visits, back := sawtooth(rng, 30, leak, 8, refilled)
	added := register.Event{Kind: register.ChargeAdded, Time: visits[refilled].Start.Add(-time.Hour), HasTime: true, KG: s.Charge.KG * back / own / 100}
	rate, gone := leak/own, leak*years(visits[len(visits)-1].Start.Sub(visits[refilled].Start))/own

	c := lossOf(t, s, visits, added)
	if c.CalibratedBy != 1 || c.LossPct < 0.75*rate || c.LossPct > 1.25*rate || c.Lost < 0.6*gone || c.Lost > 1.4*gone {
		t.Errorf("calibrated by %d: %.1f %% a year and %.1f %% gone, want about %.1f and %.1f", c.CalibratedBy, c.LossPct, c.Lost, rate, gone)
	}
	if width := math.Log(c.LossPctHi/c.LossPctLo) / 2; width > 0.35 {
		t.Errorf("the rate is known within a factor of %.2f only", math.Exp(width))
	}
	added.KG *= 1000
	if c := lossOf(t, s, visits, added); c.CalibratedBy != 0 {
		t.Errorf("%.0f kg into a machine of %.0f kg calibrate it", added.KG, s.Charge.KG)
	}
}

// An addition that nobody wrote down splits the trend: the rate is that of the sawtooth, and
// what is gone counts from the addition.
func TestUnrecordedAdditionSplitsTheTrend(t *testing.T) {
	rng := rand.New(rand.NewPCG(73, 73))
	const machines, refilled = 12, 20
	held, told := 0, 0
	for range machines {
		const leak = 4.0
		visits, _ := sawtooth(rng, 32, leak, 8, refilled)
		c := lossOf(t, system(), visits)
		rate, gone := leak/perPercent, leak*years(visits[len(visits)-1].Start.Sub(visits[refilled].Start))/perPercent
		held += int(is(c.LossPctLo <= rate && rate <= c.LossPctHi && c.LostLo <= gone && gone <= c.LostHi))
		told += int(is(strings.Contains(c.Note, StepUnrecorded)))
	}
	if held < 10 || told < 10 {
		t.Errorf("of %d machines rate and loss of %d are held, and %d are told of the addition", machines, held, told)
	}
}

// A machine that is topped up at every visit is found all the same, by what had to be added.
func TestToppedUpAtEveryVisit(t *testing.T) {
	rng := rand.New(rand.NewPCG(74, 74))
	s := system()
	s.Charge.KG = 10
	found := 0
	for range 10 {
		m := machine{visits: 20, every: 3 * month, noise: 0.4}
		visits := m.draw(rng)
		slices.SortFunc(visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
		var asFound []table.Visit
		var events []register.Event
		const rate = 14.0 // % a year, from the sixth visit on
		for i, v := range visits {
			v.Part = table.AsFound
			asFound = append(asFound, v)
			if i < 6 {
				continue
			}
			gone := rate * years(v.Start.Sub(visits[i-1].Start))
			asFound[len(asFound)-1].Subcooling -= gone * perPercent
			events = append(events, register.Event{Kind: register.ChargeAdded, Time: v.Start.Add(30 * time.Minute), HasTime: true, KG: gone / 100 * s.Charge.KG})
			left := v
			left.Part, left.Start = table.AsLeft, v.Start.Add(40*time.Minute)
			left.Subcooling += 0.2 * rng.NormFloat64()
			asFound = append(asFound, left)
		}
		for _, f := range Findings(s, events, nil, nil, Causes(s, events, asFound, Options{}), future, Options{}) {
			if f.Kind == ChargeLoss {
				found++
				break
			}
		}
	}
	if found < 8 {
		t.Errorf("%d of 10 machines that are topped up at every visit are found", found)
	}
}

// Behind a fixed opening superheat bears half of a loss: the sensor's own figures for a
// machine that lost 10 %.
func TestFixedOpeningLosesBySuperheatToo(t *testing.T) {
	s := system()
	s.Expansion = register.Orifice
	if got := alone(s) + perSuperheat*(0.5*perPercent/perSuperheat); math.Abs(got-perPercent) > 1e-12 {
		t.Errorf("subcooling and superheat together fall by %.3f K per percent, want %.3f", got, perPercent)
	}
	for _, e := range []register.Expansion{register.Orifice, register.Thermostatic, register.ExpansionUnknown} {
		s.Expansion = e // what the register says of it
		rng := rand.New(rand.NewPCG(72, 72))
		visits := machine{visits: 30, every: month, noise: 0.4}.draw(rng)
		slices.SortFunc(visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
		const rate = 12.0 // % a year
		for i := 8; i < len(visits); i++ {
			gone := rate * years(visits[i].Start.Sub(visits[8].Start))
			visits[i].Subcooling -= gone * perPercent / 2
			visits[i].Superheat += gone * perPercent / 2 / perSuperheat
		}
		if c := lossOf(t, s, visits); c.LossPctLo > rate || c.LossPctHi < rate || c.LossPct < 0.8*rate {
			t.Errorf("%v: %.1f %% a year (%.1f to %.1f), want about %.0f", e, c.LossPct, c.LossPctLo, c.LossPctHi, rate)
		}
	}
}

// A lognormal amount whose logarithm has the mean μ and the variance σ² has itself the
// mean exp(μ + σ²/2) and the square of the relative standard deviation exp(σ²) - 1 (Johnson, Kotz &
// Balakrishnan, Continuous Univariate Distributions, 14): both are given back. A sensitivity
// known exactly adds nothing; one that is not leaves the median where it is.
func TestAnAmountIsLognormal(t *testing.T) {
	for _, r := range []reading{{4, 0.1}, {4, 1}, {4, 3}, {0.2, 0.4}} {
		a := amountOf(r, 0.5, 0)
		v := a.ln.sd * a.ln.sd
		if mean, c := math.Exp(a.ln.mean+v/2), math.Sqrt(math.Expm1(v)); math.Abs(mean-r.size/0.5) > 1e-9 || math.Abs(c-r.sd/r.size) > 1e-9 {
			t.Errorf("%+v: mean %.4f, relative standard deviation %.4f", r, mean, c)
		}
		lo, hi := a.ends()
		wider := amountOf(r, 0.5, 0.2)
		if l, h := wider.ends(); l >= lo || h <= hi || math.Abs(l*h-lo*hi) > 1e-9 {
			t.Errorf("%+v: %.3f to %.3f, and %.3f to %.3f with a sensitivity in doubt", r, lo, hi, l, h)
		}
	}
}

// What is known of a move after a reading is the mean and spread of Bayes' rule, worked out
// here over a fine grid: a gauge that stays, a usual move and an unusually large one.
func TestPosteriorIsThatOfBayes(t *testing.T) {
	density := func(x, mean, sd float64) float64 { return math.Exp(-(x-mean)*(x-mean)/sd/sd/2) / sd }
	for _, r := range []reading{{-3, 0.5}, {-10, 1.5}, {-20, 4}, {-0.5, 1}, {1, 2}} {
		m := tells(-3.5, 2.5, -1, 0.2)
		part := func(n normal, weight float64) (mass, sum, square float64) {
			const step = 0.001
			for x := -90.0; x < 90; x += step {
				d := weight * step * density(x, n.mean, n.sd) * density(r.size, x, r.sd)
				mass, sum, square = mass+d, sum+x*d, square+x*x*d
			}
			// A belief that knows the sign weighs more by what it left out, and less by what the reading leaves out.
			post := 1 / (1/(r.sd*r.sd) + 1/(n.sd*n.sd))
			at := post * (r.size/(r.sd*r.sd) + n.mean/(n.sd*n.sd))
			by := math.Erfc(at/math.Sqrt(2*post)) / math.Erfc(n.mean/n.sd/math.Sqrt2)
			return mass * by, sum * by, square * by
		}
		m1, s1, q1 := part(m.normal, (1-m.stays)*(1-farShare))
		m2, s2, q2 := part(m.far(), (1-m.stays)*farShare)
		none := m.stays * density(r.size, 0, math.Hypot(r.sd, still)) * math.Sqrt(2*math.Pi)
		all := none + m1 + m2
		mean := (s1 + s2) / all
		sd := math.Sqrt((q1+q2)/all - mean*mean)
		if got := m.posterior(r); math.Abs(got.size-mean) > 1e-3 || math.Abs(got.sd-sd) > 1e-3 {
			t.Errorf("%+v: %+v, want %.3f with %.3f", r, got, mean, sd)
		}
	}
}

// A machine that has no liquid behind its condenser in mild weather loses charge in the cold:
// subcooling on its floor says neither that it is well nor that it leaks. Where it stood above
// the floor in the same weather before, it does say so.
func TestDryInSomeWeather(t *testing.T) {
	for name, m := range map[string]struct {
		level, perOutdoor, perYear float64
	}{
		"dry in summer and well":                   {9, -0.7, 0},
		"dry in summer, leaks from a year on":      {9, -0.7, 4},
		"hardly dry in winter and well":            {2, 0.1, 0},
		"hardly dry in winter, in the end all dry": {2, 0.1, 4},
	} {
		rng := rand.New(rand.NewPCG(61, 7))
		const machines = 8
		found := 0
		for range machines {
			visits := machine{visits: 37, every: month, noise: 0.3}.draw(rng)
			for i := range visits {
				v := &visits[i]
				gone := m.perYear * math.Max(0, years(v.Start.Sub(visits[0].Start))-1.2)
				v.Subcooling = math.Max(0.3, m.level+m.perOutdoor*v.OutdoorTemp-gone) + 0.2*rng.NormFloat64()
			}
			if f := raised(visits); len(f) > 0 && f[0].Kind == ChargeLoss {
				found++
			}
		}
		if leaks := m.perYear > 0; leaks && found < machines-1 || !leaks && found > 0 {
			t.Errorf("%s: charge loss found at %d of %d machines", name, found, machines)
		}
	}
}

// A finding's rate is taken anew only where more shows of it than before.
func TestRatesAnew(t *testing.T) {
	nan := math.NaN()
	held := table.Finding{LossPct: 18, LossPctLo: 12, LossPctHi: 27}
	for name, c := range map[string]struct {
		of   table.Finding
		by   table.Cause
		want bool
	}{
		"first":                       {table.Finding{LossPct: nan}, table.Cause{LossPct: 8}, true},
		"first, subcooling used up":   {table.Finding{LossPct: nan}, table.Cause{LossPct: 8, Note: usedUp}, true},
		"at once":                     {table.Finding{LossPct: nan}, table.Cause{LossPct: 8, Sudden: true}, false},
		"faster":                      {held, table.Cause{LossPct: 30}, true},
		"slower, as was possible":     {held, table.Cause{LossPct: 13}, true},
		"slower than a leak may be":   {held, table.Cause{LossPct: 9}, false},
		"subcooling used up":          {held, table.Cause{LossPct: 20, Note: usedUp + "; " + noneBehind}, false},
		"a weighed addition tells":    {held, table.Cause{LossPct: 9, CalibratedBy: 1}, true},
		"a weighed addition told too": {table.Finding{LossPct: 18, LossPctLo: 15, CalibratedBy: 1}, table.Cause{LossPct: 9, CalibratedBy: 1}, true},
	} {
		if got := ratesAnew(c.of, c.by); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

// A finding says why its rate is not that of the latest decision.
func TestRateNote(t *testing.T) {
	nan := math.NaN()
	for want, c := range map[string]struct {
		held float64
		by   table.Cause
	}{
		noRate:   {nan, table.Cause{Kind: ChargeLoss, LossPct: 8, Sudden: true}},
		heldRate: {18, table.Cause{Kind: ChargeLoss, LossPct: 8}},
		"":       {18, table.Cause{Kind: ChargeLoss, LossPct: 20, Note: usedUp}},
	} {
		if got := rateNote(table.Finding{LossPct: c.held}, c.by); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
	if got := rateNote(table.Finding{LossPct: nan}, table.Cause{Kind: Gas, LossPct: nan, Sudden: true}); got != "" {
		t.Errorf("gas: %q", got)
	}
}
