// Package pipeline runs the job: plan, skip what is committed, run, commit.
//
// The job is a sequence of rounds. The jobs of one round need nothing of each
// other; a round is planned only when the one before it is committed, so a plan
// sees the results it builds on.
//
//  1. Round.Plan lists the round's jobs, each with its fingerprint.
//  2. A job whose fingerprint is committed or staged already is skipped.
//  3. The runner does the rest, in any order and on any number of workers.
//  4. Round.Commit makes the results the new truth.
//
// What a job does is pure: its results follow from what its fingerprint names,
// and nothing else. That is why a killed run is simply run again.
package pipeline

import (
	"context"
	"errors"
	"fmt"
	"time"
)

// A Step is a kind of job. Version is raised by hand when the bytes it makes change.
type Step struct {
	Name    string
	Version int
}

// String is the step with its version: "join/1".
func (s Step) String() string { return fmt.Sprintf("%s/%d", s.Name, s.Version) }

// A Key names one job: a step on a unit (an upload, a system, the fleet), or on
// a part of one (a month of a system).
type Key struct {
	Step string
	Unit string
	Part string
}

func (k Key) String() string {
	if k.Part == "" {
		return k.Step + " " + k.Unit
	}
	return k.Step + " " + k.Unit + " " + k.Part
}

// A Job is one pure piece of work.
type Job struct {
	Key
	Size int64 // how much it reads, for progress and for the order of work
	// Done tells whether the job's results are there already. Nil means no.
	Done func(context.Context) (bool, error)
	// Do makes the results and stages them.
	Do func(context.Context) error
}

// A Round is a set of jobs that do not need each other, and their commit.
type Round struct {
	Name   string
	Plan   func(context.Context) ([]Job, error)
	Commit func(context.Context) error // nil where there is nothing to commit
}

// A Runner does jobs, in any order. It returns the first error and leaves the
// jobs that were not started. It calls did after each, one call at a time.
type Runner interface {
	Run(ctx context.Context, jobs []Job, did func(Job, time.Duration, error)) error
}

// Hooks lets a caller watch a run. Nil fields are skipped; calls never overlap.
type Hooks struct {
	RoundPlanned func(round string, jobs, skipped int, bytes int64)
	JobDone      func(Key, time.Duration)
	JobFailed    func(Key, error)
}

// A Tally counts jobs by step.
type Tally struct {
	Done    map[string]int // jobs done in this run
	Skipped map[string]int // jobs whose results were there already
}

// Run does the rounds in order. It stops at the first failed job or commit: the
// error is about the machine (disk, store, cancellation), for what is wrong with
// the data is a result, not an error.
func Run(ctx context.Context, rounds []Round, r Runner, h Hooks) (Tally, error) {
	t := Tally{Done: map[string]int{}, Skipped: map[string]int{}}
	for _, round := range rounds {
		if err := t.round(ctx, round, r, h); err != nil {
			return t, err
		}
	}
	return t, nil
}

func (t *Tally) round(ctx context.Context, round Round, r Runner, h Hooks) error {
	jobs, err := round.Plan(ctx)
	if err != nil {
		return fmt.Errorf("plan %s: %w", round.Name, err)
	}
	todo, err := t.todo(ctx, jobs)
	if err != nil {
		return fmt.Errorf("plan %s: %w", round.Name, err)
	}
	if h.RoundPlanned != nil {
		h.RoundPlanned(round.Name, len(todo), len(jobs)-len(todo), size(todo))
	}
	if err := r.Run(ctx, todo, t.did(h)); err != nil {
		return err
	}
	if round.Commit == nil {
		return nil
	}
	if err := round.Commit(ctx); err != nil {
		return fmt.Errorf("commit %s: %w", round.Name, err)
	}
	return nil
}

func (t *Tally) todo(ctx context.Context, jobs []Job) ([]Job, error) {
	var todo []Job
	for _, j := range jobs {
		done := false
		if j.Done != nil {
			var err error
			if done, err = j.Done(ctx); err != nil {
				return nil, fmt.Errorf("%s: %w", j.Key, err)
			}
		}
		if done {
			t.Skipped[j.Step]++
		} else {
			todo = append(todo, j)
		}
	}
	return todo, nil
}

func (t *Tally) did(h Hooks) func(Job, time.Duration, error) {
	return func(j Job, took time.Duration, err error) {
		if err != nil {
			if h.JobFailed != nil && !errors.Is(err, context.Canceled) {
				h.JobFailed(j.Key, err)
			}
			return
		}
		t.Done[j.Step]++
		if h.JobDone != nil {
			h.JobDone(j.Key, took)
		}
	}
}

func size(jobs []Job) (n int64) {
	for _, j := range jobs {
		n += j.Size
	}
	return n
}
