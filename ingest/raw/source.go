package raw

import (
	"io"

	"rimelog/ingest/clock"
)

// A Source is the bytes of an upload.
type Source struct {
	io.ReaderAt
	Size int64

	Ends   int64        // its lines, where they were counted by their ends
	Bad    *Unreadable  // why an archive gave no bytes
	Within *Surrounding // of a table within a file
}

// An Unreadable says why a file is no table, and what would help.
type Unreadable struct{ Problem, Remedy string }

// Error says both.
func (u *Unreadable) Error() string { return u.Problem + "; " + u.Remedy }

// A Surrounding is what a table knows of the file that it is a part of.
type Surrounding struct {
	Charset Charset
	Above   []string // the first lines of the file
	Orders  clock.OrderEvidence
	Decimal byte // the mark that another table proves
}
