package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
)

// leftOut is the exit code of a run that is done, but for things that its report lists.
const leftOut = 3

// fleet compares the whole job on an invented fleet of permanent loggers, a row a minute,
// with DuckDB's conversion of the same files.
func (b *bench) fleet(systems int, years float64) error {
	if err := b.prepare(); err != nil {
		return err
	}
	fleet := filepath.Join(b.folder, fmt.Sprintf("fleet-%d-%g", systems, years))
	ws, parquet := filepath.Join(fleet, "workspace"), filepath.Join(b.folder, "fleet-parquet")
	simulate := exec.Command(b.program, "simulate", "-logging", "permanent", "-interval", "1m", "-seed", "52",
		"-systems", strconv.Itoa(systems), "-years", fmt.Sprint(years), "-out", fleet)
	out, err := simulate.CombinedOutput()
	fmt.Printf("%s", out)
	if err != nil {
		return fmt.Errorf("simulate: %w", err)
	}
	for _, made := range []string{filepath.Join(ws, "dataset"), filepath.Join(ws, "report"), filepath.Join(ws, "run"), parquet} {
		err = errors.Join(err, os.RemoveAll(made))
	}
	if err != nil {
		return err
	}
	duck, err := measure(exec.Command("node", "fleet.mjs", filepath.Join(ws, "uploads"), parquet, b.threads))
	if err != nil {
		return fmt.Errorf("DuckDB: %w", err)
	}
	whole, err := measure(exec.Command(b.program, "run", "-workspace", ws, "-workers", b.threads))
	if err != nil {
		return fmt.Errorf("run: %w", err)
	}
	again, err := measure(exec.Command(b.program, "run", "-workspace", ws, "-workers", b.threads))
	if err != nil {
		return fmt.Errorf("run with nothing new: %w", err)
	}
	for _, row := range []struct {
		what string
		use
	}{{"DuckDB, CSV to Parquet, its defaults", duck}, {"rimelog run, the whole job", whole}, {"rimelog run, nothing new", again}} {
		fmt.Printf("%8.1f s wall  %8.1f s CPU  %6.0f MB at most  %s\n", row.Wall, row.CPU, row.Peak, row.what)
	}
	fmt.Printf("the whole job takes %.2f times the wall time and %.2f times the CPU time of the conversion\n", whole.Wall/duck.Wall, whole.CPU/duck.CPU)
	return nil
}
