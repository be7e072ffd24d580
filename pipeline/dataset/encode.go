package dataset

import (
	"fmt"
	"io"

	"github.com/klauspost/compress/zstd"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A footer is what a file says of itself.
type footer struct {
	table, step, fingerprint string
	notes                    map[string]string
	below                    map[string]place // of notes behind the rows
}

// The footer's keys. Notes have their own, which must not be these.
const (
	keyTable       = "rimelog.table"
	keyStep        = "rimelog.step"
	keyFingerprint = "rimelog.fingerprint"
	keyBelow       = "rimelog.below" // the places of notes behind the rows, as JSON
)

// encode writes a frame as a Parquet file. The bytes follow from the frame and
// the footer alone.
func encode(w io.Writer, f *frame.Frame, foot footer, codec *zstd.Encoder) error {
	t := f.Table()
	if err := whole(t); err != nil {
		return err
	}
	out, err := newFileWriter(w, t, foot, codec)
	if err != nil {
		return err
	}
	if err := out.append(f); err != nil {
		return err
	}
	return out.close()
}

// whole refuses a frame of only some of its table's columns.
func whole(t table.Table) error {
	if known, ok := table.Named(t.Name); ok && len(known.Columns) != len(t.Columns) {
		return fmt.Errorf("encode %s: %d columns of %d", t.Name, len(t.Columns), len(known.Columns))
	}
	return nil
}
