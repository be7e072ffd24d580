package ingest

import (
	"context"
	"errors"
	"io/fs"
	"sync"

	"rimelog/ingest/look"
	"rimelog/ingest/raw"
	"rimelog/pipeline/frame"
)

// A seen is what every night asks of the facts of an upload. It is kept beside the hashes
// of files, so that a night decodes the facts of new files only.
type seen struct {
	Step  string // of look, with its version
	Bytes int64
	Gauge bool // it may hold gauge pressures: it is read anew where the altitude changes
}

// sightings are what was seen of uploads. The zero value has none.
type sightings struct {
	mu sync.RWMutex
	of map[string]seen
}

func (s *sightings) load(upload string) (seen, bool) {
	s.mu.RLock()
	defer s.mu.RUnlock()
	k, ok := s.of[upload]
	return k, ok
}

func (s *sightings) store(upload string, k seen) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.of == nil {
		s.of = map[string]seen{}
	}
	s.of[upload] = k
}

func (s *sightings) forget(upload string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.of, upload)
}

// seenOf is what look found of a file; false where it did not look yet.
func (s *Stage) seenOf(ctx context.Context, f found) (seen, bool, error) {
	if k, ok := s.seen.load(f.upload); ok {
		return k, true, nil
	}
	var facts look.Facts
	ok, err := s.data.Facts(ctx, f.upload, StepLook, &facts)
	if err != nil || !ok {
		return seen{}, false, err
	}
	k := seen{StepLook.String(), facts.Bytes, facts.Gauge}
	if !k.Gauge {
		if k.Gauge, err = s.data.Marked(ctx, f.upload, gaugeMark); err != nil {
			return seen{}, false, err
		}
	}
	s.seen.store(f.upload, k)
	return k, true, nil
}

// A looked is a seen in an excerpt.
type looked struct {
	Upload string `col:"upload" doc:"by its hash"`
	Bytes  int64  `col:"bytes" doc:"of the upload"`
	Gauge  bool   `col:"gauge" doc:"it may hold gauge pressures"`
}

// Looked is an excerpt of what the share's rounds found of uploads, for [Stage.Learn] of
// another process of the same program under the same register and options.
func (s *Stage) Looked() []byte {
	var rows []looked
	for _, c := range s.claimed {
		if k, ok := s.seen.load(c.upload); ok && s.Share.reads(c.upload) {
			rows = append(rows, looked{c.upload, k.Bytes, k.Gauge})
		}
	}
	return frame.Pack(nil, rows)
}

// Learn takes what another process found, so that facts of these uploads are not decoded
// again. What it cannot read it leaves.
func (s *Stage) Learn(excerpt []byte) {
	rows, _, err := frame.Unpack[looked](excerpt)
	if err != nil {
		return
	}
	for _, row := range rows {
		s.seen.store(row.Upload, seen{StepLook.String(), row.Bytes, row.Gauge})
	}
}

// looked tells whether the ledger has the facts of a file.
func (s *Stage) looked(ctx context.Context, f found) (bool, error) {
	if _, stands := s.standing[f.upload]; stands {
		return true, nil
	}
	if _, ok, err := s.seenOf(ctx, f); err != nil || !ok {
		return false, err
	}
	_, err := s.data.TakenAt(ctx, f.upload, "")
	if errors.Is(err, fs.ErrNotExist) {
		s.seen.forget(f.upload)
		return false, nil
	}
	return err == nil, err
}

// gaugeMark is the mark of an upload in which reading found gauge pressures where look saw
// none: below another table, or by the register.
const gaugeMark = "gauge"

// markGauge remembers it.
func (s *Stage) markGauge(ctx context.Context, c claimed) error {
	if err := s.data.Mark(ctx, c.upload, gaugeMark); err != nil {
		return err
	}
	s.seen.forget(c.upload)
	return nil
}

// recall takes what was kept of files that are as they were.
func (s *Stage) recall() {
	for path, h := range s.hashes {
		if h.Seen != nil && h.Seen.Step == StepLook.String() && !raw.IsZip(path) {
			s.seen.store(h.SHA256, *h.Seen)
		}
	}
}

// remember keeps what was found out since, for the next run.
func (s *Stage) remember(ctx context.Context) error {
	changed := false
	for path, h := range s.hashes {
		k, ok := s.seen.load(h.SHA256)
		if !ok || raw.IsZip(path) {
			continue
		}
		if h.Seen == nil || *h.Seen != k {
			h.Seen, changed = &k, true
			s.hashes[path] = h
		}
	}
	if !changed {
		return nil
	}
	return keepHashes(ctx, s.store, s.hashes)
}
