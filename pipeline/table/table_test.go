package table

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// The types are those of the project's dataset contract: channels DECIMAL(9,3),
// counters DECIMAL(18,3), flows DECIMAL(9,6), derived values DOUBLE.
func TestColumnsFollowTheContract(t *testing.T) {
	for _, tab := range All() {
		seen := map[string]bool{}
		for _, c := range tab.Columns {
			if seen[c.Name] {
				t.Errorf("%s: column %s stands twice", tab.Name, c.Name)
			}
			seen[c.Name] = true
			checkColumn(t, tab, c)
		}
	}
}

// unitSuffix is the ending that a column of each unit carries.
var unitSuffix = map[string][]string{
	"kPa": {"_kpa"}, "°C": {"_c"}, "K": {"_k"}, "kW": {"_kw"}, "kWh": {"_kwh"}, "%": {"_pct"}, "A": {"_a"}, "V": {"_v"},
	"Hz": {"_hz"}, "m³/h": {"_m3_h"}, "kg/s": {"_kg_s"}, "s": {"_s"}, "min": {"_min"}, "kg": {"_kg"},
}

func checkColumn(t *testing.T, tab Table, c Column) {
	t.Helper()
	name := strings.TrimSuffix(strings.TrimSuffix(c.Name, "_lo"), "_hi") // ends of an interval
	if suffixes := unitSuffix[c.Unit]; suffixes != nil && !strings.HasSuffix(name, suffixes[0]) {
		t.Errorf("%s.%s is in %s, but its name does not end in %s", tab.Name, c.Name, c.Unit, suffixes[0])
	}
	if c.Uncertainty != "" && tab.Index(c.Uncertainty) < 0 {
		t.Errorf("%s.%s names %s as its uncertainty, which is no column", tab.Name, c.Name, c.Uncertainty)
	}
	want := 0
	switch {
	case strings.HasSuffix(c.Name, "_m3_h"), strings.HasSuffix(c.Name, "_kg_s"):
		want = 6
	case c.Kind == Fixed32 || c.Kind == Fixed64:
		want = 3
	}
	if c.Digits != want && tab.Name == "samples" {
		t.Errorf("%s.%s keeps %d digits, want %d", tab.Name, c.Name, c.Digits, want)
	}
}

func TestPathsFollowThePartition(t *testing.T) {
	for _, c := range []struct {
		table Table
		want  string
	}{
		{Samples(), "samples/system=N-1/month=2025-03/data.parquet"},
		{Visits(), "visits/system=N-1/data.parquet"},
		{Findings(), "findings/data.parquet"},
	} {
		if got := c.table.Path("N-1", "2025-03"); got != c.want {
			t.Errorf("%s lies at %s, want %s", c.table.Name, got, c.want)
		}
	}
}

// What is written out names every column of every table, with its unit.
func TestDocumentNamesEveryColumn(t *testing.T) {
	var b bytes.Buffer
	if err := Document(&b, All()); err != nil {
		t.Fatal(err)
	}
	for _, tab := range All() {
		for _, c := range tab.Columns {
			if row := "| " + c.Name + " | " + c.Stored() + " | " + c.Unit + " |"; !strings.Contains(b.String(), row) {
				t.Errorf("%s: no row %q", tab.Name, row)
			}
		}
	}
}

// Every column says what it holds, as part of a sentence.
func TestEveryColumnIsExplained(t *testing.T) {
	for _, tab := range All() {
		for _, c := range tab.Columns {
			if len(c.Doc) < 4 || c.Stored() == "" {
				t.Errorf("%s.%s: %q does not tell what it is", tab.Name, c.Name, c.Doc)
			}
		}
	}
}

// The package comment lists the tables as their tags describe them.
func TestPackageCommentFollowsTheTags(t *testing.T) {
	file, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := WriteComment(&b, All()); err != nil {
		t.Fatal(err)
	}
	if !bytes.HasSuffix(file, append(b.Bytes(), "package table\n"...)) {
		t.Error("doc.go does not list the tables as they are: run go generate ./pipeline/table")
	}
	for _, line := range strings.Split(b.String(), "\n") {
		if len(line) > commentWidth {
			t.Errorf("a line of %d bytes: %s", len(line), line)
		}
	}
}
