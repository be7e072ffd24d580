package ingest

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/local"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
)

// inChild names, in a process of its own, the workspace to ingest.
const inChild = "RIMELOG_TEST_INGEST"

// TestMemoryDoesNotGrowWithTheFile ingests a file of a million rows, one that says a
// quarter of it again and one that runs backwards, in a process of its own and asks what
// that took from the machine. Must-reach of the reader: 150 MB whatever the
// file's length.
func TestMemoryDoesNotGrowWithTheFile(t *testing.T) {
	const limit = 150 << 20
	if peak := peakOf(t, 1_000_000); peak > limit {
		t.Errorf("%d MB; want less than %d", peak>>20, limit>>20)
	}
}

// peakOf is how many bytes the process that ingests so many rows took.
func peakOf(t *testing.T, rows int) int {
	t.Helper()
	w := newWorkspace(t)
	writeLongLog(t, filepath.Join(w.folder, "uploads", "CR-01_once.csv"), 0, rows, 1)
	writeLongLog(t, filepath.Join(w.folder, "uploads", "CR-01_again.csv"), rows*3/4, rows, 1)
	writeLongLog(t, filepath.Join(w.folder, "uploads", "CR-02_backwards.csv"), rows/4, 0, -1)
	c := exec.Command(os.Args[0], "-test.run", "^TestIngestInChild$", "-test.v")
	c.Env = append(os.Environ(), inChild+"="+w.folder)
	out, err := c.CombinedOutput()
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	_, figure, ok := strings.Cut(string(out), "took ")
	figure, _, _ = strings.Cut(figure, " bytes")
	peak, err := strconv.Atoi(figure)
	if !ok || err != nil {
		t.Fatalf("no figure in\n%s", out)
	}
	return peak
}

func writeLongLog(t *testing.T, path string, from, to, by int) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	out := bufio.NewWriter(f)
	fmt.Fprintln(out, "Time,Suction temp [°C],Discharge temp [°C],Outdoor temp [°C],Power [kW],Wibble")
	start := time.Date(2025, 1, 15, 0, 0, 0, 0, time.UTC)
	for i := from; i != to; i += by {
		fmt.Fprintf(out, "%s,%d.%d,%d.%d,%d.%d,%d.%02d,%d\n", start.Add(time.Duration(i)*time.Second).Format(logtest.ISO),
			i*7%19, i*3%10, 60+i*11%17, i*7%10, i*13%23, i*9%10, 2+i*17%5, i*29%100, i%1000)
	}
	if err := errors.Join(out.Flush(), f.Close()); err != nil {
		t.Fatal(err)
	}
}

// TestIngestInChild is the other process. By itself it has nothing to do.
func TestIngestInChild(t *testing.T) {
	folder := os.Getenv(inChild)
	if folder == "" {
		return
	}
	ctx := context.Background()
	st, err := store.OpenDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	reg, err := register.Load(ctx, os.DirFS(filepath.Join(folder, "register")))
	if err != nil {
		t.Fatal(err)
	}
	stage := NewStage(dataset.New(st), st, reg, limits.Options{})
	if _, err := pipeline.Run(ctx, stage.Rounds(), local.Runner{Workers: 2}, pipeline.Hooks{}); err != nil {
		t.Fatal(err)
	}
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	fmt.Printf("took %d bytes\n", m.Sys) // it never falls: what was ever asked of the machine at once
}
