package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline"
	"rimelog/pipeline/store"
)

// metrics are what a night leaves for monitoring.
type metrics struct {
	began  time.Time
	took   time.Duration
	code   int
	tally  pipeline.Tally
	sum    summary
	summed bool // the job was done, so that sum counts
}

// lastSuccess is kept from file to file: the last run that ended with 0 or 3.
const lastSuccess = "rimelog_last_success_timestamp_seconds"

func (m *metrics) success() bool { return m.code == exitDone || m.code == exitLeftOut }

func (m *metrics) log(log *slog.Logger, err error) {
	args := []any{"exit", m.code, "took", m.took.Round(time.Millisecond)}
	if m.summed {
		args = append(args, "uploads", m.sum.Uploads, "samples", m.sum.Samples, "findings", m.sum.Findings, "left_out", m.sum.LeftOut)
	}
	if err != nil && !errors.Is(err, errLeftOut) {
		log.Error("night ends", append(args, "error", err)...)
		return
	}
	log.Info("night ends", args...)
}

// write replaces the metrics file in one step, as the collector that reads it asks for.
func (m *metrics) write(path string) error {
	success := float64(m.began.Add(m.took).Unix())
	if !m.success() {
		success = before(path)
	}
	dir, err := store.OpenDir(filepath.Dir(path))
	if err != nil {
		return err
	}
	return dir.Put(context.Background(), filepath.Base(path), func(w io.Writer) error { return m.print(w, success) })
}

// before reads the last success out of the file that is there; 0 where there is none.
func before(path string) (seconds float64) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) || err != nil {
		return 0
	}
	defer f.Close()
	for lines := bufio.NewScanner(f); lines.Scan(); {
		if rest, ok := strings.CutPrefix(lines.Text(), lastSuccess+" "); ok {
			if _, err := fmt.Sscan(rest, &seconds); err == nil {
				return seconds
			}
		}
	}
	return 0
}

// print writes the Prometheus text format, version 0.0.4.
func (m *metrics) print(w io.Writer, success float64) error {
	p := printer{w: w}
	p.gauge("rimelog_exit_code", "Exit code of the last run.", float64(m.code))
	p.gauge("rimelog_start_timestamp_seconds", "When the last run began.", float64(m.began.Unix()))
	p.gauge("rimelog_duration_seconds", "How long the last run took.", m.took.Seconds())
	p.gauge(lastSuccess, "When a run last ended with 0 or 3.", success)
	p.labelled("rimelog_jobs_done", "Jobs done in the last run.", "step", m.tally.Done)
	p.labelled("rimelog_jobs_unchanged", "Results that were there already.", "step", m.tally.Skipped)
	if m.summed {
		p.labelled("rimelog_uploads", "Uploads seen so far, by what became of them.", "status", m.sum.ByStatus)
		p.gauge("rimelog_samples", "Samples in the dataset.", float64(m.sum.Samples))
		p.gauge("rimelog_systems", "Systems in the dataset.", float64(m.sum.Systems))
		p.gauge("rimelog_findings_open", "Open findings.", float64(m.sum.Findings))
		p.gauge("rimelog_left_out", "Things left out of the results.", float64(m.sum.LeftOut))
	}
	return p.err
}

// A printer writes metrics until one write fails.
type printer struct {
	w   io.Writer
	err error
}

func (p *printer) head(name, help string) {
	p.printf("# HELP %s %s\n# TYPE %s gauge\n", name, help, name)
}

func (p *printer) gauge(name, help string, v float64) {
	p.head(name, help)
	p.printf("%s %v\n", name, v)
}

func (p *printer) labelled(name, help, label string, counts map[string]int) {
	p.head(name, help)
	for _, k := range slices.Sorted(maps.Keys(counts)) {
		p.printf("%s{%s=%q} %d\n", name, label, k, counts[k])
	}
}

func (p *printer) printf(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format, args...)
	}
}
