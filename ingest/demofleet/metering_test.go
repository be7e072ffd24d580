package demofleet

import (
	"math"
	"slices"
	"testing"
	"time"

	"rimelog/ingest/demofleet/plant"
	"rimelog/ingest/demofleet/truth"
)

// meteredFleet is a small fleet of permanent loggers with every meter.
func meteredFleet(t *testing.T, more func(*Mix)) *fleet {
	t.Helper()
	mix := DefaultMix()
	mix.Meters = Meters{Unit: 0.5, Heat: 1, Counter: 1, Humidity: 1, Laboratory: 0.5}
	more(&mix)
	f, err := newFleet(Options{Seed: 11, Systems: 12, Years: 0.3, Logging: Permanent, Interval: 2 * time.Minute, Mix: &mix}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Flow times density, heat capacity and the water's difference is the heat of the point
// (first law). Density of water at 35 °C: 994.0 kg/m³, heat capacity 4.178 kJ/(kg K)
// (any table of water).
func TestHeatMeterShowsTheHeat(t *testing.T) {
	f := meteredFleet(t, func(*Mix) {})
	for _, m := range f.machines {
		if !m.heat {
			continue
		}
		at := f.options.Start.Add(30 * time.Hour)
		x := m.read(m.point, m.design, at, 10)
		in, out, want := x[sinkIn], x[sinkOut], m.point.Heating
		if m.sinkMedium != heatingWater {
			in, out, want = x[sourceOut], x[sourceIn], m.point.Cooling
		}
		got := x[heatFlow] / 3600 * 4.178 * (999.9 - 0.0048*(out-5)*(in-5)) * (out - in)
		if math.Abs(got/want-1) > 0.004 {
			t.Errorf("%s: the meter shows %.3f kW of %.3f", m.truth.ID, got, want)
		}
	}
}

// Saturated air at 20 °C and 101.325 kPa holds 14.7 g/kg, its enthalpy is 57.5 kJ/kg
// (any table of moist air); and what the air loses in the coil is the machine's cooling.
func TestMoistAirOfTheCoil(t *testing.T) {
	if w := saturated(20, 101.325); math.Abs(w-0.0147) > 5e-5 || math.Abs(enthalpy(20, w)-57.5) > 0.3 {
		t.Errorf("saturated air at 20 °C: %.5f kg/kg, %.2f kJ/kg", w, enthalpy(20, w))
	}
	f := meteredFleet(t, func(*Mix) {})
	seen := false
	for _, m := range f.machines {
		if m.air == 0 {
			continue
		}
		seen = true
		for _, humid := range []float64{30, 60} {
			air, on := airPressure(m.site.altitude), m.design.Source
			off := m.leaving(m.point, false, on, humid)
			surface := m.point.SuctionDew + coilWarmer
			before := humid / 100 * saturated(on, air)
			after := min(before, before-(on-off)/(on-surface)*(before-saturated(surface, air)))
			if q := m.air * (enthalpy(on, before) - enthalpy(off, after)); math.Abs(q/m.point.Cooling-1) > 0.01 {
				t.Errorf("%s at %.0f %%: the air gives %.3f kW of %.3f", m.truth.ID, humid, q, m.point.Cooling)
			}
		}
	}
	if !seen {
		t.Error("no air conditioner logs humidity")
	}
}

// A counter is the sum of power over time; it begins anew behind its last digit, at
// zero where it is set so, and falls while it runs backwards.
func TestEnergyCounter(t *testing.T) {
	start := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)
	at := func(h float64) time.Time { return start.Add(time.Duration(h * float64(time.Hour))) }
	c := energyCounter{kwh: 998, full: 1000, reset: at(10), backward: [2]time.Time{at(4), at(6)}}
	last := 0.0
	for _, row := range []struct{ hour, want float64 }{{0, 998}, {1, 999.5}, {2, 1}, {3.9, 3.85}, {5, 2.2}, {7, 5.2}, {10, 0}, {11, 1.5}} {
		if got := c.reading(at(row.hour), 1.5*(row.hour-last)); math.Abs(got-row.want) > 1e-9 {
			t.Errorf("after %.1f h: %.3f kWh, want %.3f", row.hour, got, row.want)
		}
		last = row.hour
	}
}

// A counter counts every start and stop, however far apart it is read: in a day what power
// read every 2 s adds up to by trapezes (first law), and within what cycles of a day scatter,
// a few per cent, what the truth says.
func TestCounterCountsBetweenSamples(t *testing.T) {
	f := meteredFleet(t, func(*Mix) {})
	for _, m := range f.machines {
		v := f.visits[m][0]
		coarse, err := newTrace(m, *v, chance(1))
		if err != nil {
			t.Fatal(err)
		}
		if coarse.tripped {
			continue
		}
		fine, days := *coarse, coarse.days()
		begin := v.start.Add(24 * time.Hour).Truncate(24 * time.Hour)
		coarse.took(begin)
		end, summed := begin, 0.0
		before := fine.at(begin)[power]
		for range 24 * 1800 {
			end = end.Add(2 * time.Second)
			now := fine.at(end)[power]
			summed, before = summed+(before+now)/2*2/3600, now
		}
		var took float64
		for at := begin; at.Before(end); {
			at = at.Add(15 * time.Minute)
			took += coarse.took(at)
		}
		if math.Abs(took/summed-1) > 0.001 {
			t.Errorf("%s: counted %.3f kWh of %.3f", m.truth.ID, took, summed)
		}
		i := slices.IndexFunc(days, func(d truth.EnergyDay) bool { return d.Day.Equal(begin) })
		if want := days[i].Metered(m.unit); math.Abs(took/want-1) > 0.04 {
			t.Errorf("%s: counted %.3f kWh, in truth %.3f", m.truth.ID, took, want)
		}
	}
}

// Without its cleaning a condenser goes on costing: more electricity for the same load
// (5 to 40 % for two fifths of the air lost; common practice, no source), and none before.
func TestEnergyWithoutTheCleaning(t *testing.T) {
	f := meteredFleet(t, func(x *Mix) {
		x.Faults = Faults{CondenserFouling: Trouble{Share: 1, Onset: Range{0.01, 0.01}, Sudden: Range{0.4, 0.4}, Noticed: Range{0.3, 0.3}, Repaired: 1, Called: 1}}
	})
	checked := 0
	for _, m := range f.machines {
		v := f.visits[m][len(f.visits[m])-1]
		tr, err := newTrace(m, *v, chance(1))
		if err != nil {
			t.Fatal(err)
		}
		var took, without float64
		for _, d := range tr.days() {
			took, without = took+d.Metered(m.unit), without+d.Without
			if d.WithoutHours != d.Hours || d.Hours > 24.01 {
				t.Errorf("%s: %.2f of %.2f h on %s", m.truth.ID, d.WithoutHours, d.Hours, d.Day.Format(time.DateOnly))
			}
		}
		if m.sinkMedium == heatingWater || m.always || tr.tripped {
			continue // heat pumps: flow of water; packs: more compressors
		}
		checked++
		if r := without / took; r < 1.0 || r > 1.6 {
			t.Errorf("%s: %.3f times the electricity without the cleaning", m.truth.ID, r)
		}
	}
	if checked == 0 {
		t.Error("nothing was checked")
	}
}

// What is put right within a week is one act, and so is what was filled in too much with it:
// without the act all of it would be as before. What is put right later is another act.
func TestWithoutAnAct(t *testing.T) {
	at := time.Date(2024, 6, 10, 9, 0, 0, 0, time.UTC)
	days := func(n int) time.Time { return at.AddDate(0, 0, n) }
	m := meteredFleet(t, func(*Mix) {}).machines[0]
	m.truth.Episodes = []truth.Episode{
		{Fault: truth.CondenserFouling, Onset: days(-300), Sudden: 0.3, Ended: days(-4)},
		{Fault: truth.Leak, Onset: days(-200), Sudden: 0.1, Ended: at},
		{Fault: truth.Overcharge, Onset: at, Sudden: 0.2},
		{Fault: truth.Wear, Onset: days(-200), Sudden: 0.3, Ended: days(-8)},
	}
	tr := &trace{m: m}
	was := plant.Conditions{Charge: 1.2 * m.truth.Rated(days(1))}
	c := was
	for _, e := range m.lastRight(days(1)) {
		if !tr.restore(&c, e, days(1)) {
			t.Errorf("%s is not brought back", e.Fault)
		}
	}
	if got, want := c.Charge, 0.9*m.truth.Rated(at); math.Abs(got-want) > 1e-9*want {
		t.Errorf("charge %.4f kg without the act, want %.4f", got, want)
	}
	if c.Faults.CondenserFouling != 0.3 || c.Faults.Wear != 0 {
		t.Errorf("without the act: %+v", c.Faults)
	}
}

// A wrong meter is wrong by its factor in its time, and the truth tells of it once.
func TestMeterMistakes(t *testing.T) {
	for factor, set := range map[float64]func(*Meters){1000: func(x *Meters) { x.Watts = 1 }, 1.0 / 3: func(x *Meters) { x.OnePhase = 1 }} {
		f := meteredFleet(t, func(x *Mix) { set(&x.Meters) })
		m := f.machines[0]
		if len(m.truth.MeterErrors) != 1 || m.truth.MeterErrors[0].From != m.wrong[0] {
			t.Fatalf("truth: %+v", m.truth.MeterErrors)
		}
		told := 0
		for _, v := range f.visits[m] {
			rec, err := newRecorder(m, *v, chance(2), nil, nil, nil)
			if err != nil {
				t.Fatal(err)
			}
			for _, k := range rec.mistakes {
				if k.ID == "D28" && k.From.Equal(m.wrong[0]) {
					told++
				}
			}
			for _, show := range rec.shows {
				if got := show(m.wrong[0], power, 2); math.Abs(got-2*factor) > 1e-9 {
					t.Errorf("2 kW are stored as %.3f, want times %.3f", got, factor)
				}
				if show(m.wrong[1], power, 2) != 2 || show(m.wrong[0], speed, 2) != 2 {
					t.Error("what is not wrong is changed")
				}
			}
		}
		if told != 1 {
			t.Errorf("the truth tells of it %d times", told)
		}
	}
}
