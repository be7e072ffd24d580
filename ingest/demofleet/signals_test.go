package demofleet

import (
	"math"
	"slices"
	"testing"
)

// receivers is a fleet of systems with a level sensor on their receiver, which leak.
func receivers(t *testing.T) *fleet {
	t.Helper()
	mix := DefaultMix()
	mix.Kinds = Kinds{ColdRoom: 1, FreezerRoom: 1, Pack: 1}
	mix.Machines.Receiver, mix.Machines.ReceiverLevel, mix.Machines.ValvePosition = 1, 1, 1
	mix.Faults = Faults{Unnoticed: 0.35, Leak: Trouble{Share: 1, PerYear: Range{0.3, 0.3}}}
	f, err := newFleet(Options{Seed: 4, Systems: 12, Years: 2, Logging: Mixed, Permanent: 2, PermanentDays: 3, Mix: &mix}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestEveryLogHasTheMachinesSignals(t *testing.T) {
	f := receivers(t)
	positions := 0
	for _, m := range f.machines {
		if !m.truth.LevelSensor || !m.truth.Receiver {
			t.Errorf("%s: receiver %v, level sensor %v; want both", m.truth.ID, m.truth.Receiver, m.truth.LevelSensor)
		}
		for _, v := range f.visits[m] {
			if !slices.Contains(v.channels, level) || slices.Contains(v.channels, opening) != m.positioned {
				t.Errorf("%s, %v: channels %v lack the machine's signals", m.truth.ID, v.start, v.channels)
			}
		}
		if m.positioned {
			positions++
		}
	}
	if positions == 0 {
		t.Error("no valve whose opening is logged")
	}
}

// A leak shows in the logged level, and a level sensor is off by what the mix says.
func TestLoggedLevelFallsWithTheCharge(t *testing.T) {
	f := receivers(t)
	for i, m := range f.machines {
		list := slices.DeleteFunc(slices.Clone(f.visits[m]), func(v *visit) bool { return v.cycling })
		first, last := m.meanLevel(t, list[0], i), m.meanLevel(t, list[len(list)-1], i)
		if last > first-5 {
			t.Errorf("%s: level %.0f %% at first, %.0f %% after a loss of 35 %%", m.truth.ID, first, last)
		}
	}
}

// meanLevel is what a visit's log shows of the level, against its truth.
func (m *machine) meanLevel(t *testing.T, v *visit, i int) float64 {
	t.Helper()
	rec, err := newRecorder(m, *v, chance(1, i), nil, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	var shown, is, n float64
	for now := v.start.Add(v.standing + v.length/2); now.Before(v.start.Add(v.length - v.off)); now = now.Add(rec.every) {
		x := rec.trace.at(now)
		is += x[level]
		for _, bend := range rec.bends {
			bend(now, &x)
		}
		shown += rec.set.show(&x, level)
		n++
	}
	if off := (shown - is) / n; math.Abs(off-m.levelSensor.offset-m.levelSensor.gain*is/n) > 0.5 {
		t.Errorf("%s: level off by %.1f %%, the sensor by %.1f %%", m.truth.ID, off, m.levelSensor.offset)
	}
	return shown / n
}
