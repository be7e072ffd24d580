package demofleet

import (
	"testing"
)

// kitsOf counts the sets of instruments that come to a fleet's systems, and the systems
// that each serves.
func kitsOf(t *testing.T, change func(*Visits, *Changes)) map[string]map[string]int {
	t.Helper()
	mix := DefaultMix()
	mix.Mistakes, mix.Visits.OtherKit = nil, 0
	mix.Kinds = Kinds{AirConditioner: 1}
	change(&mix.Visits, &mix.Changes)
	f, err := newFleet(Options{Seed: 2, Systems: 40, Years: 2, Logging: ByVisits, Mix: &mix}.withDefaults())
	if err != nil {
		t.Fatal(err)
	}
	listed := map[string]bool{}
	for _, k := range f.everyKit() {
		if listed[k.name] {
			t.Errorf("%s is listed twice", k.name)
		}
		listed[k.name] = true
	}
	served := map[string]map[string]int{}
	for _, m := range f.machines {
		for _, v := range f.visits[m] {
			if served[v.kit.name] == nil {
				served[v.kit.name] = map[string]int{}
			}
			served[v.kit.name][m.truth.ID]++
			if !listed[v.kit.name] {
				t.Errorf("%s comes, but is not listed", v.kit.name)
			}
		}
	}
	return served
}

// A mix can give each system, or each visit, instruments of its own.
func TestSetsOfInstruments(t *testing.T) {
	if n := len(kitsOf(t, func(*Visits, *Changes) {})); n > 8 {
		t.Errorf("%d sets come to 40 systems as usual, want a few", n)
	}
	own := kitsOf(t, func(v *Visits, _ *Changes) { v.OwnSet = 1 })
	for name, systems := range own {
		if len(systems) != 1 {
			t.Errorf("own set %s comes to %d systems", name, len(systems))
		}
	}
	if len(own) != 40 {
		t.Errorf("%d sets come to 40 systems with one of its own each", len(own))
	}
	fresh := kitsOf(t, func(v *Visits, _ *Changes) { v.NewSet = 1 })
	for name, systems := range fresh {
		for id, visits := range systems {
			if visits != 1 {
				t.Errorf("new set %s comes to %s %d times", name, id, visits)
			}
		}
	}
	if len(fresh) < 300 {
		t.Errorf("%d sets in two years of 40 systems with a new one at each visit, want 300", len(fresh))
	}
	if n := len(kitsOf(t, func(v *Visits, _ *Changes) { v.Sharing = 1 })); n < 20 {
		t.Errorf("%d sets for 40 systems that do not share", n)
	}
	if n := len(kitsOf(t, func(v *Visits, c *Changes) { v.OwnSet, c.Set = 1, 1 })); n != 80 {
		t.Errorf("%d sets come to 40 systems to which another comes from some day on, want 80", n)
	}
}
