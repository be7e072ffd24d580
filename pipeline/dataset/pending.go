package dataset

import (
	"context"
	"errors"
	"io"

	"rimelog/pipeline/store"
)

// A pending is a name that is being written piece by piece: what a put asks for
// comes out of a pipe. Until commit nobody sees it.
type pending struct {
	pipe *io.PipeWriter
	done chan stored
	// there says that the name is taken. What is written then goes nowhere: results
	// are pure, so what is there is the same.
	there bool
}

// stored is what became of a put.
type stored struct {
	sum  string
	size int64
	err  error
}

// begin starts to write a name by a put. It returns once the store has taken the call,
// so that the order of calls does not depend on the scheduler.
func (d *Dataset) begin(ctx context.Context, name string, put putFunc) *pending {
	r, w := io.Pipe()
	p := &pending{pipe: w, done: make(chan stored, 1)}
	taken := make(chan struct{})
	go func() {
		var s stored
		called := false
		s.sum, s.size, s.err = summed(ctx, name, put, func(dst io.Writer) error {
			called = true
			close(taken)
			_, err := io.Copy(dst, r)
			return err
		})
		r.CloseWithError(s.err)
		p.done <- s
		if !called {
			close(taken)
		}
	}()
	<-taken
	return p
}

func (p *pending) Write(b []byte) (int, error) {
	if p.there {
		return len(b), nil
	}
	n, err := p.pipe.Write(b)
	if errors.Is(err, store.ErrExists) {
		p.there = true
		return len(b), nil
	}
	return n, err
}

// commit gives what was written its name. The error matches store.ErrExists where
// the name was taken.
func (p *pending) commit() stored {
	p.pipe.Close() //nolint:errcheck // never fails
	s := <-p.done
	p.done <- s
	return s
}

var errDiscarded = errors.New("not wanted any more")

// discard leaves nothing behind, unless it was committed before.
func (p *pending) discard() {
	p.pipe.CloseWithError(errDiscarded) //nolint:errcheck // never fails
	s := <-p.done
	p.done <- s
}
