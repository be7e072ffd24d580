package dataset

import (
	"context"
	"errors"
	"fmt"
	"io/fs"

	"rimelog/pipeline/store"
)

// A mark in the ledger says something of an upload for good; it is there or not.

// forgottenMark is the mark of an upload that the user withdrew.
const forgottenMark = "forgotten"

// Mark sets a mark of an upload. To set one twice is no error.
func (d *Dataset) Mark(ctx context.Context, upload, mark string) error {
	err := d.st.PutIfAbsent(ctx, markName(upload, mark), store.Bytes(canonical(map[string]string{"upload": upload})))
	if err != nil && !errors.Is(err, store.ErrExists) {
		return fmt.Errorf("mark upload %s as %s: %w", upload, mark, err)
	}
	return nil
}

// Marked tells whether an upload has a mark.
func (d *Dataset) Marked(ctx context.Context, upload, mark string) (bool, error) {
	_, err := d.st.Stat(ctx, markName(upload, mark))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil, err
}

// Forget keeps in the ledger that the user withdrew an upload: what it said leaves
// the next generation of its systems. The file itself is not touched.
func (d *Dataset) Forget(ctx context.Context, upload string) error {
	return d.Mark(ctx, upload, forgottenMark)
}

// Forgotten tells whether the user withdrew an upload.
func (d *Dataset) Forgotten(ctx context.Context, upload string) (bool, error) {
	return d.Marked(ctx, upload, forgottenMark)
}

func markName(upload, mark string) string { return uploadFolder(upload) + "/" + mark + ".json" }
