package dataset

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"

	"rimelog/pipeline/store"
)

// Publish moves a committed generation's staged files to where readers look, and
// removes files that it no longer lists. What was published before is left as it
// is, so it may be called again at any time.
//
// A file that is neither staged nor at its path gives a *LostError, after all
// others are published. When another generation was committed since, nothing is
// done and the error is ErrOvertaken.
func (d *Dataset) Publish(ctx context.Context, g Generation) error {
	n, err := d.newest(ctx, g.Unit)
	if err != nil {
		return err
	}
	if n != g.N {
		return fmt.Errorf("publish %s: %w", g.Unit, ErrOvertaken)
	}
	before, err := d.before(ctx, g)
	if err != nil {
		return err
	}
	waiting, err := d.expected(ctx, g, before)
	if err != nil {
		return err
	}
	rest, err := d.publish(ctx, g, before, waiting)
	if err != nil {
		return err
	}
	return d.present(ctx, rest, before)
}

// Conclude commits g and publishes it. Where another run was faster with the same
// results, that is success; with others, the error is ErrOvertaken and nothing was changed.
func (d *Dataset) Conclude(ctx context.Context, g Generation) (Generation, error) {
	next, err := d.Commit(ctx, g)
	if err == nil && next.N == g.N && !d.stagedAny(next) {
		return next, nil // all is as it was, and was published then
	}
	if err == nil {
		err = d.Publish(ctx, next)
	}
	if err == nil {
		d.decoded.Store(next.Unit, next)
	}
	if !errors.Is(err, ErrOvertaken) {
		return next, err
	}
	newest, wrong := d.Newest(ctx, g.Unit)
	if wrong != nil || !newest.holds(g) {
		return Generation{}, errors.Join(wrong, err)
	}
	return newest, d.Publish(ctx, newest)
}

// stagedAny tells whether a file of a generation was staged here and waits.
func (d *Dataset) stagedAny(g Generation) bool {
	return slices.ContainsFunc(g.Files, func(f File) bool {
		_, here := d.made.Load(stagedName(f.Fingerprint, f.Path))
		return here
	})
}

// holds tells whether a generation has all that another one says.
func (g Generation) holds(other Generation) bool {
	for _, f := range other.Files {
		if mine, ok := g.File(f.Path); !ok || mine.Fingerprint != f.Fingerprint {
			return false
		}
	}
	return slices.Equal(g.Sorted().Parts, other.Sorted().Parts)
}

// expected is the set of staged names that a generation has to publish: what was staged
// here, maybe to take the place of a lost file, and what is staged of that which the
// generation before it has not.
func (d *Dataset) expected(ctx context.Context, g, before Generation) (map[string]bool, error) {
	names := map[string]bool{}
	for _, f := range g.Files {
		name := stagedName(f.Fingerprint, f.Path)
		if _, names[name] = d.made.Load(name); names[name] {
			continue
		}
		if was, ok := before.File(f.Path); ok && was.Fingerprint == f.Fingerprint {
			continue
		}
		_, err := d.st.Stat(ctx, name)
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("publish: %w", err)
		}
		names[name] = err == nil
	}
	return names, nil
}

// Recover finishes publications that a killed run left, and sweeps its
// temporary files. Call it at the start of a run, under the lock. Staged files
// that no generation lists stay: the plan gives the same names and uses them. A
// committed file that is gone is no error here: [Dataset.Done] says so, and its
// job runs again.
func (d *Dataset) Recover(ctx context.Context) error {
	if s, ok := d.st.(store.Sweeper); ok {
		for _, folder := range []string{staged, parts, ledger, pages, "run"} {
			if err := s.Sweep(ctx, folder); err != nil {
				return fmt.Errorf("sweep: %w", err)
			}
		}
	}
	return d.Resume(ctx, every)
}

// Resume finishes the publications that killed runs left of some units. Unlike Recover it
// may be called while others are at work.
func (d *Dataset) Resume(ctx context.Context, ours func(unit string) bool) error {
	waiting, err := d.waiting(ctx)
	if err != nil || len(waiting) == 0 {
		return err
	}
	return d.publishAll(ctx, waiting, ours)
}

func every(string) bool { return true }

// publishAll publishes the newest generations of the units that are ours and have files
// waiting; of all that are ours where waiting is nil.
func (d *Dataset) publishAll(ctx context.Context, waiting map[string]bool, ours func(unit string) bool) error {
	units, err := d.Units(ctx)
	if err != nil {
		return err
	}
	for _, unit := range units {
		if !ours(unit) {
			continue
		}
		g, err := d.Newest(ctx, unit)
		if err != nil {
			return err
		}
		if waiting != nil && !g.anyIn(waiting) {
			continue
		}
		before, err := d.before(ctx, g)
		if err != nil {
			return err
		}
		if _, err := d.publish(ctx, g, before, waiting); err != nil {
			return err
		}
	}
	return nil
}

// anyIn tells whether a file of the generation is among the staged names.
func (g Generation) anyIn(waiting map[string]bool) bool {
	for _, f := range g.Files {
		if waiting[stagedName(f.Fingerprint, f.Path)] {
			return true
		}
	}
	return false
}

// before is the generation that g was built on, empty where it is not kept.
func (d *Dataset) before(ctx context.Context, g Generation) (Generation, error) {
	if g.N <= 1 {
		return Generation{}, nil
	}
	before, err := d.decodedOf(ctx, g.Unit, g.N-1)
	if errors.Is(err, fs.ErrNotExist) {
		return Generation{}, nil
	}
	return before, err
}

// waiting is the set of staged names.
func (d *Dataset) waiting(ctx context.Context) (map[string]bool, error) {
	infos, err := d.st.List(ctx, staged)
	if err != nil {
		return nil, fmt.Errorf("list staged results: %w", err)
	}
	names := map[string]bool{}
	for _, i := range infos {
		names[i.Name] = true
	}
	return names, nil
}

// publish removes what g dropped and moves what is staged; the rest should be at
// its path already.
func (d *Dataset) publish(ctx context.Context, g, before Generation, waiting map[string]bool) (rest []File, err error) {
	if err := d.removeDropped(ctx, before, g); err != nil {
		return nil, err
	}
	moves, files := []store.Renaming{}, map[store.Renaming]File{}
	for _, f := range g.Files {
		m := store.Renaming{From: stagedName(f.Fingerprint, f.Path), To: f.Name()}
		if !waiting[m.From] {
			rest = append(rest, f)
			continue
		}
		moves, files[m] = append(moves, m), f
		d.made.Delete(m.From)
	}
	gone, err := d.st.MoveAll(ctx, moves)
	if err != nil {
		return nil, fmt.Errorf("publish: %w", err)
	}
	for _, m := range gone {
		rest = append(rest, files[m]) // another run was faster
	}
	return rest, nil
}

// present checks that files were published before: those that g changed by
// looking into them, those carried over by the generation that did.
func (d *Dataset) present(ctx context.Context, files []File, before Generation) error {
	var lost []error
	for _, f := range files {
		if was, ok := before.File(f.Path); ok && was.SHA256 == f.SHA256 {
			continue
		}
		ok, err := d.carries(ctx, f)
		if err != nil {
			return fmt.Errorf("publish %s: %w", f.Name(), err)
		}
		if !ok {
			lost = append(lost, &LostError{f.Name()})
		}
	}
	return errors.Join(lost...)
}

// carries tells whether a file's path holds it.
func (d *Dataset) carries(ctx context.Context, f File) (bool, error) {
	if f.Table == "" {
		sum, _, err := d.sum(ctx, f.Name())
		return sum == f.SHA256, ignoreMissing(err)
	}
	foot, _, err := d.footer(ctx, f.Name())
	return foot.fingerprint == string(f.Fingerprint), ignoreMissing(err)
}

func ignoreMissing(err error) error {
	var corrupt Corrupt
	if errors.Is(err, fs.ErrNotExist) || errors.As(err, &corrupt) {
		return nil
	}
	return err
}

// removeDropped removes what the generation before listed and this does not.
func (d *Dataset) removeDropped(ctx context.Context, before, g Generation) error {
	live := map[string]bool{}
	for _, f := range g.Files {
		live[f.Path] = true
	}
	for _, f := range before.Files {
		if live[f.Path] {
			continue
		}
		if err := d.st.Remove(ctx, f.Name()); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("remove %s: %w", f.Name(), err)
		}
	}
	return nil
}
