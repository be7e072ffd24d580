package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"golang.org/x/term"

	"rimelog/pipeline"
)

// A progress shows how far a run is: one moving line on a terminal, a line per
// round elsewhere.
type progress struct {
	w     io.Writer
	live  bool
	round string
	total int
	done  int
	began time.Time
	last  time.Time
	wide  int // length of the line on the screen
}

func newProgress(w io.Writer) *progress {
	f, ok := w.(*os.File)
	return &progress{w: w, live: ok && term.IsTerminal(int(f.Fd()))}
}

// hooks connects the progress to a run.
func (p *progress) hooks() pipeline.Hooks {
	return pipeline.Hooks{RoundPlanned: p.planned, JobDone: p.jobDone, JobFailed: p.jobFailed}
}

func (p *progress) planned(round string, jobs, skipped int, bytes int64) {
	p.close()
	p.round, p.total, p.done = round, jobs, 0
	p.began = time.Now()
	switch {
	case jobs == 0:
		p.round = ""
	case p.live:
		p.draw()
	default:
		fmt.Fprintf(p.w, "%-8s %d to do, %d unchanged%s\n", round, jobs, skipped, megabytes(bytes))
	}
}

func (p *progress) jobDone(pipeline.Key, time.Duration) {
	p.done++
	if p.live && (p.done == p.total || time.Since(p.last) > 100*time.Millisecond) {
		p.draw()
	}
}

func (p *progress) jobFailed(k pipeline.Key, err error) {
	p.close()
	fmt.Fprintf(p.w, "%s failed: %v\n", k, err)
}

func (p *progress) draw() {
	p.last = time.Now()
	line := fmt.Sprintf("%-8s %d of %d%s", p.round, p.done, p.total, p.remaining())
	fmt.Fprintf(p.w, "\r%-*s", p.wide, line)
	p.wide = len(line)
}

// remaining estimates the time left from the jobs done so far.
func (p *progress) remaining() string {
	took := time.Since(p.began)
	if p.done == 0 || p.done == p.total || took < 2*time.Second {
		return ""
	}
	left := took / time.Duration(p.done) * time.Duration(p.total-p.done)
	return fmt.Sprintf(", about %s left", left.Round(time.Second))
}

// close ends the moving line, so that other text can follow.
func (p *progress) close() {
	if p.live && p.round != "" {
		fmt.Fprintln(p.w)
	}
	p.round, p.wide = "", 0
}

func megabytes(bytes int64) string {
	if bytes < 100_000 {
		return ""
	}
	return fmt.Sprintf(", %.1f MB", float64(bytes)/1e6)
}
