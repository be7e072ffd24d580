package dataset

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"rimelog/pipeline/store"
)

// basisName keeps on what basis the newest generations of all systems were committed. While it
// is the same, what they rest on need not be asked for one by one. Nothing depends on it: it
// may be deleted.
const basisName = "run/basis"

// Basis is what was kept of it: empty where nothing was, or where somebody repaired since.
func (d *Dataset) Basis(ctx context.Context) (string, error) {
	text, err := store.ReadAll(ctx, d.st, basisName)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	return string(text), err
}

// KeepBasis says on what basis all newest generations of systems were committed.
func (d *Dataset) KeepBasis(ctx context.Context, basis string) error {
	if err := d.st.Put(ctx, basisName, store.Bytes([]byte(basis))); err != nil {
		return fmt.Errorf("keep the basis of generations: %w", err)
	}
	return nil
}

// DropBasis says that the next run has to ask for everything.
func (d *Dataset) DropBasis(ctx context.Context) error {
	if err := d.st.Remove(ctx, basisName); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("drop the basis of generations: %w", err)
	}
	return nil
}
