package local

import (
	"context"
	"errors"
	"slices"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"rimelog/pipeline"
)

func job(unit string, size int64, do func(context.Context) error) pipeline.Job {
	return pipeline.Job{Key: pipeline.Key{Step: "test", Unit: unit}, Size: size, Do: do}
}

func TestEveryJobIsDoneOnceAndReportedAlone(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var under, most, done, reporting atomic.Int64
		var jobs []pipeline.Job
		for range 100 {
			jobs = append(jobs, job("u", 1, func(context.Context) error {
				most.Store(max(most.Load(), under.Add(1)))
				time.Sleep(time.Second)
				under.Add(-1)
				done.Add(1)
				return nil
			}))
		}
		reports := 0 // not atomic: calls must not overlap
		err := Runner{Workers: 4}.Run(t.Context(), jobs, func(_ pipeline.Job, took time.Duration, err error) {
			if reporting.Add(1) != 1 || took != time.Second || err != nil {
				t.Errorf("overlapping report, or took %v, %v", took, err)
			}
			reports++
			reporting.Add(-1)
		})
		if err != nil || done.Load() != 100 || reports != 100 || most.Load() != 4 {
			t.Errorf("done %d, reported %d, at most %d at once, %v", done.Load(), reports, most.Load(), err)
		}
	})
}

func TestStopsAtTheFirstError(t *testing.T) {
	broken := errors.New("disk broke")
	var started []string
	jobs := []pipeline.Job{
		job("small", 1, func(context.Context) error { started = append(started, "small"); return nil }),
		job("large", 9, func(context.Context) error { started = append(started, "large"); return broken }),
	}
	var failed []string
	err := Runner{Workers: 1}.Run(t.Context(), jobs, func(j pipeline.Job, _ time.Duration, err error) {
		if err != nil {
			failed = append(failed, j.Unit)
		}
	})
	var je *JobError
	if !errors.Is(err, broken) || !errors.As(err, &je) || je.Key.Unit != "large" {
		t.Errorf("got %v", err)
	}
	if !slices.Equal(started, []string{"large"}) || !slices.Equal(failed, []string{"large"}) {
		t.Errorf("started %v, failed %v; want the large one first and nothing after it", started, failed)
	}
}

func TestPartsOfAUnitFollowEachOther(t *testing.T) {
	var jobs []pipeline.Job
	for _, j := range []struct {
		unit, part string
		size       int64
	}{{"b", "1", 2}, {"a", "1", 1}, {"b", "2", 3}, {"c", "", 9}, {"a", "2", 3}, {"b", "3", 1}} {
		jobs = append(jobs, pipeline.Job{Key: pipeline.Key{Unit: j.unit, Part: j.part}, Size: j.size})
	}
	var order []string
	for _, j := range inOrder(jobs) {
		order = append(order, j.Unit+j.Part)
	}
	if !slices.Equal(order, []string{"c", "a1", "a2", "b1", "b2", "b3"}) {
		t.Errorf("begun in the order %v", order)
	}
}

func TestTheFirstErrorReachesJobsUnderWay(t *testing.T) {
	broken := errors.New("disk broke")
	waits := job("waits", 2, func(ctx context.Context) error { <-ctx.Done(); return ctx.Err() })
	fails := job("fails", 1, func(context.Context) error { return broken })
	if err := (Runner{Workers: 2}).Run(t.Context(), []pipeline.Job{waits, fails}, nil); !errors.Is(err, broken) {
		t.Errorf("got %v, want the first error", err)
	}
}

func TestCancelledFromOutside(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	ran := 0
	jobs := []pipeline.Job{
		job("a", 2, func(context.Context) error { ran++; cancel(); return nil }),
		job("b", 1, func(context.Context) error { ran++; return nil }),
	}
	if err := (Runner{Workers: 1}).Run(ctx, jobs, nil); !errors.Is(err, context.Canceled) || ran != 1 {
		t.Errorf("got %v after %d jobs", err, ran)
	}
}

func TestNoJobs(t *testing.T) {
	if err := (Runner{}).Run(t.Context(), nil, nil); err != nil {
		t.Error(err)
	}
}

// A runner that is closed finishes what is under way, begins nothing, and says so.
func TestClosedRunnerLeavesTheRest(t *testing.T) {
	var begun, finished atomic.Int64
	var jobs []pipeline.Job
	for range 10 {
		jobs = append(jobs, job("u", 1, func(ctx context.Context) error {
			begun.Add(1)
			finished.Add(1)
			return ctx.Err()
		}))
	}
	err := Runner{Workers: 2, Closed: func() bool { return begun.Load() >= 3 }}.Run(t.Context(), jobs, nil)
	if n := begun.Load(); !errors.Is(err, ErrClosed) || n < 3 || n > 4 || finished.Load() != n {
		t.Errorf("%d begun, %d finished, %v", n, finished.Load(), err)
	}
	err = Runner{Closed: func() bool { return begun.Load() >= 100 }}.Run(t.Context(), jobs, nil)
	if err != nil {
		t.Errorf("closed too late to matter: %v", err)
	}
}
