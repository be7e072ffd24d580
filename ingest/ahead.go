package ingest

import (
	"context"
	"encoding/json"
	"errors"
	"runtime"
	"slices"

	"rimelog/ingest/claim"
	"rimelog/ingest/look"
	"rimelog/ingest/pass"
	"rimelog/ingest/raw"
	"rimelog/pipeline/dataset"
)

// An upload is named by its bytes, so that what it says can have no name before all of it
// is hashed. Where hashing leaves processors idle, a long file is read meanwhile, under the
// answers of the systems that claim its place. What was read waits for its name; the read
// job that would have read the file commits it.

// leastAhead is how many bytes a file has at least to be read while it is hashed.
const leastAhead = 8 << 20

// A written is a reading that is not committed yet.
type written struct {
	to      *dataset.ReadingWriter
	reading pass.Reading
	from    claimed // the file that was read, as it was found
}

// hashAhead hashes a file, one of so many, and reads it meanwhile where that is worth the
// while.
func (s *Stage) hashAhead(ctx context.Context, f found, of int) (cachedHash, error) {
	c := claimed{found: f, systems: claim.Systems(s.register, f.path, look.Facts{})}
	if f.size < s.leastAhead || raw.IsZip(f.path) || s.Rehash || of >= runtime.GOMAXPROCS(0) || len(c.systems) == 0 || len(c.systems) > s.options.Systems() {
		return s.hash(ctx, f, of)
	}
	var h cachedHash
	hashed := make(chan error, 1)
	go func() {
		var err error
		h, err = hashFile(ctx, s.store, f)
		hashed <- err
	}()
	a, there, err := s.readAhead(ctx, c)
	if err = errors.Join(err, <-hashed); err != nil || h.SHA256 == "" || !there {
		a.to.Discard()
		return cachedHash{}, err
	}
	c.upload, h.Lines = h.SHA256, a.reading.Lines.All
	if same, there := s.ahead.Swap(c.upload, a); there {
		same.(written).to.Discard()
	}
	return h, nil
}

func (s *Stage) readAhead(ctx context.Context, c claimed) (a written, there bool, err error) {
	key, err := json.Marshal([]any{c.path, c.size, c.time, c.systems})
	if err != nil {
		panic("ingest: " + err.Error()) // only types that cannot fail come here
	}
	a.from, a.to = c, s.data.BeginAhead(ctx, StepRead, string(key))
	a.reading, there, err = s.readInto(ctx, c, a.to)
	return a, there, err
}

// takeAhead takes what was read ahead of an upload, if it was read as it is claimed.
func (s *Stage) takeAhead(c claimed) (written, bool) {
	kept, ok := s.ahead.LoadAndDelete(c.upload)
	if !ok {
		return written{}, false
	}
	a := kept.(written)
	if a.from.name() != c.name() || !slices.Equal(a.from.systems, c.systems) || a.to.Name(c.upload, c.reading) != nil {
		a.to.Discard()
		return written{}, false
	}
	return a, true
}

// dropAhead forgets what was read ahead and asked for by no job.
func (s *Stage) dropAhead() {
	s.ahead.Range(func(upload, a any) bool {
		a.(written).to.Discard()
		s.ahead.Delete(upload)
		return true
	})
}
