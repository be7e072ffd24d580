// Package local runs jobs on this machine's cores.
package local

import (
	"cmp"
	"context"
	"errors"
	"runtime"
	"slices"
	"sync"
	"time"

	"rimelog/pipeline"
)

// A Runner does jobs on a number of workers, largest first, so that no large one
// is left over at the end. Jobs on parts of one unit follow each other as they were
// planned, wherever the largest of them stands: they read much the same.
type Runner struct {
	Workers int // 0 or less: as many as the machine has cores
	// Closed tells, before each job, that no other may begin: those under way are done,
	// and Run ends with ErrClosed. Nil means never.
	Closed func() bool
}

// ErrClosed says that jobs were left for another time.
var ErrClosed = errors.New("stopped when it was told to; the rest goes on with the next run")

var _ pipeline.Runner = Runner{}

// Run does the jobs. It stops at the first error, which it returns, and leaves
// the jobs not started; those under way are told through their context and
// waited for. It calls did after each job that was started, one call at a time.
func (r Runner) Run(ctx context.Context, jobs []pipeline.Job, did func(pipeline.Job, time.Duration, error)) error {
	jobs = inOrder(jobs)
	ctx, cancel := context.WithCancelCause(ctx)
	defer cancel(nil)
	p := &pool{jobs: jobs, did: did, stop: cancel, closed: r.Closed}
	var wg sync.WaitGroup
	for range min(r.workers(), len(jobs)) {
		wg.Go(func() { p.work(ctx) })
	}
	wg.Wait()
	if err := context.Cause(ctx); err != nil || len(p.jobs) == 0 {
		return err
	}
	return ErrClosed
}

// inOrder gives the jobs in the order in which they are begun.
func inOrder(jobs []pipeline.Job) []pipeline.Job {
	largest := map[string]int64{} // of a unit's jobs
	for _, j := range jobs {
		largest[j.Unit] = max(largest[j.Unit], j.Size)
	}
	return slices.SortedStableFunc(slices.Values(jobs), func(a, b pipeline.Job) int {
		return cmp.Or(cmp.Compare(largest[b.Unit], largest[a.Unit]), cmp.Compare(a.Unit, b.Unit))
	})
}

func (r Runner) workers() int {
	if r.Workers > 0 {
		return r.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// A pool is the jobs that are left, and what happens after each.
type pool struct {
	stop   context.CancelCauseFunc
	closed func() bool

	mu   sync.Mutex
	jobs []pipeline.Job

	after sync.Mutex
	did   func(pipeline.Job, time.Duration, error)
}

func (p *pool) work(ctx context.Context) {
	for ctx.Err() == nil {
		j, ok := p.next()
		if !ok {
			return
		}
		start := time.Now()
		err := j.Do(ctx)
		if err != nil {
			p.stop(&JobError{j.Key, err}) // the first one counts
		}
		p.report(j, time.Since(start), err)
	}
}

func (p *pool) next() (pipeline.Job, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if len(p.jobs) == 0 || p.closed != nil && p.closed() {
		return pipeline.Job{}, false
	}
	j := p.jobs[0]
	p.jobs = p.jobs[1:]
	return j, true
}

func (p *pool) report(j pipeline.Job, took time.Duration, err error) {
	p.after.Lock()
	defer p.after.Unlock()
	if p.did != nil {
		p.did(j, took, err)
	}
}

// A JobError is a job's error with the job's name.
type JobError struct {
	Key pipeline.Key
	Err error
}

func (e *JobError) Error() string { return e.Key.String() + ": " + e.Err.Error() }

// Unwrap returns the job's own error.
func (e *JobError) Unwrap() error { return e.Err }
