package dataset

import (
	"io"
	"iter"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// WriteParquet writes frames below each other as one Parquet file, in the types and
// settings of the dataset's own files. It is for copies that leave the dataset: t may
// have columns that the dataset's table has not, and no ledger knows the file.
// An error in frames ends it and is returned; the file is then worth nothing.
func WriteParquet(w io.Writer, t table.Table, frames iter.Seq2[*frame.Frame, error]) error {
	out, err := newFileWriter(w, t, footer{table: t.Name}, newCodec())
	if err != nil {
		return err
	}
	out.meta.CreatedBy = exportedBy
	for f, err := range frames {
		if err != nil {
			return err
		}
		if err := out.append(f); err != nil {
			return err
		}
	}
	return out.close()
}

const exportedBy = "rimelog version 1(build export)"
