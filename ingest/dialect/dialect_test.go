package dialect

import (
	"strings"
	"testing"

	"rimelog/ingest/limits"
	"rimelog/ingest/raw"
	"rimelog/ingest/scan"
)

func linesOf(text string) (out []Line) {
	for i, l := range strings.Split(text, "\n") {
		out = append(out, Line{Number: int64(i + 1), Text: []byte(l)})
	}
	return out
}

// The rules of RFC 4180 (2005), section 2, on one line of data: 5, fields may or may not be
// in quotes; 6, a delimiter within quotes is text; 7, two quotes within quotes are one.
func TestCellsAreThoseOfTheStandard(t *testing.T) {
	for _, c := range []struct {
		rule, line string
		want       []string
	}{
		{"5: none in quotes", `2025-03-04 12:00:00,4.5,1200`, []string{"2025-03-04 12:00:00", "4.5", "1200"}},
		{"5: some in quotes", `"2025-03-04 12:00:00",4.5,"1200"`, []string{"2025-03-04 12:00:00", "4.5", "1200"}},
		{"6: a delimiter within", `2025-03-04 12:00:00,4.5,"1,200"`, []string{"2025-03-04 12:00:00", "4.5", "1,200"}},
		{"7: a quote within", `2025-03-04 12:00:00,4.5,"door ""B"""`, []string{"2025-03-04 12:00:00", "4.5", `door "B"`}},
		{"4: the last field may be empty", `2025-03-04 12:00:00,4.5,`, []string{"2025-03-04 12:00:00", "4.5", ""}},
	} {
		got := Cut(linesOf(c.line), ',').Cells[0]
		if len(got) != len(c.want) {
			t.Errorf("%s: %q", c.rule, got)
			continue
		}
		for i, cell := range got {
			if string(cell) != c.want[i] {
				t.Errorf("%s: cell %d is %q, want %q", c.rule, i+1, cell, c.want[i])
			}
		}
	}
	if got := Cut(linesOf(`2025-03-04 12:00:00,"4.5,1200`), ',').Cells[0]; got != nil {
		t.Errorf("quotes that do not match gave the cells %q", got)
	}
}

// The delimiter is what makes the best table: a comma is the decimal mark beside a semicolon.
func TestTheDelimiterMakesTheBestTable(t *testing.T) {
	table := func(mark, delim string) string {
		one := strings.ReplaceAll("2025-03-04 12:0_:00|4M5|12M0", "M", mark)
		var rows []string
		for _, minute := range []string{"0", "1", "2", "3"} {
			rows = append(rows, strings.ReplaceAll(strings.ReplaceAll(one, "_", minute), "|", delim))
		}
		return strings.Join(rows, "\n")
	}
	for _, c := range []struct{ mark, delim string }{{".", ","}, {",", ";"}, {".", ";"}, {",", "\t"}, {".", "|"}} {
		if g := Best(linesOf(table(c.mark, c.delim))); g.Delim != c.delim[0] || g.Columns != 3 || len(g.Body) != 4 {
			t.Errorf("mark %q, delimiter %q: taken for %q, %d columns, %d lines", c.mark, c.delim, g.Delim, g.Columns, len(g.Body))
		}
	}
	for _, d := range Delimiters {
		if DelimiterNames[d] == "" {
			t.Errorf("delimiter %q has no name", d)
		}
	}
	if DelimiterNames[scan.Blanks] != "blanks" {
		t.Error("blanks are called otherwise")
	}
}

func TestWhatACellLooksLike(t *testing.T) {
	for cell, want := range map[string]CellKind{
		"":                     EmptyCell,
		"-12.5":                NumberCell,
		"1,5":                  NumberCell,
		"1.5e-3":               NumberCell,
		"4.5 °C":               NumberCell,
		"2025-03-04T12:00:05Z": StampCell, // ISO 8601-1:2019, 5.4.2.1
		"20250304T120005":      StampCell, // and its basic form
		"04.03.2025 12:00":     StampCell,
		"NaN":                  MarkerCell,
		"---":                  MarkerCell,
		"compressor on":        TextCell,
	} {
		if got := KindOf([]byte(cell)); got != want {
			t.Errorf("%q is of kind %d, want %d", cell, got, want)
		}
	}
}

func TestAFileThatIsNoTableSaysWhatItIs(t *testing.T) {
	for head, want := range map[string]string{
		"":                      "empty",
		"PK\x03\x04 and more":   "spreadsheet or zip",
		"%PDF-1.7\n1 0 obj\n":   "PDF",
		"\x1F\x8B\x08 and more": "gzip",
	} {
		_, err := Take(raw.Source{ReaderAt: strings.NewReader(head), Size: int64(len(head))}, limits.Options{})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v; want a word of %q", head, err, want)
		}
	}
}
