package ingest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"slices"
	"time"

	"rimelog/ingest/claim"
	"rimelog/ingest/look"
	"rimelog/ingest/understood"
	"rimelog/pipeline/dataset"
)

// A File is an upload as a plan freezes it, so that all who share the work go by one list.
type File struct {
	Path   string `json:"path"`             // below uploads/
	Member string `json:"member,omitempty"` // of an archive; empty for a file of its own
	// Upload is the SHA-256 of the bytes, 64 hex digits; a member follows after +.
	Upload   string    `json:"upload"`
	Size     int64     `json:"size"`            // bytes of the file
	Lines    int64     `json:"lines,omitempty"` // by their ends; 0 where nobody counted
	Modified time.Time `json:"modified"`        // as the store says; a file that differs is left for the next run
}

// A Share is what one of several workers does of the stage: some of the uploads in
// ReadRounds, or some of the systems in JoinRounds. The zero Share is all of it.
type Share struct {
	Files []File                   // the uploads as they were frozen; nil: as they are now
	Reads func(upload string) bool // the uploads that are looked at and read; nil: all
	Joins func(system string) bool // the systems whose files are joined; nil: all
}

func (s Share) reads(upload string) bool { return s.Reads == nil || s.Reads(upload) }

func (s Share) joins(system string) bool { return s.Joins == nil || s.Joins(system) }

// needs tells whether a share must know more of an upload than its place, by which these
// systems claim it.
func (s Share) needs(upload string, systems []string) bool {
	if s.Reads != nil {
		return s.Reads(upload)
	}
	return len(systems) == 0 || slices.ContainsFunc(systems, s.joins)
}

// found is the frozen list as the stage uses it; nil where nothing was frozen.
func (s Share) found() []found {
	if s.Files == nil {
		return nil
	}
	files := make([]found, 0, len(s.Files))
	for _, f := range s.Files {
		files = append(files, found{path: f.Path, member: f.Member, upload: f.Upload, size: f.Size, lines: f.Lines, time: f.Modified})
	}
	return files
}

// Survey lists and hashes the uploads as they are now, for a plan to freeze. A file that
// changes while it is read is not among them.
func (s *Stage) Survey(ctx context.Context) ([]File, error) {
	if err := s.survey(ctx, s.hash); err != nil {
		return nil, err
	}
	files := make([]File, 0, len(s.files))
	for _, f := range s.files {
		files = append(files, f.file())
	}
	return files, nil
}

func (f found) file() File {
	return File{Path: f.path, Member: f.member, Upload: f.upload, Size: f.size, Lines: f.lines, Modified: f.time}
}

// Claimants are the systems that claim a file by its place, whatever it says.
func (s *Stage) Claimants(f File) []string { return claim.Systems(s.register, f.Name(), look.Facts{}) }

// Name is what a file is called: an archive's member below the archive.
func (f File) Name() string { return found{path: f.Path, member: f.Member}.name() }

// foreign are the uploads that need not be asked about: wherever they lie, others do what
// there is to do with them.
func (s *Stage) foreign() map[string]bool {
	needed := map[string]bool{}
	if s.Share.Reads == nil && s.Share.Joins == nil {
		return needed
	}
	for _, f := range s.files {
		needed[f.upload] = needed[f.upload] || s.Share.needs(f.upload, claim.Systems(s.register, f.name(), look.Facts{}))
	}
	maps.DeleteFunc(needed, func(_ string, need bool) bool { return need })
	for upload := range needed {
		needed[upload] = true
	}
	return needed
}

// A Progress says how far an upload is.
type Progress struct {
	File
	State State
	At    time.Time // when the ledger took it, by the store's clock; zero where it did not
}

// A State is what the ledger knows of an upload.
type State int

// The states of an upload.
const (
	Missing  State = iota // nobody looked at it or read it yet
	Taken                 // it was read, or waits for somebody to claim it
	Rejected              // it cannot be read, or it changed since the plan; the ledger or the next run has it
)

// Progress asks the ledger about every upload of the share: those it reads and those its
// systems claim.
func (s *Stage) Progress(ctx context.Context) (list []Progress, err error) {
	err = s.each(ctx, func(f found, reading string) error {
		p, err := s.progressOf(ctx, f, reading)
		list = append(list, p)
		return err
	})
	return list, err
}

func (s *Stage) progressOf(ctx context.Context, f found, reading string) (Progress, error) {
	p := Progress{File: f.file()}
	taken, bad, err := s.taken(ctx, f.upload, reading)
	switch {
	case err != nil:
		return p, err
	case taken && bad:
		p.State = Rejected
	case taken:
		p.State = Taken
	default:
		same, err := unchanged(ctx, s.store, f)
		if err != nil {
			return p, err
		}
		if !same {
			p.State = Rejected
		}
		return p, nil
	}
	p.At, err = s.data.TakenAt(ctx, f.upload, reading)
	return p, err
}

// taken tells whether the ledger has an upload under a reading, or what it is where there
// is no reading; and whether it could not be read.
func (s *Stage) taken(ctx context.Context, upload, reading string) (ok, bad bool, err error) {
	if reading == "" {
		var facts look.Facts
		ok, err = s.data.Facts(ctx, upload, StepLook, &facts)
		return ok, facts.Unreadable != "", err
	}
	e, ok, err := s.data.Entry(ctx, upload, reading)
	if err != nil || !ok {
		return false, false, err
	}
	var u understood.File
	if err := json.Unmarshal(e.Decisions, &u); err != nil {
		return false, false, fmt.Errorf("entry of upload %s: %w", upload, err)
	}
	return true, u.Unreadable != "", nil
}

// Unread are the uploads of the share that the ledger does not know yet: what must be
// done before the share's systems can be joined. One that changed since it was frozen is
// left for the next run.
func (s *Stage) Unread(ctx context.Context) (names []string, of int, err error) {
	err = s.each(ctx, func(f found, reading string) error {
		of++
		if _, stands := s.standing[f.upload]; stands {
			return nil
		}
		_, err := s.data.TakenAt(ctx, f.upload, reading)
		if !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		same, err := unchanged(ctx, s.store, f)
		if same {
			names = append(names, f.name())
		}
		return err
	})
	return names, of, err
}

// each goes over the uploads of the share, with the reading of those that are claimed.
func (s *Stage) each(ctx context.Context, do func(f found, reading string) error) error {
	claims, err := s.claims(ctx)
	if err != nil {
		return err
	}
	readings := map[string]string{}
	for _, c := range claims {
		readings[c.upload] = c.reading
	}
	foreign, seen := s.foreign(), map[string]bool{}
	for _, f := range s.files {
		if foreign[f.upload] || seen[f.upload] {
			continue
		}
		seen[f.upload] = true
		if err := do(f, readings[f.upload]); err != nil {
			return err
		}
	}
	return nil
}

// Unjoined are the systems whose newest generation does not rest on what was read.
func (s *Stage) Unjoined(ctx context.Context) (ids []string, of int, err error) {
	bySystem, err := s.entries(ctx)
	if err != nil {
		return nil, 0, err
	}
	for _, id := range s.systems(bySystem) {
		g, err := s.data.Newest(ctx, dataset.SystemUnit(id))
		if err != nil {
			return nil, 0, err
		}
		stale := slices.ContainsFunc(joinJobs(id, bySystem[id], g), func(j joinJob) bool {
			f, ok := g.File(j.path)
			return !ok || f.Fingerprint != j.fp
		})
		if stale || !slices.Equal(partsOf(bySystem[id]), g.Parts) {
			ids = append(ids, id)
		}
	}
	return ids, len(bySystem), nil
}

// Systems lists the systems of the share that have uploads, or had.
func (s *Stage) Systems(ctx context.Context) ([]string, error) {
	bySystem, err := s.entries(ctx)
	if err != nil {
		return nil, err
	}
	claims, err := s.claims(ctx)
	for _, c := range claims {
		for _, id := range c.systems {
			if _, ok := bySystem[id]; !ok && s.Share.joins(id) {
				bySystem[id] = nil // nothing of it is read yet
			}
		}
	}
	return s.systems(bySystem), err
}
