package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"

	"rimelog/analysis"
	"rimelog/analysis/report"
	"rimelog/ingest"
)

// optionsFile is where a workspace keeps its options; it may be missing.
const optionsFile = "rimelog.json"

// options steer the stages. What a section says goes into the fingerprints of
// that stage's jobs, so that a changed option re-makes what depends on it.
type options struct {
	Ingest   ingest.Options   `json:"ingest"`
	Analysis analysis.Options `json:"analysis"`
	Report   report.Options   `json:"report"`
}

func readOptions(path string) (options, error) {
	var o options
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return o, nil
	}
	if err != nil {
		return o, err
	}
	dec := json.NewDecoder(bytes.NewReader(text))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&o); err != nil {
		return o, usagef("%s: %v", path, err)
	}
	if err := errors.Join(o.Ingest.Validate(), o.Analysis.Validate(), o.Report.Validate()); err != nil {
		return o, usagef("%s: %v", path, err)
	}
	return o, nil
}
