package pipeline

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"
)

// inOrder runs jobs one after the other.
type inOrder struct{}

func (inOrder) Run(ctx context.Context, jobs []Job, did func(Job, time.Duration, error)) error {
	for _, j := range jobs {
		err := j.Do(ctx)
		did(j, 0, err)
		if err != nil {
			return err
		}
	}
	return nil
}

func job(step, unit string, done bool, log *[]string, err error) Job {
	return Job{
		Key:  Key{Step: step, Unit: unit},
		Done: func(context.Context) (bool, error) { return done, nil },
		Do:   func(context.Context) error { *log = append(*log, step+" "+unit); return err },
	}
}

func TestRunPlansEachRoundAfterTheCommitBefore(t *testing.T) {
	var log []string
	note := func(s string) { log = append(log, s) }
	round := func(name string, jobs ...Job) Round {
		return Round{
			Name:   name,
			Plan:   func(context.Context) ([]Job, error) { note("plan " + name); return jobs, nil },
			Commit: func(context.Context) error { note("commit " + name); return nil },
		}
	}
	tally, err := Run(t.Context(), []Round{
		round("a", job("look", "1", false, &log, nil), job("look", "2", true, &log, nil)),
		round("b", job("read", "1", false, &log, nil)),
	}, inOrder{}, Hooks{})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"plan a", "look 1", "commit a", "plan b", "read 1", "commit b"}
	if !slices.Equal(log, want) {
		t.Errorf("order %q, want %q", log, want)
	}
	if tally.Done["look"] != 1 || tally.Skipped["look"] != 1 || tally.Done["read"] != 1 {
		t.Errorf("tally %+v", tally)
	}
}

func TestRunStopsAtAFailureAndCommitsNothingOfItsRound(t *testing.T) {
	var log, failed []string
	disk := errors.New("disk full")
	rounds := []Round{{
		Name:   "a",
		Plan:   func(context.Context) ([]Job, error) { return []Job{job("look", "1", false, &log, disk)}, nil },
		Commit: func(context.Context) error { t.Error("a failed round was committed"); return nil },
	}}
	_, err := Run(t.Context(), rounds, inOrder{}, Hooks{
		JobFailed: func(k Key, err error) { failed = append(failed, k.String()) },
	})
	if !errors.Is(err, disk) {
		t.Errorf("error %v, want %v", err, disk)
	}
	if !slices.Equal(failed, []string{"look 1"}) {
		t.Errorf("failed jobs %q", failed)
	}
}

func TestFingerprintTellsListsApart(t *testing.T) {
	sum := func(v int, pairs ...string) Fingerprint {
		h := NewHasher(Step{"join", v})
		for i := 0; i < len(pairs); i += 2 {
			h.Add(pairs[i], pairs[i+1])
		}
		return h.Sum()
	}
	seen := map[Fingerprint]int{}
	for i, f := range []Fingerprint{
		sum(1), sum(2), sum(1, "a", "b"), sum(1, "ab", ""), sum(1, "", "ab"),
		sum(1, "a", "b", "c", "d"), sum(1, "a", "b=1:c\n1:d"), sum(1, "c", "d", "a", "b"),
	} {
		if j, twice := seen[f]; twice {
			t.Errorf("lists %d and %d have the same fingerprint", i, j)
		}
		seen[f] = i
		if len(f) != 64 || len(f.Short()) != 32 {
			t.Errorf("fingerprint %q has not 64 hex digits", f)
		}
	}
}
