package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// Notes of several lines in quotes, RFC 4180 section 2 rule 6, are put together; a quote
// that nothing closes costs its own line only, and no line is counted twice.
func TestNotesOfSeveralLines(t *testing.T) {
	row := func(i int, note string) string { return fmt.Sprintf("2025-03-14 12:%02d:00;%s;1200\n", i, note) }
	file := func(note string) string {
		var b strings.Builder
		b.WriteString("Time;Note;Power [W]\n")
		for i := range 30 {
			if i == 12 {
				b.WriteString(row(i, note))
			} else {
				b.WriteString(row(i, ""))
			}
		}
		return b.String()
	}
	for name, tt := range map[string]struct {
		note                       string
		data, comments, quarantine int64
		text                       string
	}{
		"two lines":                   {"\"door open\nchecked; fine\"", 30, 1, 0, "door open\nchecked; fine"},
		"three, with quotes":          {"\"he said \"\"go\"\"\n\nand went\"", 30, 2, 0, "he said \"go\"\n\nand went"},
		"a quote that is not closed":  {"\"door open", 29, 0, 1, ""},
		"too many lines":              {"\"a\n" + strings.Repeat("word\n", 9) + "b\"", 29, 0, 12 - 1, ""},
		"closed, with another count":  {"\"door\nopen\";7;8", 29, 0, 2, ""},
		"a line of data in the quote": {"\"door\n2025-03-14 12:12:30;x;5\nopen\"", 30, 0, 2, ""},
	} {
		for _, lineEnd := range []string{"\n", "\r\n"} {
			r := readBytes(t, []byte(strings.ReplaceAll(file(tt.note), "\n", lineEnd)), logtest.InZone(time.UTC))
			if r.Lines.Data != tt.data || r.Lines.Preamble != tt.comments || r.Lines.Quarantined != tt.quarantine {
				t.Errorf("%s: %+v, want %d of data, %d comments, %d quarantined", name, r.Lines, tt.data, tt.comments, tt.quarantine)
			}
			if sum := r.Lines.Data + r.Lines.Header + r.Lines.Preamble + r.Lines.Footer + r.Lines.Blank + r.Lines.Quarantined; sum != r.Lines.All {
				t.Errorf("%s: %+v do not add up", name, r.Lines)
			}
			extras, err := frame.Rows[table.Extra](r.Parts[0].Extras)
			if err != nil {
				t.Fatal(err)
			}
			if tt.text != "" && (len(extras) != 1 || extras[0].Text != tt.text) {
				t.Errorf("%s: kept as %+v", name, extras)
			}
		}
	}
}
