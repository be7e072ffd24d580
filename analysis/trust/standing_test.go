package trust

import (
	"math/rand/v2"
	"reflect"
	"testing"

	"rimelog/pipeline/register"
)

// dailyFacts are the visits of a logger that stays: one a day, about the same figures, and
// now and then a day whose liquid line is far off.
func dailyFacts(n int) (visits []Facts) {
	r := rand.New(rand.NewPCG(5, 9))
	for k := range n {
		f := Facts{Start: int64(k) * 86400e6, End: int64(k)*86400e6 + 86340e6, Day: true, Serials: []string{"A-1"}, Mean: map[string]float64{}}
		for name, mean := range map[string]float64{"superheat": 7, "subcooling": 5, "evaporator temperature difference": 9, "condenser temperature difference": 11, "outdoor_temp_c": 18} {
			f.Mean[name] = mean + r.NormFloat64()/2
		}
		if k%97 == 96 {
			f.Mean["subcooling"] = -6
		}
		visits = append(visits, f)
	}
	return visits
}

// Law: nights that take over what stands say what one review of all visits says, whatever of
// the latest visits changed, came or went, and though old measures are not kept.
func TestNightsReviewAsOneNight(t *testing.T) {
	system := register.NewSystem("S-1")
	system.RefrigerantName = "R134a"
	all := dailyFacts(kept + 60)
	var said []Facts
	for night := kept + 20; night < len(all); night += 14 {
		looked := all[:night]
		stand, fresh := Standing(said, looked[night-40].Start, looked[night-40:])
		if said == nil {
			stand, fresh = nil, looked
		} else if len(fresh) > 14 {
			t.Fatalf("night %d: %d visits are reviewed, of 14 that are new", night, len(fresh))
		}
		got, want := Thinned(Review(system, nil, stand, fresh)), Thinned(Review(system, nil, nil, looked))
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("night %d: other facts than of all visits at once", night)
		}
		said = got
	}
}

func TestWhatLooksOtherwiseIsReviewedAnew(t *testing.T) {
	all := dailyFacts(30)
	reviewed := Review(register.NewSystem("S-1"), nil, nil, all)
	other := append([]Facts{}, all[10:]...)
	other[5].End++
	stand, fresh := Standing(reviewed, all[10].Start, other)
	if len(stand) != 15 || len(fresh) != 15 || fresh[0].Start != all[15].Start {
		t.Errorf("%d visits stand and %d are reviewed anew, want 15 and 15", len(stand), len(fresh))
	}
	stand, fresh = Standing(reviewed, all[10].Start, nil) // all of them vanished
	if len(stand) != 10 || len(fresh) != 0 {
		t.Errorf("%d visits stand and %d are reviewed anew, want 10 and none", len(stand), len(fresh))
	}
}

// Measures go only where no review will ask for them.
func TestThinnedKeepsWhatReviewsNeed(t *testing.T) {
	facts := Thinned(dailyFacts(kept + 100))
	if facts[99].Mean != nil || facts[100].Mean == nil {
		t.Error("not the latest visits keep their measures")
	}
	if n := 100 + remembered; !Remember(facts, n) || Remember(facts, n-1) {
		t.Errorf("of visits whose first 100 lost their measures a review may start at %d, and no earlier", n)
	}
}
