package dataset

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"rimelog/pipeline/store"
)

// Forget keeps in the ledger that the user withdrew an upload: what it said leaves
// the next generation of its systems. The file itself is not touched. To withdraw
// one twice is no error.
func (d *Dataset) Forget(ctx context.Context, upload string) error {
	err := d.st.PutIfAbsent(ctx, forgottenName(upload), store.Bytes(canonical(map[string]string{"upload": upload})))
	if err != nil && !errors.Is(err, store.ErrExists) {
		return fmt.Errorf("forget upload %s: %w", upload, err)
	}
	return nil
}

// Forgotten tells whether the user withdrew an upload.
func (d *Dataset) Forgotten(ctx context.Context, upload string) (bool, error) {
	_, err := d.st.Stat(ctx, forgottenName(upload))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

func forgottenName(upload string) string { return uploadFolder(upload) + "/forgotten.json" }
