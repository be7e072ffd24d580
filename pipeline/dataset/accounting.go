package dataset

import (
	"fmt"

	"rimelog/pipeline/table"
)

// Lines says where each physical line of an upload went, after unpacking.
// The zero value is an upload without lines.
type Lines struct {
	All         int64 `json:"all"`
	Data        int64 `json:"data"`        // lines with samples
	Header      int64 `json:"header"`      // header, unit and repeated header lines
	Preamble    int64 `json:"preamble"`    // lines before the header, comments, sep= lines
	Footer      int64 `json:"footer"`      // lines after the data
	Blank       int64 `json:"blank"`       // empty lines
	Quarantined int64 `json:"quarantined"` // lines that were not taken, with the reason in refusals
	Waiting     int64 `json:"waiting"`     // all lines of a file that no system claims
}

// Check is the first law: every line is somewhere, once.
//
//	lines = data + header + preamble + footer + blank + quarantined + waiting
func (l Lines) Check() error {
	sum := l.Data + l.Header + l.Preamble + l.Footer + l.Blank + l.Quarantined + l.Waiting
	if l.All != sum {
		return fmt.Errorf("%d lines, but %d accounted for (%+v)", l.All, sum, l)
	}
	return nil
}

// Add returns the sum of two accounts.
func (l Lines) Add(m Lines) Lines {
	return Lines{
		l.All + m.All, l.Data + m.Data, l.Header + m.Header, l.Preamble + m.Preamble,
		l.Footer + m.Footer, l.Blank + m.Blank, l.Quarantined + m.Quarantined, l.Waiting + m.Waiting,
	}
}

// Values says where each value that was read went.
type Values struct {
	Read       int64 `json:"read"`       // cells that should hold a value
	Stored     int64 `json:"stored"`     // in samples and extras
	Duplicates int64 `json:"duplicates"` // another line or upload holds a value for the same time
	Refused    int64 `json:"refused"`    // not taken, with the reason in refusals
	Missing    int64 `json:"missing"`    // missing markers
}

// Check is the second law: every value is somewhere, once.
//
//	values read = stored + duplicates + refused + missing
func (v Values) Check() error {
	if sum := v.Stored + v.Duplicates + v.Refused + v.Missing; v.Read != sum {
		return fmt.Errorf("%d values read, but %d accounted for (%+v)", v.Read, sum, v)
	}
	return nil
}

// Add returns the sum of two accounts.
func (v Values) Add(w Values) Values {
	return Values{
		v.Read + w.Read, v.Stored + w.Stored, v.Duplicates + w.Duplicates,
		v.Refused + w.Refused, v.Missing + w.Missing,
	}
}

// Shift moves n values from stored to duplicates: another upload holds them.
func (v Values) Shift(n int64) Values {
	v.Stored -= n
	v.Duplicates += n
	return v
}

// Accounts returns the accounts in a row of the uploads table.
func Accounts(u table.Upload) (Lines, Values) {
	return Lines{u.Lines, u.Data, u.Header, u.Preamble, u.Footer, u.Blank, u.Quarantined, u.Waiting},
		Values{u.Values, u.Stored, u.Duplicates, u.Refused, u.Missing}
}

// SetAccounts writes the accounts into a row of the uploads table.
func SetAccounts(u *table.Upload, l Lines, v Values) {
	u.Lines, u.Data, u.Header, u.Preamble = l.All, l.Data, l.Header, l.Preamble
	u.Footer, u.Blank, u.Quarantined, u.Waiting = l.Footer, l.Blank, l.Quarantined, l.Waiting
	u.Values, u.Stored, u.Duplicates = v.Read, v.Stored, v.Duplicates
	u.Refused, u.Missing = v.Refused, v.Missing
}
