// Command duckbench compares rimelog's reading of one large logger file with
// DuckDB's conversion of it to Parquet, in one run.
//
//  1. It writes the file of a slow process, in two dialects.
//  2. In every round each converter reads it once, as a process of its own, in
//     turn; the operating system tells processor time, wall time and peak memory.
//  3. DuckDB reads the samples back and compares every value with the file.
//
// The medians of the ratios within each round are what counts: other work on the
// machine falls on all converters alike. It is a module of its own, so that nobody
// else needs what it needs.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"syscall"
	"time"
)

func main() {
	rows := flag.Int("rows", 10_000_000, "how many `rows` the file has")
	rounds := flag.Int("rounds", 3, "how many `rounds` to run")
	folder := flag.String("folder", filepath.Join(os.TempDir(), "duckbench"), "`folder` for files; some gigabytes")
	threads := flag.Int("threads", runtime.NumCPU(), "threads of DuckDB and workers of rimelog")
	systems := flag.Int("systems", 0, "compare the whole job on a fleet of so many permanent loggers instead")
	years := flag.Float64("years", 1, "`years` of the fleet's logs")
	flag.Parse()
	b := bench{folder: *folder, rows: *rows, threads: strconv.Itoa(*threads)}
	compare := func() error { return b.run(*rounds) }
	if *systems > 0 {
		compare = func() error { return b.fleet(*systems, *years) }
	}
	if err := compare(); err != nil {
		fmt.Fprintln(os.Stderr, "duckbench:", err)
		os.Exit(1)
	}
}

type bench struct {
	folder  string
	rows    int
	threads string
	program string
}

// A use is what one process took.
type use struct {
	CPU, Wall float64 // s
	Peak      float64 // MB
	Size      float64 // MB written
}

func (b *bench) run(rounds int) error {
	if err := b.prepare(); err != nil {
		return err
	}
	fmt.Printf("%d rows, %d rounds, %s threads, %d processors, %s\n", b.rows, rounds, b.threads, runtime.NumCPU(), runtime.Version())
	for _, d := range dialects {
		file := filepath.Join(b.folder, d.name+".csv")
		if err := d.write(file, b.rows); err != nil {
			return err
		}
		if err := b.dialect(d, file, rounds); err != nil {
			return fmt.Errorf("%s: %w", d.name, err)
		}
	}
	return nil
}

// prepare builds the program and fetches DuckDB, as the lock file says.
func (b *bench) prepare() error {
	if err := os.MkdirAll(b.folder, 0o777); err != nil {
		return err
	}
	b.program = filepath.Join(b.folder, "rimelog")
	build := exec.Command("go", "build", "-o", b.program, "./cmd/rimelog")
	build.Dir = filepath.Join("..", "..")
	build.Stderr = os.Stderr
	if err := build.Run(); err != nil {
		return fmt.Errorf("build rimelog: %w", err)
	}
	if _, err := os.Stat("node_modules"); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	install := exec.Command("npm", "ci", "--no-audit", "--no-fund")
	install.Stderr = os.Stderr
	return install.Run()
}

// dialect runs the rounds on one file and prints them.
func (b *bench) dialect(d dialect, file string, rounds int) error {
	info, err := os.Stat(file)
	if err != nil {
		return err
	}
	fmt.Printf("\n%s, %.1f MB\n", d.title, float64(info.Size())/1e6)
	uses := map[string][]use{}
	for range rounds {
		for _, name := range converters {
			u, err := b.convert(name, file)
			if err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			uses[name] = append(uses[name], u)
		}
	}
	report(uses)
	return b.compare(file)
}

// converters in the order in which every round runs them.
var converters = []string{"rimelog", "default", "zstd", "tuned"}

func (b *bench) convert(name, file string) (use, error) {
	if name == "rimelog" {
		return b.ingest(file)
	}
	out := filepath.Join(b.folder, "duck.parquet")
	u, err := measure(exec.Command("node", "duck.mjs", name, file, out, b.threads))
	if err == nil {
		u.Size, err = sizeOf(out)
	}
	return u, err
}

// ingest reads the file into a fresh workspace, everything switched on.
func (b *bench) ingest(file string) (use, error) {
	ws := b.workspace()
	uploads := filepath.Join(ws, "uploads", "KA-07")
	register := filepath.Join(ws, "register")
	if err := errors.Join(os.RemoveAll(ws), os.MkdirAll(uploads, 0o777), os.MkdirAll(register, 0o777)); err != nil {
		return use{}, err
	}
	if err := os.Link(file, filepath.Join(uploads, "log.csv")); err != nil {
		return use{}, err
	}
	systems := "system,altitude_m,zone\nKA-07,0,UTC\n"
	if err := os.WriteFile(filepath.Join(register, "systems.csv"), []byte(systems), 0o666); err != nil {
		return use{}, err
	}
	u, err := measure(exec.Command(b.program, "ingest", "-workspace", ws, "-workers", b.threads))
	if err == nil {
		u.Size, err = sizeOf(filepath.Join(ws, "dataset", "samples"))
	}
	return u, err
}

func (b *bench) workspace() string { return filepath.Join(b.folder, "workspace") }

// compare lets DuckDB read the samples back.
func (b *bench) compare(file string) error {
	c := exec.Command("node", "duck.mjs", "compare", file, filepath.Join(b.workspace(), "dataset", "samples"))
	c.Stderr = os.Stderr
	out, err := c.Output()
	fmt.Printf("read back by DuckDB: %s", out)
	if err != nil {
		return fmt.Errorf("the samples differ from the file: %w", err)
	}
	return nil
}

// measure runs a command and asks the operating system what it took.
func measure(c *exec.Cmd) (use, error) {
	start := time.Now()
	out, err := c.CombinedOutput()
	if err != nil && c.ProcessState.ExitCode() != leftOut {
		return use{}, fmt.Errorf("%w\n%s", err, out)
	}
	u := use{Wall: time.Since(start).Seconds()}
	s := c.ProcessState
	u.CPU = (s.UserTime() + s.SystemTime()).Seconds()
	if r, ok := s.SysUsage().(*syscall.Rusage); ok {
		u.Peak = float64(r.Maxrss) / 1e3 // kB on Linux
	}
	return u, nil
}

// sizeOf is the size of a file, or of all files of a folder, in MB.
func sizeOf(path string) (float64, error) {
	var sum int64
	err := filepath.WalkDir(path, func(_ string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err == nil {
			sum += info.Size()
		}
		return err
	})
	return float64(sum) / 1e6, err
}
