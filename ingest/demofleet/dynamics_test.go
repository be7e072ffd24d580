package demofleet

import (
	"math"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
)

// hunter is a ground heat pump with R134a whose valve hunts as in the laboratory.
func hunter(t *testing.T, v visit) *trace {
	t.Helper()
	mix := DemoMix()
	sky, err := newWeather(climates[0], mix.Weather.Persistence, time.Date(2023, 4, 3, 0, 0, 0, 0, time.UTC), 365, chance(1, "sky"))
	if err != nil {
		t.Fatal(err)
	}
	k := recipes[7]
	k.refrigerants, k.expansion = []string{"R134a"}, []register.Expansion{register.Thermostatic}
	m, err := drawMachine(chance(2, "hunter"), chance(2, "controls"), k, sites[0], sky, "LAB-GH1", fluidTables{}, &mix)
	if err != nil {
		t.Fatal(err)
	}
	m.hunting, m.period, m.swing = 2.15, 85, 0
	tr, err := newTrace(m, v, chance(1, "trace"))
	if err != nil {
		t.Fatal(err)
	}
	return tr
}

// The hunting of a laboratory log (R134a, thermostatic valve, 0.5 s sampling):
// widths at 95 %, standard deviations in 60 s, means over 300 s.
func TestHuntingAsInTheLaboratory(t *testing.T) {
	start := time.Date(2023, 11, 8, 9, 0, 0, 0, time.UTC)
	tr := hunter(t, visit{start: start, length: 40 * time.Minute})
	f := tr.m.plant.Fluid
	var superheat, suction, liquid, subcooling []float64
	for now := start; now.Before(start.Add(40 * time.Minute)); now = now.Add(500 * time.Millisecond) {
		x := tr.at(now)
		superheat = append(superheat, x[suctionTemp]-f.Dew(x[suctionPressure]))
		subcooling = append(subcooling, f.Dew(x[dischargePressure])-x[liquidTemp])
		suction, liquid = append(suction, x[suctionTemp]), append(liquid, x[liquidTemp])
	}
	for _, c := range []struct {
		what           string
		got, want, tol float64
	}{
		{"superheat, 95 % width", width(superheat), 4.35, 0.4},
		{"suction gas, 95 % width", width(suction), 5.2, 0.4},
		{"liquid, 95 % width", width(liquid), 2.7, 0.3},
		{"superheat, deviation in 60 s", within(superheat, 120), 1.55, 0.25},
		{"subcooling, deviation in 60 s", within(subcooling, 120), 1.0, 0.25},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: %.2f K, laboratory %.2f ± %.2f", c.what, c.got, c.want, c.tol)
		}
	}
	var means []float64
	for i := 0; i+600 <= len(superheat); i += 600 {
		means = append(means, mean(superheat[i:i+600]))
	}
	if spread := slices.Max(means) - slices.Min(means); spread > 0.5 {
		t.Errorf("means over 300 s differ by %.2f K, laboratory 0.5", spread)
	}
}

// A start of the same log: subcooling looks right after 3 to 4 minutes, discharge
// gas still moves by 2.4 K between the 15th and the 20th minute.
func TestStartAsInTheLaboratory(t *testing.T) {
	start := time.Date(2023, 11, 8, 9, 0, 0, 0, time.UTC)
	tr := hunter(t, visit{start: start, length: 60 * time.Minute, standing: time.Minute})
	tr.m.hunting = 0
	f := tr.m.plant.Fluid
	at := map[int]reading{}
	for s := 0; s < 3500; s += 10 {
		at[s] = tr.at(start.Add(time.Duration(s) * time.Second))
	}
	subcooling := func(s int) float64 { return f.Dew(at[s][dischargePressure]) - at[s][liquidTemp] }
	if d := subcooling(60+270) - subcooling(3480); math.Abs(d) > 1.2 {
		t.Errorf("subcooling is %.1f K off 4.5 minutes after the start", d)
	}
	if d := at[60+1200][dischargeTemp] - at[60+900][dischargeTemp]; d < 1.2 || d > 4 {
		t.Errorf("discharge gas moves %.1f K from the 15th to the 20th minute, laboratory 2.4", d)
	}
}

func mean(x []float64) (m float64) {
	for _, v := range x {
		m += v / float64(len(x))
	}
	return m
}

func deviation(x []float64) float64 {
	m := mean(x)
	var s float64
	for _, v := range x {
		s += (v - m) * (v - m)
	}
	return math.Sqrt(s / float64(len(x)-1))
}

// within is the mean deviation inside stretches of n samples.
func within(x []float64, n int) float64 {
	var all []float64
	for i := 0; i+n <= len(x); i += n {
		all = append(all, deviation(x[i:i+n]))
	}
	return mean(all)
}

// width is between the ends of the middle 95 %.
func width(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	return s[len(s)*975/1000] - s[len(s)*25/1000]
}
