package ingest

import (
	"context"
	"errors"
	"io/fs"

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

// seenOf is what look found of a file; false where it did not look yet.
func (s *Stage) seenOf(ctx context.Context, f found) (seen, bool, error) {
	if k, ok := s.seen.Load(f.upload); ok {
		return k.(seen), true, nil
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
	s.seen.Store(f.upload, k)
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
		if k, ok := s.seen.Load(c.upload); ok && s.Share.reads(c.upload) {
			rows = append(rows, looked{c.upload, k.(seen).Bytes, k.(seen).Gauge})
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
		s.seen.Store(row.Upload, seen{StepLook.String(), row.Bytes, row.Gauge})
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
		s.seen.Delete(f.upload)
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
	s.seen.Delete(c.upload)
	return nil
}

// recall takes what was kept of files that are as they were.
func (s *Stage) recall() {
	for path, h := range s.hashes {
		if h.Seen != nil && h.Seen.Step == StepLook.String() && !raw.IsZip(path) {
			s.seen.Store(h.SHA256, *h.Seen)
		}
	}
}

// remember keeps what was found out since, for the next run.
func (s *Stage) remember(ctx context.Context) error {
	changed := false
	for path, h := range s.hashes {
		k, ok := s.seen.Load(h.SHA256)
		if !ok || raw.IsZip(path) {
			continue
		}
		if now := k.(seen); h.Seen == nil || *h.Seen != now {
			h.Seen, changed = &now, true
			s.hashes[path] = h
		}
	}
	if !changed {
		return nil
	}
	return keepHashes(ctx, s.store, s.hashes)
}
