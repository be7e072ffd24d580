package register

import (
	"encoding/csv"
	"io"
)

// WriteSystems writes systems.csv: a line of column names, then a line for each
// row. What Load reads from it are the rows written, as far as Load accepts them.
func WriteSystems(w io.Writer, rows []System) error { return write(w, systemForm(), rows) }

// WriteChannels writes channels.csv, each time in its own location, which must be
// the system's zone.
func WriteChannels(w io.Writer, rows []Channel) error { return write(w, channelForm(), rows) }

// WriteEvents writes events.csv, each time in its own location, which must be the
// system's zone.
func WriteEvents(w io.Writer, rows []Event) error { return write(w, eventForm(), rows) }

// WriteInstruments writes instruments.csv.
func WriteInstruments(w io.Writer, rows []Instrument) error { return write(w, instrumentForm(), rows) }

// WriteTariffs writes tariffs.csv.
func WriteTariffs(w io.Writer, rows []Tariff) error { return write(w, tariffForm(), rows) }

// WriteAnswers writes answers.csv, each time in its own location, which must be the
// system's zone.
func WriteAnswers(w io.Writer, rows []Answer) error { return write(w, answerForm(), rows) }

// WriteLimits writes limits.csv.
func WriteLimits(w io.Writer, rows []Limit) error { return write(w, limitForm(), rows) }

func write[Row any](w io.Writer, f form[Row], rows []Row) error {
	out := csv.NewWriter(w)
	if err := out.Write(f.names()); err != nil {
		return err
	}
	for i := range rows {
		cells := make([]string, len(f.columns))
		for j, c := range f.columns {
			cells[j] = c.write(&rows[i])
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

// A File describes a file of the register for people.
type File struct {
	Name    string // such as "systems.csv"
	Doc     string
	Columns []Column
}

// A Column describes a column of a file of the register.
type Column struct {
	Name  string
	Doc   string
	Words []string // the words it may hold; nil where any text or number will do
}

// Files describes the files of the register, in the order in which to fill them.
func Files() []File {
	return []File{describe(systemForm()), describe(channelForm()), describe(eventForm()), describe(instrumentForm()), describe(tariffForm()), describe(answerForm()), describe(limitForm())}
}

func fileNames() []string {
	var names []string
	for _, f := range Files() {
		names = append(names, f.Name)
	}
	return names
}

func describe[Row any](f form[Row]) File {
	d := File{Name: f.name, Doc: f.doc}
	for _, c := range f.columns {
		column := Column{Name: c.name, Doc: c.doc}
		if c.words != nil {
			column.Words = append([]string(nil), c.words[1:]...)
		}
		d.Columns = append(d.Columns, column)
	}
	return d
}
