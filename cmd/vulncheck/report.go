package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"slices"
)

// A message is one of govulncheck's JSON messages, as far as it is read here.
type message struct {
	OSV *struct {
		ID      string `json:"id"`
		Summary string `json:"summary"`
	} `json:"osv"`
	Finding *struct {
		OSV   string `json:"osv"`
		Fixed string `json:"fixed_version"`
		Trace []struct {
			Module   string `json:"module"`
			Version  string `json:"version"`
			Function string `json:"function"`
		} `json:"trace"`
	} `json:"finding"`
}

// report prints each vulnerability that the code calls, once, and returns an error where
// one is in a module that go.mod can raise.
func report(w io.Writer, out []byte) error {
	summaries, called := map[string]string{}, map[string]string{}
	var ours []string
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var m message
		if err := dec.Decode(&m); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return err
		}
		if m.OSV != nil {
			summaries[m.OSV.ID] = m.OSV.Summary
		}
		if f := m.Finding; f != nil && f.Trace[0].Function != "" && called[f.OSV] == "" {
			at := f.Trace[0]
			called[f.OSV] = fmt.Sprintf("%s %s, fixed in %s", at.Module, at.Version, f.Fixed)
			if at.Module != "stdlib" {
				ours = append(ours, f.OSV)
			}
		}
	}
	for _, id := range slices.Sorted(maps.Keys(called)) {
		fmt.Fprintf(w, "%s: %s (%s)\n", id, summaries[id], called[id])
	}
	if len(ours) > 0 {
		return fmt.Errorf("raise the modules of %v", ours)
	}
	fmt.Fprintf(w, "%d known vulnerabilities are called, all of them in Go's standard library: a newer Go mends them\n", len(called))
	return nil
}
