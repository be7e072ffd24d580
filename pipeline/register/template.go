package register

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
)

// ExampleRow in the first cell of a row marks it as a template's example: it is not
// read, so that it may stay where it is.
const ExampleRow = "EXAMPLE"

// examples are the cells of the templates' example rows, by file and column. What they
// leave out stays empty: most cells may.
var examples = map[string]map[string]string{
	"systems.csv": {
		"site": "North quay", "name": "Fish store, left room", "kind": "cold room", "refrigerant": "R448A",
		"design_charge_kg": "12.5", "charge_source": "known", "expansion": "electronic", "receiver": "high side",
		"altitude_m": "35", "zone": "Europe/Berlin",
	},
	"channels.csv": {
		"file": "EXAMPLE/*.csv", "column": "P1", "channel": "suction_pressure", "unit": "bar", "reference": "gauge", "instrument": "P-0001",
	},
	"events.csv":      {"date": "2025-06-12 14:30", "event": "coil cleaned", "note": "condenser full of fluff"},
	"instruments.csv": {"kind": "pressure", "class": "0.5 %", "unit": "bar", "span_low": "0", "span_high": "25", "calibrated_on": "2025-01-15"},
	"tariffs.csv":     {"valid_from": "2025-01-01", "price_per_kwh": "0.24", "currency": "EUR", "source": "supply contract"},
	"answers.csv":     {"date": "2025-06-12 14:30", "person": "who was there", "outcome": "other cause", "note": "a fan stood still", "quiet_until": "2025-07-01"},
	"limits.csv":      {"kind": "freezer room", "limit": "most discharge temperature", "value": "115", "valid_from": "2025-01-01", "source": "compressor's data sheet"},
}

// WriteTemplate writes a file to fill in: the line of column names, and an example row
// that is not read. [WriteGuide] explains the columns.
func (f File) WriteTemplate(w io.Writer) error {
	names, row := make([]string, len(f.Columns)), make([]string, len(f.Columns))
	for i, c := range f.Columns {
		names[i], row[i] = c.Name, examples[f.Name][c.Name]
	}
	row[0] = ExampleRow
	out := csv.NewWriter(w)
	return out.WriteAll([][]string{names, row})
}

// WriteGuide explains every column of every file of the register, as Markdown.
func WriteGuide(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, `# The register

What you know of your machines and no logger says. Each file is a table for any spreadsheet or editor (CSV, UTF-8; comma,
semicolon or tab); lines that begin with # are comments. Any cell may stay empty: empty means unknown, and a result that it
limits says so. A row whose first cell is %s is an example and is not read. A mistake is told with file,
line and column, and the rest goes on.
`, ExampleRow)
	for _, f := range Files() {
		fmt.Fprintf(&b, "\n## %s\n\n%s%s.\n\n| column | what it holds |\n|---|---|\n", f.Name, strings.ToUpper(f.Doc[:1]), f.Doc[1:])
		for _, c := range f.Columns {
			words := ""
			if c.Words != nil {
				words = ": " + strings.Join(c.Words, ", ")
			}
			fmt.Fprintf(&b, "| %s | %s%s |\n", c.Name, strings.ReplaceAll(c.Doc, "|", `\|`), words)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
