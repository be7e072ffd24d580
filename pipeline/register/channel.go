package register

import "time"

// A Channel says what a column of a system's files measures: a row of
// channels.csv.
type Channel struct {
	System     string
	File       string // pattern of paths below uploads/; empty means all files of the system
	Column     string // the column's header as found, or #3 for the third column
	Channel    string // a samples column without its unit (suction_pressure), [Extra] or [None]
	Index      int    // from 1, where the circuit has several such places
	Unit       string // as people write it; empty means as the file says
	Reference  Reference
	Sign       int       // +1, or -1 where the logger counts the other way
	Instrument string    // serial number; empty unknown
	From       time.Time // first moment this holds; zero means always before To
	To         time.Time // first moment this holds no longer; zero means ever since

	Line int // of channels.csv
}

// Channel names that are no column of samples.
const (
	Extra = "extra" // keep the column in the long table of extras
	None  = "none"  // leave the column out
)

// Reference is what a pressure is measured against.
type Reference uint8

// The pressure references.
const (
	ReferenceUnknown Reference = iota
	Gauge                      // above the air around
	Absolute                   // above vacuum
)

// ValidAt tells whether the row holds at a time.
func (c Channel) ValidAt(t time.Time) bool {
	return (c.From.IsZero() || !t.Before(c.From)) && (c.To.IsZero() || t.Before(c.To))
}
