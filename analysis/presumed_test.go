package analysis

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"rimelog/analysis/trust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// doubting is a machine whose visits would now and then be usual with something else.
func doubting(seed uint64) (restating, []table.Visit) {
	random := rand.New(rand.NewPCG(seed, 1))
	r := restating{system: register.NewSystem("x")}
	r.system.RefrigerantName = []string{"", "R22"}[seed%2]
	var visits []table.Visit
	for k := range 40 {
		v := table.Visit{Start: time.Unix(0, 0).AddDate(0, k, 0), SuctionPressure: 350, DischargePressure: 1500}
		v.End = v.Start.Add(time.Hour)
		visits = append(visits, v)
		if names := []string{"R290", "R407C", "R454C"}[random.IntN(3):]; random.IntN(3) > 0 {
			r.doubts = append(r.doubts, trust.Facts{Start: v.Start.UnixMicro(), End: v.End.UnixMicro(), Doubts: []trust.Doubt{{Rule: "D1", Candidates: names}}})
		}
	}
	return r, visits
}

// TestPresumptionsRestOnThePast cuts the record after each visit: what is presumed up to it
// is what was presumed then.
func TestPresumptionsRestOnThePast(t *testing.T) {
	for seed := range uint64(20) {
		r, visits := doubting(seed)
		all := r.epochs(visits)
		for n := range visits {
			then := r.epochs(visits[:n])
			if want := all[:len(then)]; fmt.Sprint(then) != fmt.Sprint(want) || len(then) < len(all) && n > 0 && !all[len(then)].from.After(visits[n-1].Start) {
				t.Fatalf("seed %d, %d visits: %v, later %v", seed, n, then, all)
			}
		}
		if len(all) < 2 {
			t.Errorf("seed %d: nothing is ever presumed", seed)
		}
	}
}

// TestVisitsWithoutDoubtStay leaves visits as they are that fit the register.
func TestVisitsWithoutDoubtStay(t *testing.T) {
	r, visits := doubting(1)
	r.doubts = nil
	if got := r.restated(visits, r.epochs(visits)[0]); !reflect.DeepEqual(got, visits) {
		t.Error("changed")
	}
}
