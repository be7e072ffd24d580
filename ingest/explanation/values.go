package explanation

import (
	"context"
	"io"

	"rimelog/ingest/answers"
	"rimelog/ingest/claim"
	"rimelog/ingest/limits"
	"rimelog/ingest/look"
	"rimelog/ingest/raw"
	"rimelog/ingest/read"
	"rimelog/pipeline/register"
)

// WriteValues reads a file as Explain does and writes the samples as CSV: the time
// in UTC and the canonical columns that hold a value, with the system in front where
// the file holds several.
func WriteValues(ctx context.Context, w io.Writer, src raw.Source, path, upload string, reg *register.Register, o limits.Options) error {
	src, err := raw.Unpack(src, o)
	if err != nil {
		return err
	}
	facts, err := look.File(ctx, src, o)
	if err != nil {
		return err
	}
	r, err := read.File(ctx, src, upload, answers.For(reg, path, claim.Systems(reg, path, facts)), o)
	if err != nil {
		return err
	}
	return read.WriteValues(w, r.Parts)
}
