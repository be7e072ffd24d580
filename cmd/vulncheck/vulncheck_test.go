package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const found = `{"osv": {"id": "GO-1", "summary": "one"}}
{"finding": {"osv": "GO-1", "fixed_version": "v1.26.9", "trace": [{"module": "stdlib", "version": "v1.26.8", "function": "Read"}]}}
{"finding": {"osv": "GO-2", "fixed_version": "v1.1.0", "trace": [{"module": "example.org/m", "version": "v1.0.0"}]}}
`

// A module that is only imported, and the standard library, do not fail; a module whose
// code is called does.
func TestReport(t *testing.T) {
	var b strings.Builder
	if err := report(&b, []byte(found)); err != nil || !strings.Contains(b.String(), "GO-1: one (stdlib v1.26.8, fixed in v1.26.9)") || strings.Contains(b.String(), "GO-2") {
		t.Errorf("%v\n%s", err, b.String())
	}
	called := strings.Replace(found, `"version": "v1.0.0"`, `"version": "v1.0.0", "function": "Do"`, 1)
	if err := report(&b, []byte(called)); err == nil || !strings.Contains(err.Error(), "GO-2") {
		t.Errorf("a called vulnerability of a module: %v", err)
	}
}

// The database is laid out as https://go.dev/doc/security/vuln/database says (v1).
func TestLayOut(t *testing.T) {
	from, to := t.TempDir(), t.TempDir()
	osv := `{"id": "GO-1", "modified": "2026-01-02T03:04:05Z", "aliases": ["CVE-1"], "affected": [{"package": {"name": "example.org/m"}, "ranges": [{"events": [{"introduced": "0"}, {"fixed": "1.1.0"}]}]}]}`
	if err := os.WriteFile(filepath.Join(from, "GO-1.json"), []byte(osv), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := layOut(from, to); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]string{
		"ID/GO-1.json":       osv,
		"index/db.json":      `{"modified":"2026-01-02T03:04:05Z"}`,
		"index/modules.json": `[{"path":"example.org/m","vulns":[{"id":"GO-1","modified":"2026-01-02T03:04:05Z","fixed":"1.1.0"}]}]`,
		"index/vulns.json":   `[{"id":"GO-1","modified":"2026-01-02T03:04:05Z","aliases":["CVE-1"]}]`,
	} {
		if b, err := os.ReadFile(filepath.Join(to, name)); err != nil || string(b) != want {
			t.Errorf("%s is %s, %v; want %s", name, b, err, want)
		}
	}
}
