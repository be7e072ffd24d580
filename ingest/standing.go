package ingest

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"rimelog/ingest/claim"
	"rimelog/ingest/look"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
)

// A logger that stays sends a file a day, for years, and a night must not ask for each how it
// was read. An upload stands, as its system's newest generation has it, where
//
//  1. that generation rests on it, from the path where it still lies, with the same bytes: so
//     its facts, its entry and its parts were there when it was committed;
//  2. all generations were committed on the basis that claims and readings have tonight, or
//     whoever joined this one vouches for it;
//  3. the same systems claim its place, and it lies nowhere else;
//  4. nobody withdrew it since.
//
// What went of the dataset since is found by verify, whose repair drops the basis, so that the
// next run asks for everything; and by whoever needs it: see mend.

// basis is what claims and readings rest on besides uploads and their paths.
func (s *Stage) basis() string {
	if s.rested != "" {
		return s.rested
	}
	h := pipeline.NewHasher(StepRead)
	h.Add("look", StepLook.String())
	h.Add("register", s.register.ReadingBasis())
	h.Add("options", s.changed)
	s.rested = string(h.Sum())
	return s.rested
}

// alone tells whether the stage does all of the work, on the files as they are now.
func (s *Stage) alone() bool {
	return s.Share.Files == nil && s.Share.Reads == nil && s.Share.Joins == nil
}

// stand finds the uploads that stand.
func (s *Stage) stand(ctx context.Context) error {
	s.standing = nil
	if may, err := s.mayStand(ctx); err != nil || !may {
		return err
	}
	withdrawn, err := s.data.Withdrawn(ctx)
	if err != nil {
		return err
	}
	rests, err := s.rests(ctx)
	if err != nil {
		return err
	}
	s.standing = make(map[string]claimed, len(rests))
	for _, f := range s.files {
		at, known := rests[f.name()]
		if !known || at.Upload != f.upload || s.twice[f.upload] || withdrawn.Has(f.upload) {
			continue
		}
		b, known, err := s.data.Brief(ctx, at.system, at.Upload, at.Reading)
		if err != nil {
			return err
		}
		if known && slices.Equal(b.Systems, claim.Systems(s.register, f.name(), look.Facts{})) {
			s.standing[f.upload] = claimed{found: f, systems: b.Systems, reading: at.Reading}
		}
	}
	return nil
}

// mayStand tells whether there can be uploads that stand.
func (s *Stage) mayStand(ctx context.Context) (bool, error) {
	switch {
	case s.Rehash:
		return false, nil
	case !s.alone():
		return len(s.Vouched) > 0, nil
	}
	kept, err := s.data.Basis(ctx)
	return kept == s.basis(), err
}

// vouches tells whether a generation is one that uploads may stand by.
func (s *Stage) vouches(g dataset.Generation) bool {
	n, vouched := s.Vouched[g.Unit]
	return s.alone() || vouched && n == g.N
}

// A rest is a part that the newest generation of a system rests on.
type rest struct {
	dataset.Part
	system string
}

// rests are those of all systems whose generations count, by path.
func (s *Stage) rests(ctx context.Context) (map[string]rest, error) {
	units, err := s.data.Units(ctx)
	if err != nil {
		return nil, err
	}
	rests := make(map[string]rest, len(s.files))
	for _, u := range units {
		id, ok := strings.CutPrefix(u, dataset.SystemUnit(""))
		if !ok {
			continue
		}
		g, err := s.data.Newest(ctx, u)
		if err != nil {
			return nil, err
		}
		if !s.vouches(g) {
			continue
		}
		for _, p := range g.Parts {
			rests[p.Path] = rest{p, id}
		}
	}
	return rests, nil
}

// readAlready tells whether a claimed upload need not be read.
func (s *Stage) readAlready(ctx context.Context, c claimed) (bool, error) {
	if _, stands := s.standing[c.upload]; stands {
		return true, nil
	}
	return s.data.ReadingDone(ctx, c.systems[0], c.upload, c.reading)
}

// mend reads uploads again that stand, and whose parts a job needs and does not find.
func (s *Stage) mend(ctx context.Context, j joinJob) error {
	for i, p := range j.parts {
		c, stands := s.standing[j.from[i].Upload]
		if !stands {
			continue
		}
		there, err := s.data.PartThere(ctx, p)
		if err != nil {
			return err
		}
		if there {
			continue
		}
		look, _, err := s.seenOf(ctx, c.found)
		if err != nil {
			return err
		}
		c.gauge = look.Gauge
		if err := s.read(ctx, c); err != nil {
			return fmt.Errorf("its part %s is gone: %w", p.Name, err)
		}
	}
	return nil
}

// leaveBasis drops the basis that was kept before anything is committed on another.
func (s *Stage) leaveBasis(ctx context.Context) error {
	kept, err := s.data.Basis(ctx)
	if err != nil || kept == "" || s.alone() && kept == s.basis() {
		return err
	}
	return s.data.DropBasis(ctx)
}

// keepBasis keeps the basis that all systems were committed on.
func (s *Stage) keepBasis(ctx context.Context) error {
	kept, err := s.data.Basis(ctx)
	if err != nil || !s.alone() || kept == s.basis() {
		return err
	}
	return s.data.KeepBasis(ctx, s.basis())
}
