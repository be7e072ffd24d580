package register

import (
	"context"
	"io"
	"io/fs"
	"time"
)

// A Register is what the user says about the fleet, with what is wrong in it.
type Register struct {
	Systems     []System     // by ID without regard to case
	Instruments []Instrument // by serial number
	Problems    []*RowError  // by file, line and column
}

// Load reads the register from its folder: fsys holds systems.csv, channels.csv,
// events.csv and instruments.csv at its root. An absent file is an empty table.
// What is wrong in the files is in Problems; the error is for a folder or file
// that cannot be read, and for a context that ended.
func Load(ctx context.Context, fsys fs.FS) (*Register, error) { return &Register{}, ctx.Err() }

// System returns a system by its ID, without regard to case.
func (r *Register) System(id string) (System, bool) { return System{}, false }

// Instrument returns an instrument by its serial number, without regard to case.
func (r *Register) Instrument(serial string) (Instrument, bool) { return Instrument{}, false }

// Channels returns the rows that speak about an upload of a system, at most one
// for each column at a time: of rows for the same column the one with the more
// exact file pattern holds. The path is the one below uploads/, with slashes. With
// a zero time all rows are returned, whenever they hold.
func (r *Register) Channels(system, upload string, at time.Time) []Channel { return nil }

// Claimants returns the systems whose channel rows name an upload by a file
// pattern, by ID. The path is the one below uploads/, with slashes.
func (r *Register) Claimants(upload string) []string { return nil }

// Events returns the dated events of a system, in time order.
func (r *Register) Events(system string) []Event { return nil }

// Undated returns the events of a system whose date is unknown. They count for
// the books, but nobody can say what came before them.
func (r *Register) Undated(system string) []Event { return nil }

// ReadingRows is the canonical text of what reading an upload for a system
// depends on: the system's zone and altitude, and its channel rows for that upload.
func (r *Register) ReadingRows(system, upload string) string { return "" }

// AnalysisRows is the canonical text of what analysing a system depends on: the
// system's row without its names, its events, and the instruments its channels name.
func (r *Register) AnalysisRows(system string) string { return "" }

// FleetRows is the canonical text of the whole register and of its problems.
func (r *Register) FleetRows() string { return "" }

// WriteSystems writes systems.csv: a header line, then a line for each system.
func WriteSystems(w io.Writer, rows []System) error { return nil }

// WriteChannels writes channels.csv.
func WriteChannels(w io.Writer, rows []Channel) error { return nil }

// WriteEvents writes events.csv, each time in its own location.
func WriteEvents(w io.Writer, rows []Event) error { return nil }

// WriteInstruments writes instruments.csv.
func WriteInstruments(w io.Writer, rows []Instrument) error { return nil }

// CheckID returns nil for an ID that a system may have, and otherwise an error
// that says why not and proposes one.
func CheckID(id string) error { return nil }
