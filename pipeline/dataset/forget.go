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
	if err := d.Mark(ctx, upload, forgottenMark); err != nil {
		return err
	}
	err := d.st.PutIfAbsent(ctx, forgotten+"/"+short(upload)+".json", store.Bytes(canonical(map[string]string{"upload": upload})))
	if err != nil && !errors.Is(err, store.ErrExists) {
		return fmt.Errorf("list upload %s as withdrawn: %w", upload, err)
	}
	return nil
}

// Forgotten tells whether the user withdrew an upload.
func (d *Dataset) Forgotten(ctx context.Context, upload string) (bool, error) {
	return d.Marked(ctx, upload, forgottenMark)
}

// A Withdrawn tells the uploads that the user withdrew since generations rested on them: those
// marked before there was a list are not in it, and no generation rests on these.
type Withdrawn map[string]bool

// Withdrawn lists them, in one question.
func (d *Dataset) Withdrawn(ctx context.Context) (Withdrawn, error) {
	infos, err := d.st.List(ctx, forgotten)
	if err != nil {
		return nil, fmt.Errorf("list withdrawn uploads: %w", err)
	}
	w := Withdrawn{}
	for _, i := range infos {
		w[i.Name] = true
	}
	return w, nil
}

// Has tells whether an upload is among them.
func (w Withdrawn) Has(upload string) bool {
	return len(w) > 0 && w[forgotten+"/"+short(upload)+".json"]
}

func markName(upload, mark string) string { return uploadFolder(upload) + "/" + mark + ".json" }
