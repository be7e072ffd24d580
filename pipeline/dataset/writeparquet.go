package dataset

import (
	"fmt"
	"io"
	"iter"

	"github.com/parquet-go/parquet-go"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// WriteParquet writes frames below each other as one Parquet file, in the types and
// settings of the dataset's own files. It is for copies that leave the dataset: t may
// have columns that the dataset's table has not, and no ledger knows the file.
// An error in frames ends it and is returned; the file is then worth nothing.
func WriteParquet(w io.Writer, t table.Table, frames iter.Seq2[*frame.Frame, error]) error {
	pw := parquet.NewGenericWriter[any](w, schemaOf(t),
		parquet.KeyValueMetadata(keyTable, t.Name),
		parquet.CreatedBy("rimelog", "1", "export"),
		parquet.Compression(newCodec()),
		parquet.DataPageVersion(2),
	)
	for f, err := range frames {
		if err != nil {
			return err
		}
		if f.Rows() == 0 {
			continue
		}
		if err := encodeRowGroup(pw, f); err != nil {
			return fmt.Errorf("write %s: %w", t.Name, err)
		}
	}
	if err := pw.Close(); err != nil {
		return fmt.Errorf("write %s: %w", t.Name, err)
	}
	return nil
}
