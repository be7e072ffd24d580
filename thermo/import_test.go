package thermo_test

import (
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// TestImportCost: importing the package works nothing out. The runtime's own
// trace of package initialisation is the measure; limits 5 ms and 5 MB.
func TestImportCost(t *testing.T) {
	cmd := exec.Command(os.Args[0], "-test.run=^$")
	cmd.Env = append(os.Environ(), "GODEBUG=inittrace=1")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if !strings.Contains(string(out), "init runtime") {
		t.Fatalf("no trace of initialisation:\n%s", out)
	}
	var ms float64
	var bytes int
	for line := range strings.Lines(string(out)) {
		if !strings.HasPrefix(line, "init rimelog/") {
			continue
		}
		// init PACKAGE @START ms, CLOCK ms clock, BYTES bytes, N allocs
		var name string
		var at, clock float64
		var n int
		if _, err := fmt.Sscanf(line, "init %s @%f ms, %f ms clock, %d bytes", &name, &at, &clock, &n); err != nil {
			t.Fatalf("%q: %v", line, err)
		}
		ms += clock
		bytes += n
	}
	if ms > 5 || bytes > 5<<20 {
		t.Errorf("import costs %.2f ms and %d bytes", ms, bytes)
	}
	t.Logf("import costs %.3f ms and %d bytes", ms, bytes)
}
