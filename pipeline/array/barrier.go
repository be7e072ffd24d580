package array

import (
	"context"
	"fmt"

	"rimelog/pipeline"
)

// A WaitError says that what a stage rests on is not there yet: run its shards again, then
// this one.
type WaitError struct {
	What    string   // what is missing, as a sentence's subject: "uploads are not read"
	Missing []string // their names
	Of      int      // how many there are in all
	Remedy  string
}

func (e *WaitError) Error() string {
	return fmt.Sprintf("%d of %d %s, such as %s: %s, then this again", len(e.Missing), e.Of, e.What, e.Missing[0], e.Remedy)
}

// Barrier is a round that fails with a *WaitError while the ledger says that something is
// missing.
func Barrier(what, remedy string, ask func(context.Context) (missing []string, of int, err error)) pipeline.Round {
	return pipeline.Round{Name: "barrier", Plan: func(ctx context.Context) ([]pipeline.Job, error) {
		missing, of, err := ask(ctx)
		if err == nil && len(missing) > 0 {
			err = &WaitError{what, missing, of, remedy}
		}
		return nil, err
	}}
}
