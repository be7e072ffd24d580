package pass

import (
	"bytes"

	"rimelog/ingest/dialect"
	"rimelog/ingest/scan"
)

// cellsOf cuts a line by the body's delimiter, without its comment mark; nil where a
// quote is not closed.
func (s *Pass) cellsOf(text []byte) [][]byte {
	if dialect.IsComment(text) {
		text = dialect.Uncomment(text)
	}
	cells, ok := scan.Split(nil, bytes.Clone(text), s.p.Layout.Delim)
	if !ok {
		return nil
	}
	return cells
}
