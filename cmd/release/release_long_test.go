//go:build long

package main

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// windows unpacks the release for Windows, built as `make release` does.
func windows(t *testing.T) (folder string) {
	t.Helper()
	t.Chdir("../..")
	out := t.TempDir()
	if err := release(t.Context(), out, []string{"windows/amd64"}); err != nil {
		t.Fatal(err)
	}
	archive, err := zip.OpenReader(filepath.Join(out, "rimelog-windows-amd64.zip"))
	if err != nil {
		t.Fatal(err)
	}
	defer archive.Close()
	for _, f := range archive.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		b, err := io.ReadAll(r)
		if err == nil {
			err = os.WriteFile(filepath.Join(out, filepath.Base(f.Name)), b, 0o755)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return out
}

func wineEnv(prefix string) []string {
	return append(os.Environ(), "WINEPREFIX="+prefix, "WINEDEBUG=-all", "DISPLAY=")
}

// wine makes a drive for wine, with what Go's runtime needs of Windows and releases of
// wine before 9 lack: see testdata/prng.s.
func wine(t *testing.T) (prefix string) {
	t.Helper()
	prefix = t.TempDir()
	start := func(name string, args ...string) {
		t.Helper()
		cmd := exec.Command(name, args...)
		cmd.Env = wineEnv(prefix)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s %v: %v (`make tools` installs it)\n%s", name, args, err, out)
		}
	}
	start("wine", "wineboot", "-i")
	t.Cleanup(func() { start("wine", "wineboot", "-k") })
	library := filepath.Join(prefix, "drive_c", "windows", "system32", "bcryptprimitives.dll")
	if _, err := os.Stat(library); err == nil {
		return prefix
	}
	object := filepath.Join(t.TempDir(), "prng.o")
	start("x86_64-w64-mingw32-as", "-o", object, "testdata/prng.s")
	start("x86_64-w64-mingw32-ld", "-shared", "-e", "DllMain", "--export-all-symbols", "-o", library, object)
	return prefix
}

// crlf is a logger's export as Windows programs write it.
const crlf = "time;suction pressure [bar abs];discharge pressure [bar abs];suction temp [°C];liquid temp [°C]\r\n" +
	"2025-03-03T10:00:00Z;2,0;9,0;-1,0;30,0\r\n2025-03-03T10:00:10Z;2,0;9,0;-1,0;30,0\r\n"

// The release for Windows, as a service manager uses it: unpacked, on a workspace with
// Windows paths and CRLF files. Wine stands in for Windows.
func TestWindowsReleaseWorks(t *testing.T) {
	prefix := wine(t)
	folder := windows(t)
	rimelog := func(args ...string) string {
		cmd := exec.Command("wine", append([]string{filepath.Join(folder, "rimelog.exe")}, args...)...)
		cmd.Env = wineEnv(prefix)
		var errOut bytes.Buffer
		cmd.Stderr = &errOut
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("rimelog.exe %v: %v (`make tools` installs it)\n%s%s", args, err, out, errOut.Bytes())
		}
		return string(out)
	}
	if out := rimelog("init", "-workspace", `C:\firm`); !strings.Contains(out, `made C:\firm\register\systems.csv`) {
		t.Errorf("init printed %s", out)
	}
	firm := filepath.Join(prefix, "drive_c", "firm")
	for name, text := range map[string]string{
		"register/systems.csv":     "\ufeffsystem;site;refrigerant;zone\r\nCold-1;North quay;R134a;UTC\r\n",
		"uploads/Cold-1/March.csv": crlf,
		"rimelog.json":             "{\r\n  \"report\": {\"plain\": false}\r\n}\r\n",
	} {
		if err := os.MkdirAll(filepath.Dir(filepath.Join(firm, name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(firm, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if out := rimelog("run", "-workspace", `C:\firm`); !strings.Contains(out, "1 uploads, 2 samples of 1 systems") || !strings.Contains(out, `report: C:\firm\report\index.html`) {
		t.Errorf("run printed %s", out)
	}
	if out := rimelog("explain", `C:\firm\uploads\Cold-1\March.csv`, "-workspace", `C:\firm`); !strings.Contains(out, "Cold-1") {
		t.Errorf("explain printed %s", out)
	}
	if out := rimelog("verify", "-workspace", `C:\firm`); !strings.Contains(out, "all is as the ledger says") {
		t.Errorf("verify printed %s", out)
	}
	engine, err := filepath.Glob(filepath.Join(firm, "report", "assets", "*.js"))
	if err != nil || len(engine) == 0 {
		t.Errorf("the report has no chart engine: %v %v", engine, err)
	}
	checkPapers(t, folder)
}

// checkPapers looks at the licences and the bill of materials of a release.
func checkPapers(t *testing.T, folder string) {
	t.Helper()
	texts, err := os.ReadFile(filepath.Join(folder, "LICENCES.txt"))
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(filepath.Join(folder, "rimelog.cdx.json"))
	if err != nil {
		t.Fatal(err)
	}
	var bill struct {
		Format     string `json:"bomFormat"`
		Components []struct{ Name, Version, Purl string }
	}
	if err := json.Unmarshal(b, &bill); err != nil || bill.Format != "CycloneDX" {
		t.Fatalf("bill of materials: %q, %v", bill.Format, err)
	}
	named := map[string]bool{}
	for _, c := range bill.Components {
		named[c.Name] = true
		if c.Name != "std" && !bytes.Contains(texts, []byte(c.Name+" ")) {
			t.Errorf("LICENCES.txt says nothing of %s", c.Name)
		}
	}
	for _, name := range []string{"std", "gonum.org/v1/gonum", "github.com/parquet-go/parquet-go", "echarts", "zrender"} {
		if !named[name] {
			t.Errorf("the bill of materials lacks %s", name)
		}
	}
}
