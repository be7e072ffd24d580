//go:build long

package main

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"testing"

	"rimelog/pipeline/store"
)

// TestKilledAtManyCalls kills a run at every fifth call of the store, before, during and
// after its effect; units alone are killed at every call in pipeline/dataset.
func TestKilledAtManyCalls(t *testing.T) { killEvery(t, 5) }

var kills = flag.Int("kills", 50, "how many random moments TestKilledAtRandom kills at")

// TestKilledAtRandom kills runs at random calls, up to three in a row, the second and third
// on what the one before left. By hand, at a thousand moments:
//
//	go test -tags long -timeout 3h -run TestKilledAtRandom ./cmd/rimelog -kills 1000
func TestKilledAtRandom(t *testing.T) {
	whole := newFleet(t, allUploads()...)
	var faulty *store.Faulty
	watch := func(s store.Store) store.Store {
		faulty = store.NewFaulty(s, store.Fault{})
		return faulty
	}
	if _, err := night(t, whole, watch); err != nil {
		t.Fatal(err)
	}
	want, calls := results(t, whole), faulty.Calls()
	rng := rand.New(rand.NewPCG(11, 12))
	for done := 0; done < *kills; {
		n, failed := killedInARow(t, rng, calls, want)
		if done += n; failed {
			t.Fatalf("after %d kills", done)
		}
	}
	t.Logf("%d runs killed at random among %d calls", *kills, calls)
}

// killedInARow kills one to three runs on a fleet, then lets one finish.
func killedInARow(t *testing.T, rng *rand.Rand, calls int, want map[string]string) (killed int, failed bool) {
	t.Helper()
	folder, what := newFleet(t, allUploads()...), "killed at"
	for range 1 + rng.IntN(3) {
		f := store.Fault{Call: 1 + rng.IntN(calls), Moment: store.Moment(rng.IntN(3)), Kill: true}
		if _, err := night(t, folder, func(s store.Store) store.Store { return store.NewFaulty(s, f) }); err != nil {
			killed++
			what += fmt.Sprintf(" call %d moment %d", f.Call, f.Moment)
		}
	}
	mustRun(t, folder)
	sameResults(t, what, results(t, folder), want)
	verified(t, what, folder)
	return killed, t.Failed()
}
