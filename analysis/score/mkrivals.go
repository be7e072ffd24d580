//go:build ignore

// Command mkrivals tunes the rivals: it simulates fleets of their own seeds, has the
// program work on them, and counts every rival's false alarms at every limit. The
// result is rivals.json. Run it with go generate when the simulator or the rivals
// change; the same code gives the same bytes.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"

	"rimelog/analysis/score"
	"rimelog/ingest/demofleet"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/store"
)

// The fleets the rivals are tuned on. No other test or score uses these seeds.
var seeds = []uint64{70001, 70002, 70003, 70004}

const (
	systems = 40
	years   = 3
)

func main() {
	log.SetFlags(0)
	dir, err := os.MkdirTemp("", "rivals-*")
	if err != nil {
		log.Fatal(err)
	}
	err = tune(dir)
	if err := errors.Join(err, os.RemoveAll(dir)); err != nil {
		log.Fatal(err)
	}
}

func tune(dir string) error {
	program := filepath.Join(dir, "rimelog")
	if err := do("go", "build", "-o", program, "rimelog/cmd/rimelog"); err != nil {
		return err
	}
	var fleets []score.Input
	for _, seed := range seeds {
		in, err := fleet(program, filepath.Join(dir, strconv.FormatUint(seed, 10)), seed)
		if err != nil {
			return err
		}
		fleets = append(fleets, in)
	}
	t, err := score.Tune(fleets...)
	if err != nil {
		return err
	}
	t.Seeds, t.Systems, t.Years, t.Version = seeds, systems, years, demofleet.Version
	text, err := json.Marshal(t)
	if err != nil {
		return err
	}
	return os.WriteFile("rivals.json", append(text, '\n'), 0o666)
}

// fleet makes a fleet and has the program work on it.
func fleet(program, dir string, seed uint64) (in score.Input, err error) {
	workspace := filepath.Join(dir, "workspace")
	if err := do(program, "simulate", "-out", dir, "-systems", strconv.Itoa(systems), "-years", strconv.Itoa(years), "-seed", strconv.FormatUint(seed, 10)); err != nil {
		return in, err
	}
	for _, stage := range []string{"ingest", "analyse"} {
		if err := do(program, stage, "-workspace", workspace); err != nil {
			return in, err
		}
	}
	st, err := store.OpenDir(workspace)
	if err != nil {
		return in, err
	}
	return score.Read(context.Background(), os.DirFS(filepath.Join(dir, "truth")), dataset.New(st))
}

// leftOut is the program's exit code for done, but something was left out.
const leftOut = 3

func do(name string, args ...string) error {
	out, err := exec.Command(name, args...).CombinedOutput()
	var exit *exec.ExitError
	if errors.As(err, &exit) && exit.ExitCode() == leftOut {
		return nil
	}
	if err != nil {
		return fmt.Errorf("%s %v: %w\n%s", name, args, err, out)
	}
	return nil
}
