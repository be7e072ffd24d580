package pass

import (
	"fmt"

	"rimelog/ingest/dialect"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
)

// spoilt tells why a number is not taken, by what stands in the place for its quality.
func (s *Pass) spoilt(v *cell, place int) (reason string, bad bool) {
	if place <= 0 || v.kind != dialect.NumberCell {
		return "", false
	}
	text := s.row[place].text
	switch why, missing := scan.Marker(text); {
	case !missing || why == "empty" || why == "missing":
		return "", false
	}
	return fmt.Sprintf("the logger calls it %q", raw.Show(text)), true
}
