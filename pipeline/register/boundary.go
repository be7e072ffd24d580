package register

import (
	"regexp"
	"strings"
)

// A Boundary is what a power meter covers, and so what a COP counts as effort.
// Coefficients of different boundaries are different quantities and are never
// compared. The four steps are common practice, no source.
type Boundary uint8

// The boundaries, from the narrowest on.
const (
	BoundaryUnknown   Boundary = iota
	Compressor                 // the compressor alone
	UnitWithFans               // and the fans that belong to the unit
	WithPumps                  // and pumps and controls
	WithSupplementary          // and supplementary electric heat
)

var boundaryWords = vocabulary{"unknown", "compressor", "unit with fans", "with pumps and controls", "with supplementary heat"}

func (b Boundary) String() string { return boundaryWords[b] }

// Boundary is what the system's power meter covers, from the register's note. It
// is unknown where the note is empty or has none of the words the trade uses.
func (s System) Boundary() Boundary { return BoundaryOf(s.PowerCovers) }

// notCovered cuts off what a note says is left out.
var notCovered = regexp.MustCompile(`\b(without|excluding|excl\.?|except|not|no)\b.*`)

// marks of each boundary in a note, the widest first.
var boundaryMarks = []struct {
	boundary Boundary
	word     *regexp.Regexp
}{
	{WithSupplementary, regexp.MustCompile(`supplementary|back-?up|immersion|heater|electric heat\b|heating rod`)},
	{WithPumps, regexp.MustCompile(`pump|control|auxiliar|whole plant|installation`)},
	{UnitWithFans, regexp.MustCompile(`fan|unit|machine|outdoor part`)},
	{Compressor, regexp.MustCompile(`compressor`)},
}

// BoundaryOf reads a note such as "compressor", "whole unit" or "compressor,
// fans and pumps without the heating rod".
func BoundaryOf(note string) Boundary {
	text := notCovered.ReplaceAllString(strings.ToLower(note), "")
	text = strings.ReplaceAll(text, "heat pump", "machine")
	for _, m := range boundaryMarks {
		if m.word.MatchString(text) {
			return m.boundary
		}
	}
	return BoundaryUnknown
}
