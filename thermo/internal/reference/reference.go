// Package reference reads the property values of another library, kept in
// testdata/reference and written by genreference/reference.py.
package reference

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
)

// Row is one state. Line is bubble, dew, gas or liquid. Enthalpy and entropy
// count from the saturated liquid at the set's anchor temperature; Incipient is
// the density of the phase that just appears, on the two lines only.
type Row struct {
	Line               string
	T, P               float64 // K, Pa
	Density, Incipient float64 // kg/m3
	Enthalpy           float64 // kJ/kg
	Entropy, Cp        float64 // kJ/(kg K)
	Sound              float64 // m/s
	LineNumber         int
}

// Set is the file of one refrigerant.
type Set struct {
	Library string  // name and version
	Anchor  float64 // K
	Rows    []Row
}

// Read reads the file at path.
func Read(path string) (*Set, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	head, body, _ := strings.Cut(string(text), "\n")
	var set Set
	set.Library, _, _ = strings.Cut(strings.TrimPrefix(head, "# "), ";")
	_, anchor, _ := strings.Cut(head, "anchor ")
	if _, err := fmt.Sscan(anchor, &set.Anchor); err != nil {
		return nil, fmt.Errorf("%s:1: anchor: %w", path, err)
	}
	r := csv.NewReader(strings.NewReader(body))
	if _, err := r.Read(); err != nil {
		return nil, fmt.Errorf("%s:2: %w", path, err)
	}
	for {
		record, err := r.Read()
		if errors.Is(err, io.EOF) {
			return &set, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		row := Row{Line: record[0], LineNumber: len(set.Rows) + 3}
		for i, into := range []*float64{&row.T, &row.P, &row.Density, &row.Incipient, &row.Enthalpy, &row.Entropy, &row.Cp, &row.Sound} {
			if record[i+1] == "" {
				continue
			}
			if *into, err = strconv.ParseFloat(record[i+1], 64); err != nil {
				return nil, fmt.Errorf("%s:%d: %w", path, row.LineNumber, err)
			}
		}
		set.Rows = append(set.Rows, row)
	}
}
