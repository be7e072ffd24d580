package register

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
)

// A template holds nothing until somebody fills it in: its example is not read.
func TestTemplatesHoldNothing(t *testing.T) {
	files := map[string]string{}
	for _, f := range Files() {
		files[f.Name] = template(t, f)
	}
	r := load(t, files)
	if len(r.Problems) != 0 || r.FleetRows() != "" {
		t.Errorf("the templates say\n%s%s", r.FleetRows(), messages(r))
	}
}

// The example rows are right: with an ID of one's own in the first cell they are read
// without a complaint, and no cell names a column that the file has not.
func TestExampleRowsAreRight(t *testing.T) {
	files := map[string]string{}
	for _, f := range Files() {
		rows, err := csv.NewReader(strings.NewReader(template(t, f))).ReadAll()
		if err != nil || len(rows) != 2 {
			t.Fatalf("%s: %d rows, %v; want a header and one example", f.Name, len(rows), err)
		}
		for name := range examples[f.Name] {
			if !strings.Contains(","+strings.Join(rows[0], ",")+",", ","+name+",") {
				t.Errorf("%s: the example fills %s, which is no column", f.Name, name)
			}
		}
		files[f.Name] = strings.ReplaceAll(template(t, f), "\n"+ExampleRow+",", "\n"+own[f.Name]+",")
	}
	r := load(t, files)
	if len(r.Problems) != 0 || len(r.Systems) != 1 || len(r.Instruments) != 1 || len(r.Events("Cold-1")) != 1 {
		t.Errorf("%d systems, %d instruments; %s", len(r.Systems), len(r.Instruments), messages(r))
	}
}

// own are first cells to put in the place of the mark.
var own = map[string]string{"systems.csv": "Cold-1", "channels.csv": "Cold-1", "events.csv": "Cold-1", "instruments.csv": "P-0001", "tariffs.csv": "North quay", "answers.csv": "Cold-1/charge-loss/2025-02-03", "limits.csv": "Cold-1"}

func template(t *testing.T, f File) string {
	t.Helper()
	var b bytes.Buffer
	if err := f.WriteTemplate(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestGuideExplainsEveryColumn(t *testing.T) {
	var b bytes.Buffer
	if err := WriteGuide(&b); err != nil {
		t.Fatal(err)
	}
	for _, f := range Files() {
		for _, c := range f.Columns {
			if c.Doc == "" || !strings.Contains(b.String(), "| "+c.Name+" | "+c.Doc[:3]) {
				t.Errorf("%s: column %s is not explained", f.Name, c.Name)
			}
		}
	}
}
