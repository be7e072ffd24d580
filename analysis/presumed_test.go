package analysis

import (
	"encoding/base64"
	"fmt"
	"math/rand/v2"
	"reflect"
	"testing"
	"time"

	"rimelog/analysis/trust"
	"rimelog/pipeline/frame"
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
	if got, anew := r.restated(visits, r.epochs(visits)[0]); !reflect.DeepEqual(got, visits) || anew != nil {
		t.Error("changed")
	}
}

// TestWhatIsJudgedOtherwiseIsKept holds the visits that a presumption works out anew to those
// that the note of the trends keeps.
func TestWhatIsJudgedOtherwiseIsKept(t *testing.T) {
	for seed := range uint64(6) {
		r, visits := doubting(seed)
		r.known = newRoster(r.circuit("R134a").Generic(), nil)
		epochs := r.epochs(visits)
		last := epochs[len(epochs)-1]
		_, anew := r.restated(visits, last)
		n := 0
		for _, v := range visits {
			if name := r.by(v, last); name != "" {
				if n >= len(anew) || !anew[n].Is(v) || anew[n].Refrigerant != name {
					t.Fatalf("seed %d: a visit judged by %s is not kept", seed, name)
				}
				n++
			}
		}
		notes := map[string]string{}
		decision{restated: anew}.note(notes)
		packed, err := base64.StdEncoding.DecodeString(notes[table.NoteRestated])
		if err != nil {
			t.Fatal(err)
		}
		if got, _, err := frame.Unpack[table.Restated](packed); err != nil || len(got) != n || n == 0 {
			t.Errorf("seed %d: %d rows of %d, %v", seed, len(got), n, err)
		}
	}
	empty := map[string]string{}
	if (decision{}).note(empty); len(empty) > 0 {
		t.Error("a system without any has a note of them")
	}
}
