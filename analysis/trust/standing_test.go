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

// ofMonths are how many of the first n visits lie in each month of 30.
func ofMonths(n int) (visits []int) {
	for ; n > 0; n -= 30 {
		visits = append(visits, min(n, 30))
	}
	return visits
}

// Law: nights that take over what stands say what one review of all visits says, whatever of
// the latest visits changed, came or went, and though they see old measures no more.
func TestNightsReviewAsOneNight(t *testing.T) {
	system := register.NewSystem("S-1")
	system.RefrigerantName = "R134a"
	all := dailyFacts(kept + 60)
	night := kept + 20
	said := Review(system, nil, nil, all[:night])
	for night += 14; night < len(all); night += 14 {
		looked, open := all[:night], (night-40)/30
		first := 30 * Needed(ofMonths(night), open)
		if first < 30*Kept(ofMonths(night-14)) {
			t.Fatalf("night %d asks for measures of visit %d, which were not kept", night, first)
		}
		stand, fresh := Standing(said[first:], looked[30*open].Start, looked[30*open:])
		if len(fresh) > 14 {
			t.Fatalf("night %d: %d visits are reviewed, of 14 that are new", night, len(fresh))
		}
		got, want := Review(system, nil, stand, fresh), Review(system, nil, nil, looked)
		if !reflect.DeepEqual(got, want[first:]) {
			t.Fatalf("night %d: other facts than of all visits at once", night)
		}
		said = want
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

// Law: measures go only where no review will ask for them: what is kept reaches back as far as a
// review of the newest months asks, while these hold as many visits as nights review anew at most.
func TestMeasuresAreKeptForReviews(t *testing.T) {
	sum := func(visits []int) (n int) {
		for _, v := range visits {
			n += v
		}
		return n
	}
	r := rand.New(rand.NewPCG(7, 3))
	for range 1000 {
		visits := make([]int, 1+r.IntN(60))
		for i := range visits {
			visits[i] = r.IntN(40)
		}
		n, first := max(0, len(visits)-2), Kept(visits)
		needed := Needed(visits, n)
		if sum(visits[first:]) < kept && first > 0 || sum(visits[needed:n]) < remembered && needed > 0 {
			t.Fatalf("%v: kept from %d, needed from %d: too few", visits, first, needed)
		}
		if first < len(visits)-1 && sum(visits[first+1:]) >= kept || needed < first {
			t.Fatalf("%v: kept from %d, needed from %d", visits, first, needed)
		}
	}
}
