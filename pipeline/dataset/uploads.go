package dataset

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"rimelog/pipeline"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
)

// The ledger of uploads. An upload is named by the SHA-256 of its bytes, 64 hex
// digits, for a member of an archive followed by "+" and its path there.
//
//	look:  PutFacts(upload, step, facts)           once per upload and step version
//	read:  BeginReading, Append..., Commit(entry)  once per upload and reading
//	join:  Entry(upload, reading) -> Entry.Parts -> OpenPart(part, month)
//
// A part that is written is never changed; its entry comes after it, so an entry
// that is there has its parts.

// facts wraps what the look step says of an upload.
type facts struct {
	Upload string          `json:"upload"`
	Step   string          `json:"step"`
	Facts  json.RawMessage `json:"facts"`
}

// PutFacts keeps what a step found out about an upload's bytes. v must marshal
// to the same JSON for the same bytes: no clock, no path. Facts of an older
// version of the step are replaced.
func (d *Dataset) PutFacts(ctx context.Context, upload string, step pipeline.Step, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("facts of upload %s: %w", upload, err)
	}
	name := factsName(upload)
	content := canonical(facts{upload, step.String(), b})
	err = store.Stage(ctx, d.st, name, store.Bytes(content))
	if !errors.Is(err, store.ErrExists) {
		return err
	}
	if found, err := d.Facts(ctx, upload, step, nil); err != nil || found {
		return err
	}
	return d.st.Put(ctx, name, store.Bytes(content))
}

// Facts reads into v (a pointer, or nil to only ask) what this version of the
// step found out about an upload. It returns false where it did not look yet.
func (d *Dataset) Facts(ctx context.Context, upload string, step pipeline.Step, v any) (bool, error) {
	var f facts
	err := d.getJSON(ctx, factsName(upload), &f)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil || f.Upload != upload || f.Step != step.String() {
		return false, err
	}
	if v == nil {
		return true, nil
	}
	if err := json.Unmarshal(f.Facts, v); err != nil {
		return false, Corrupt{factsName(upload), "does not fit this version: " + err.Error(), "remove it and run again"}
	}
	return true, nil
}

// Uploads lists every upload that has facts and is not among those known, by its full
// name, sorted by name in the ledger. It reads the facts of these.
func (d *Dataset) Uploads(ctx context.Context, known map[string]bool) ([]string, error) {
	folders, err := store.Folders(ctx, d.st, uploads)
	if err != nil {
		return nil, fmt.Errorf("list uploads: %w", err)
	}
	skip := map[string]bool{}
	for upload := range known {
		skip[short(upload)] = true
	}
	var ids []string
	for _, name := range folders {
		if skip[name] {
			continue
		}
		var f facts
		err := d.getJSON(ctx, uploads+"/"+name+"/facts.json", &f)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return nil, err
		}
		ids = append(ids, f.Upload)
	}
	return ids, nil
}

func factsName(upload string) string { return uploadFolder(upload) + "/facts.json" }

// An Entry says how an upload was read under one reading, and where each of its
// lines and values went.
type Entry struct {
	Upload  string   `json:"upload"`
	Reading string   `json:"reading"` // fingerprint of what the reading rests on: 64 hex digits
	Step    string   `json:"step"`    // filled in by PutReading
	Systems []string `json:"systems"` // the systems it belongs to, in the order of their parts
	// Lines and Values are the upload's own account: Values.Stored are in its
	// parts. What another upload holds already is found out by join.
	Lines  Lines  `json:"lines"`
	Values Values `json:"values"`
	// Decisions is what was decided and on what evidence, as JSON of the reader's.
	Decisions json.RawMessage `json:"decisions,omitempty"`
	Parts     []PartFile      `json:"parts"` // filled in by PutReading
}

// A PartFile is one file of what an upload says.
type PartFile struct {
	System string   `json:"system"`
	Table  string   `json:"table"`  // samples, extras or refusals
	Name   string   `json:"name"`   // in the workspace
	SHA256 string   `json:"sha256"` // of its bytes
	Rows   int64    `json:"rows"`
	Bytes  int64    `json:"bytes"`
	Months []string `json:"months,omitempty"` // UTC months it has rows of, "2024-03"; none for refusals
}

// Rows is what an upload says about one system, in the columns of the tables
// samples, extras and refusals. Samples and extras are sorted by time; samples
// have each time once. A frame may be nil or empty.
type Rows struct {
	System                    string
	Samples, Extras, Refusals *frame.Frame
}

// PutReading writes the parts of an upload and then its entry, and returns the
// entry with its Parts. What is there already, from a run that was killed or
// one that does the same now, is used as it is. rows are in the order of
// e.Systems; an upload with no rows (unreadable) has an entry without parts.
func (d *Dataset) PutReading(ctx context.Context, step pipeline.Step, e Entry, rows ...Rows) (Entry, error) {
	w, err := d.BeginReading(ctx, step, e.Upload, e.Reading)
	if err != nil {
		return Entry{}, err
	}
	defer w.Discard()
	for n, r := range rows {
		for _, f := range []*frame.Frame{r.Samples, r.Extras, r.Refusals} {
			if f == nil {
				continue
			}
			if err := w.Append(n, r.System, f); err != nil {
				return Entry{}, err
			}
		}
	}
	return w.Commit(e)
}

// Entry returns how an upload was read under a reading, if it was.
func (d *Dataset) Entry(ctx context.Context, upload, reading string) (Entry, bool, error) {
	var e Entry
	err := d.getJSON(ctx, entryName(upload, reading), &e)
	if errors.Is(err, fs.ErrNotExist) {
		return Entry{}, false, nil
	}
	return e, err == nil, err
}

// ReadingDone tells whether an upload of a system was read under a reading and its
// parts are there. It is meant for the read job's Done.
func (d *Dataset) ReadingDone(ctx context.Context, system, upload, reading string) (bool, error) {
	_, err := d.st.Stat(ctx, entryName(upload, reading))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	b, ok, err := d.Brief(ctx, system, upload, reading)
	if err != nil || !ok {
		return false, err
	}
	for _, p := range b.Parts {
		if there, err := d.PartThere(ctx, p); err != nil || !there {
			return false, err
		}
	}
	return true, nil
}

// PartThere tells whether a part lies where its entry says, with as many bytes.
func (d *Dataset) PartThere(ctx context.Context, p PartFile) (bool, error) {
	info, err := d.st.Stat(ctx, p.Name)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return err == nil && info.Size == p.Bytes, err
}

// TakenAt is when the ledger took an upload under a reading, or its facts where the
// reading is empty: by the store's clock, for people. It must be there.
func (d *Dataset) TakenAt(ctx context.Context, upload, reading string) (time.Time, error) {
	name := factsName(upload)
	if reading != "" {
		name = entryName(upload, reading)
	}
	info, err := d.st.Stat(ctx, name)
	return info.Modified, err
}

// ReadPart returns the rows of a part, of all columns or those named.
func (d *Dataset) ReadPart(ctx context.Context, p PartFile, cols ...string) (*frame.Frame, error) {
	f, err := d.read(ctx, p.Name, cols...)
	return f, d.needed(ctx, p, err)
}

// needed is the error of who needed a part. Where that is gone, the next run asks for every
// upload, and reads what is missing.
func (d *Dataset) needed(ctx context.Context, p PartFile, err error) error {
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return errors.Join(fmt.Errorf("what an upload said of %s is gone; run again, which reads it again: %w", p.System, err), d.DropBasis(ctx))
}

// isTable tells a table's file from a page by its name.
func isTable(name string) bool { return strings.HasSuffix(name, ".parquet") }
