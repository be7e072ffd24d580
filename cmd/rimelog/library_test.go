package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// The packages that others import bring little with them: thermo gonum and the edit distance
// that finds the name meant, robust only gonum, units nothing.
func TestLibrariesBringLittle(t *testing.T) {
	for path, allowed := range map[string][]string{
		"rimelog/thermo":          {"rimelog/thermo", "gonum.org/v1/gonum", "github.com/agnivade/levenshtein"},
		"rimelog/thermo/units":    {"rimelog/thermo/units"},
		"rimelog/analysis/robust": {"rimelog/analysis/robust", "gonum.org/v1/gonum"},
	} {
		out, err := exec.Command("go", "list", "-deps", "-f", "{{if not .Standard}}{{.ImportPath}}{{end}}", path).Output()
		if err != nil {
			t.Fatal(err)
		}
		for _, dep := range strings.Fields(string(out)) {
			if !slices.ContainsFunc(allowed, func(a string) bool { return dep == a || strings.HasPrefix(dep, a+"/") }) {
				t.Errorf("%s brings %s with it", path, dep)
			}
		}
	}
}

// Another module uses thermo through a replace line, as the README shows.
func TestAnotherModuleUsesThermo(t *testing.T) {
	root, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	for name, text := range map[string]string{
		"go.mod": "module other\n\ngo 1.26\n\nrequire rimelog v0.0.0\n\nreplace rimelog => " + root + "\n",
		"main.go": `package main

import (
	"fmt"

	"rimelog/thermo"
)

func main() {
	r, err := thermo.Lookup("R134a")
	if err != nil {
		panic(err)
	}
	t, err := r.DewT(2e5)
	fmt.Printf("%.1f %v", t.Celsius(), err)
}
`} {
		if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	sums, err := os.ReadFile(filepath.Join(root, "go.sum"))
	if err == nil {
		err = os.WriteFile(filepath.Join(folder, "go.sum"), sums, 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("go", "run", "-mod=mod", ".")
	cmd.Dir = folder
	// R134a boils at -10.1 °C under 2 bar: ASHRAE Handbook Fundamentals 2017, ch. 30, table for R-134a (-10.07 °C at 0.2 MPa), from memory.
	if out, err := cmd.CombinedOutput(); err != nil || string(out) != "-10.1 <nil>" {
		t.Errorf("%s %v", out, err)
	}
}
