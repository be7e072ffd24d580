//go:build long

package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

var (
	trialSeed    = flag.Uint64("trialseed", 91001, "seed of the fleets of TestWhatIsNoLeak")
	trialSystems = flag.Int("trialsystems", 310, "systems of each of them")
)

// trialMix is a fleet in which nothing is wrong, of machines without a receiver, each with
// a set of instruments of its own. Each trial changes one thing.
const trialMix = `{
	"kinds": {"air_heat_pump": 0, "ground_heat_pump": 0, "pack": 0},
	"machines": {"receiver": 0}, "mistakes": null, "quirks": null, "odd_files": false,
	"visits": {"weeks": [5, 8], "minutes": [20, 30], "own_set": 1, "other_kit": 0},
	"faults": {
		"leak": %s, "sudden_leak": {"share": 0}, "overcharge": {"share": 0}, "condenser_fouling": {"share": 0},
		"evaporator_fouling": {"share": 0}, "icing": {"share": 0}, "restriction": {"share": 0}, "compressor_wear": {"share": 0},
		"foreign_gas": {"share": 0}, "valve_closed": {"share": 0}, "valve_open": {"share": 0}
	},
	"changes": {"setting": %g, "part": 0, "retrofit": 0, "flow": 0, "set": %g},
	"slips": {
		"charge_missing": 0, "charge_wrong": 0, "expansion_wrong": 0, "receiver_wrong": 0, "fields_missing": 0, "refrigerant": 0,
		"refrigerant_name": 0, "serial_missing": 0, "event_missing": 0, "event_kg": 0, "event_unit": 0, "event_date": 0, "event_system": 0
	}
}`

// What a trial's leak is: none, or one that is topped up and repaired once 5 to 10 % are
// gone, as the register says.
const (
	noLeak     = `{"share": 0}`
	toppedLeak = `{"share": 1, "onset": [0.05, 0.2], "per_year": [0.1, 0.2], "noticed": [0.05, 0.1], "repaired": 1, "called": 0}`
)

// A change of instruments, of the setpoint, a winter and a recorded top-up must not be
// taken for a leak: fewer than 1 in 100 of at least 300 cases each.
func TestWhatIsNoLeak(t *testing.T) {
	for i, c := range []struct{ what, mix string }{
		{"instruments", fmt.Sprintf(trialMix, noLeak, 0.0, 1.0)},
		{"setpoint", fmt.Sprintf(trialMix, noLeak, 1.0, 0.0)},
		{"recorded top-up", fmt.Sprintf(trialMix, toppedLeak, 0.0, 0.0)},
	} {
		cases := tried(t, c.mix, *trialSeed+uint64(i))
		whats := []string{c.what}
		if c.what == "instruments" {
			whats = append(whats, "winter")
		}
		for _, what := range whats {
			got := cases[what]
			t.Logf("%s: %.2f %% (%.2f to %.2f) of %d cases were followed by a false leak alarm", what, 100*got.Share, 100*got.Low, 100*got.High, got.N)
			if got.N < 300 || got.Share >= 0.01 {
				t.Errorf("%s: %.2f %% of %d cases, want less than 1 %% of at least 300", what, 100*got.Share, got.N)
			}
		}
	}
}

// A caseShare is what score tells of one kind of change.
type caseShare struct {
	Share, Low, High float64
	N                int
}

// tried makes a fleet, works on it and scores it.
func tried(t *testing.T, mix string, seed uint64) map[string]caseShare {
	t.Helper()
	dir := t.TempDir()
	file, fleet := filepath.Join(dir, "mix.json"), filepath.Join(dir, "fleet")
	if err := os.WriteFile(file, []byte(mix), 0o666); err != nil {
		t.Fatal(err)
	}
	workspace := filepath.Join(fleet, "workspace")
	var out []byte
	for _, args := range [][]string{
		{"simulate", "-out", fleet, "-systems", strconv.Itoa(*trialSystems), "-years", "2", "-seed", strconv.FormatUint(seed, 10), "-logging", "visits", "-mix", file},
		{"ingest", "-workspace", workspace}, {"analyse", "-workspace", workspace}, {"score", fleet, "-json"},
	} {
		var printed, errors bytes.Buffer
		if code := run(t.Context(), args, &printed, &errors); code != exitDone && code != exitLeftOut {
			t.Fatalf("%s: exit code %d: %s", args[0], code, errors.String())
		}
		out = printed.Bytes()
	}
	var score struct{ Harmless map[string]caseShare }
	if err := json.Unmarshal(out, &score); err != nil {
		t.Fatal(err)
	}
	return score.Harmless
}
