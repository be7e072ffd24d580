package main

import (
	"cmp"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
)

// An entry is what the indices need of a vulnerability in OSV form.
type entry struct {
	ID       string   `json:"id"`
	Modified string   `json:"modified"`
	Aliases  []string `json:"aliases"`
	Affected []struct {
		Package struct {
			Name string `json:"name"`
		} `json:"package"`
		Ranges []struct {
			Events []struct {
				Fixed string `json:"fixed"`
			} `json:"events"`
		} `json:"ranges"`
	} `json:"affected"`
}

// The rows of the indices, as the Go vulnerability database documents them (v1).
type (
	moduleIndex struct {
		Path  string       `json:"path"`
		Vulns []moduleVuln `json:"vulns"`
	}
	moduleVuln struct {
		ID       string `json:"id"`
		Modified string `json:"modified"`
		Fixed    string `json:"fixed,omitempty"`
	}
	vulnIndex struct {
		ID       string   `json:"id"`
		Modified string   `json:"modified"`
		Aliases  []string `json:"aliases,omitempty"`
	}
)

// layOut makes a database of a folder of OSV files: ID/*.json and three indices.
func layOut(from, to string) error {
	names, err := filepath.Glob(filepath.Join(from, "*.json"))
	if err != nil {
		return err
	}
	for _, folder := range []string{"ID", "index"} {
		if err := os.MkdirAll(filepath.Join(to, folder), 0o755); err != nil {
			return err
		}
	}
	modules, vulns, newest := map[string]*moduleIndex{}, []vulnIndex{}, ""
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		var e entry
		if err := json.Unmarshal(b, &e); err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(to, "ID", filepath.Base(name)), b, 0o644); err != nil {
			return err
		}
		e.index(modules)
		vulns = append(vulns, vulnIndex{e.ID, e.Modified, e.Aliases})
		newest = max(newest, e.Modified)
	}
	paths := slices.SortedFunc(maps.Values(modules), func(a, b *moduleIndex) int { return cmp.Compare(a.Path, b.Path) })
	return writeIndices(filepath.Join(to, "index"), map[string]any{
		"db.json": map[string]string{"modified": newest}, "modules.json": paths, "vulns.json": vulns,
	})
}

// index notes the entry under each module that it affects.
func (e entry) index(modules map[string]*moduleIndex) {
	for _, a := range e.Affected {
		m := modules[a.Package.Name]
		if m == nil {
			m = &moduleIndex{Path: a.Package.Name}
			modules[a.Package.Name] = m
		}
		v := moduleVuln{ID: e.ID, Modified: e.Modified}
		for _, r := range a.Ranges {
			for _, ev := range r.Events {
				if ev.Fixed != "" {
					v.Fixed = ev.Fixed
				}
			}
		}
		m.Vulns = append(m.Vulns, v)
	}
}

func writeIndices(folder string, indices map[string]any) error {
	for name, v := range indices {
		b, err := json.Marshal(v)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(folder, name), b, 0o644); err != nil {
			return err
		}
	}
	return nil
}
