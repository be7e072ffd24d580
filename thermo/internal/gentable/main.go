// Command gentable writes the compact tables of package tables from a folder
// of published figures.
//
//	go run ./thermo/internal/gentable -from FOLDER -to thermo/internal/tables
//
// FOLDER holds fluids.json, pairs.json and departures.json, a collection of
// published equations of state and mixture parameters (CoolProp's fluid and
// mixture files, MIT licence, trimmed to refrigerants). Every ideal-gas form
// is integrated to one closed form here, pair parameters given as xi and zeta
// are turned into beta and gamma, and each block gets its citation. The same
// folder also gives the regression points in tables/testdata.
package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
)

func main() {
	from := flag.String("from", "", "folder of published figures")
	to := flag.String("to", "thermo/internal/tables", "folder to write to")
	flag.Parse()
	if err := run(*from, *to); err != nil {
		fmt.Fprintln(os.Stderr, "gentable:", err)
		os.Exit(1)
	}
}

func run(from, to string) error {
	var in source
	if err := readSource(from, &in); err != nil {
		return err
	}
	outputs := []struct {
		name  string
		write func(*source) ([]byte, error)
	}{
		{"fluids.txt", writeFluids},
		{"pairs.txt", writePairs},
		{"departures.txt", writeDepartures},
		{"testdata/anchors.txt", writeAnchors},
	}
	for _, o := range outputs {
		text, err := o.write(&in)
		if err != nil {
			return fmt.Errorf("%s: %w", o.name, err)
		}
		path := filepath.Join(to, o.name)
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(path, text, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// source is the published collection as read.
type source struct {
	order      []string // fluid names in the collection's order
	fluids     map[string]fluid
	byCAS      map[string]string
	pairs      []pair
	departures []departure
}

func readSource(from string, in *source) error {
	files := []struct {
		name string
		into any
	}{
		{"fluids.json", &in.fluids}, {"pairs.json", &in.pairs}, {"departures.json", &in.departures},
	}
	for _, f := range files {
		text, err := os.ReadFile(filepath.Join(from, f.name))
		if err != nil {
			return err
		}
		if err := json.Unmarshal(text, f.into); err != nil {
			return fmt.Errorf("%s: %w", f.name, err)
		}
		if f.name == "fluids.json" {
			if in.order, err = keyOrder(text); err != nil {
				return fmt.Errorf("%s: %w", f.name, err)
			}
		}
	}
	in.byCAS = map[string]string{}
	for name, f := range in.fluids {
		if !f.EOS.Pseudo {
			in.byCAS[f.CAS] = name
		}
	}
	return nil
}

// keyOrder lists the keys of a JSON object as they stand in the text.
func keyOrder(text []byte) ([]string, error) {
	dec := json.NewDecoder(bytes.NewReader(text))
	if _, err := dec.Token(); err != nil {
		return nil, err
	}
	var keys []string
	for dec.More() {
		key, err := dec.Token()
		if err != nil {
			return nil, err
		}
		keys = append(keys, fmt.Sprint(key))
		var skip json.RawMessage
		if err := dec.Decode(&skip); err != nil {
			return nil, err
		}
	}
	return keys, nil
}

// line writes a word and numbers, each in the shortest form that reads back
// to the same value.
func line(b *bytes.Buffer, word string, v ...float64) {
	b.WriteString(word)
	for _, x := range v {
		b.WriteByte(' ')
		b.WriteString(strconv.FormatFloat(x, 'g', -1, 64))
	}
	b.WriteByte('\n')
}
