package report_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"rimelog/analysis/report"
	"rimelog/analysis/report/reporttest"
)

var update = flag.Bool("update", false, "write the golden files anew")

const schemaFile = "report.schema.json"

func results(t *testing.T, f report.Fleet) []byte {
	t.Helper()
	b, err := f.Results()
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The schema that is committed, for programs to be written against, is the one that the
// fields' tags give.
func TestSchemaIsCommitted(t *testing.T) {
	made, err := report.Schema()
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile(schemaFile, made, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	there, err := os.ReadFile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(made, there) {
		t.Error("report.schema.json is not what the fields' tags say: go test ./analysis/report -run Schema -update; raise resultsVersion where a field went or changed its meaning")
	}
	if bytes.Contains(made, []byte(`"description": ""`)) {
		t.Error("a field has no description")
	}
}

// The results of every invented fleet fit the schema, by a validator from elsewhere
// (JSON Schema draft 2020-12).
func TestResultsFitTheSchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile(schemaFile)
	if err != nil {
		t.Fatal(err)
	}
	for name, f := range map[string]report.Fleet{"fleet": reporttest.Fleet(1), "hostile": reporttest.Hostile(), "empty": {}} {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(results(t, f)))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	doc, err := jsonschema.UnmarshalJSON(strings.NewReader(`{"version": "one"}`))
	if err != nil {
		t.Fatal(err)
	}
	if schema.Validate(doc) == nil {
		t.Error("the schema lets anything pass")
	}
}

// The file says what the pages say, in figures.
func TestResultsSayWhatPagesSay(t *testing.T) {
	var r struct {
		Version int
		AsOf    string `json:"as_of"`
		Systems []struct {
			System, Standing, Remedy, Page string
			Features                       []struct {
				Latest *float64 `json:"latest_k"`
			}
		}
		Findings []struct {
			ID      string
			SizeLo  *float64 `json:"size_lo_k"`
			Cleared *string  `json:"cleared_on"`
		}
	}
	f := reporttest.Fleet(1)
	if err := json.Unmarshal(results(t, f), &r); err != nil {
		t.Fatal(err)
	}
	if r.Version != 1 || r.AsOf != "2025-10-06" || len(r.Systems) != len(f.Systems) || len(r.Findings) != len(f.Findings) {
		t.Errorf("version %d as of %s, %d systems, %d findings", r.Version, r.AsOf, len(r.Systems), len(r.Findings))
	}
	if first := r.Systems[0]; first.System != "QH-CR2" || first.Standing != "open" || first.Page != "system/QH-CR2.html" || first.Features[0].Latest == nil {
		t.Errorf("the first system is %+v", first)
	}
	if r.Findings[0].Cleared != nil || r.Findings[0].SizeLo == nil {
		t.Error("an open finding was cleared, or has no interval")
	}
}
