package dialect

// Tables may stand side by side, each with a column of time of its own: a spreadsheet into
// which the downloads of two loggers were pasted. Where the columns of time bear one name,
// the file is read once for each of them, with the columns up to the next.

// A Strip is the columns of one of several tables side by side; the zero strip is all
// columns.
type Strip struct{ From, To int }

// Set tells whether it is not all columns.
func (b Strip) Set() bool { return b != Strip{} }

// Holds tells whether column i is one of it.
func (b Strip) Holds(i int) bool { return !b.Set() || i >= b.From && i < b.To }
