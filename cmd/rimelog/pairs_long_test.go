//go:build long

package main

import (
	"encoding/json"
	"math"
	"path/filepath"
	"testing"
	"time"

	"rimelog/analysis/score"
	"rimelog/ingest/demofleet"
)

// What instruments must tell apart, from the project's own aims: machines 10 % apart in nine of
// ten pairs by sensors as in a laboratory or by a heat meter; with clamps the answer may be that
// they cannot be told apart. Differences that are none stay within one in twenty everywhere, and
// what twice the standard deviation of as many trials adds.
const (
	mustTell = 0.9
	mostLies = 0.05
)

// A class of instruments, on the machines that may have them.
type instrumentClass struct {
	kind    func(*demofleet.Kinds)
	meters  demofleet.Meters
	classes string // of sets that are not as good as is usual with their logger; empty: all are
	tells   bool
}

var instrumentClasses = map[string]instrumentClass{
	"laboratory": {kind: coldRooms, meters: demofleet.Meters{Laboratory: 1}, tells: true},
	"heat meter": {kind: func(k *demofleet.Kinds) { k.Chiller = 1 }, meters: demofleet.Meters{Heat: 1}, tells: true},
	"fine":       {kind: coldRooms},
	"simple":     {kind: coldRooms, classes: "simple"},
}

func coldRooms(k *demofleet.Kinds) { k.ColdRoom = 1 }

// Twelve machines of one kind and refrigerant are 66 pairs, of which the truth knows by how much
// they differ in the same weather. A fleet whose machines differ much and one whose machines
// hardly do are made, logged for some months, run and scored as one, for each class.
func TestMachinesAreToldApart(t *testing.T) {
	for name, c := range instrumentClasses {
		t.Run(name, func(t *testing.T) {
			var fleets []string
			for seed, spread := range map[uint64]float64{4711: 2, 4712: 0.3} {
				fleets = append(fleets, c.fleet(t, seed, spread))
			}
			var s score.Score
			said := mustDo(t, append([]string{"score", "-json"}, fleets...)...)
			if err := json.Unmarshal([]byte(said), &s); err != nil {
				t.Fatal(err)
			}
			told, lies := s.Energy.ToldApart, s.Energy.FalseApart
			t.Logf("told apart %.0f %% of %d pairs, false differences %.0f %% of %d", 100*told.Share, told.N, 100*lies.Share, lies.N)
			if c.tells && told.N < 10 || lies.N < 10 {
				t.Fatal("too few pairs to tell")
			}
			if c.tells && float64(told.Share) < mustTell {
				t.Errorf("of pairs 10 %% apart %.0f %% are told apart", 100*told.Share)
			}
			if most := mostLies + 2*math.Sqrt(mostLies*(1-mostLies)/float64(lies.N)); float64(lies.Share) > most {
				t.Errorf("false differences in %.0f %% of pairs, want %.0f %% at most", 100*lies.Share, 100*most)
			}
		})
	}
}

// fleet makes and runs a fleet of one class, whose machines' sizes and efficiencies differ by so
// much of what is usual, and returns its folder.
func (c instrumentClass) fleet(t *testing.T, seed uint64, spread float64) string {
	t.Helper()
	mix := demofleet.DemoMix()
	mix.Kinds, mix.Slips, mix.Meters, mix.OddFiles = demofleet.Kinds{}, demofleet.Slips{KGError: mix.Slips.KGError, DateError: mix.Slips.DateError}, c.meters, false
	c.kind(&mix.Kinds)
	mix.Faults, mix.Changes = demofleet.Faults{Unnoticed: mix.Faults.Unnoticed}, demofleet.Changes{PartSize: mix.Changes.PartSize, FlowShare: mix.Changes.FlowShare}
	mix.Machines.Spread = spread
	mix.Fluids = alone("R134a", mix.Fluids)
	if c.classes != "" {
		mix.Sensors.Ordinary, mix.Classes = 0, alone(c.classes, mix.Classes)
	}
	folder := filepath.Join(t.TempDir(), "fleet")
	o := demofleet.Options{Seed: seed, Systems: 12, Years: 0.4, Logging: demofleet.Permanent, Interval: 2 * time.Minute, Mix: &mix}
	if _, err := demofleet.Simulate(t.Context(), folder, o); err != nil {
		t.Fatal(err)
	}
	if code, said := did(t, "run", "-workspace", filepath.Join(folder, "workspace")); code != exitDone && code != exitLeftOut {
		t.Fatalf("exit code %d: %s", code, said)
	}
	return folder
}

// alone is weights of which one name alone occurs.
func alone(name string, among demofleet.Weights) demofleet.Weights {
	w := demofleet.Weights{}
	for other := range among {
		w[other] = 0
	}
	w[name] = 1
	return w
}
