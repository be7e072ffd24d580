//go:build long

package main

import (
	"os/exec"
	"strings"
	"testing"
)

// The Kubernetes kit is valid by the published API's own schemas, oldest to newest of the
// versions that its jobs can run on (job.spec.backoffLimitPerIndex is stable from 1.33 on, from memory):
// the package kubernetes-validate carries them, and is strict about what they do not list.
func TestManifestsAreValidByThePublishedSchemas(t *testing.T) {
	for _, version := range []string{"1.33", "1.35", "1.37"} {
		out, err := exec.Command(python(t), "-m", "kubernetes_validate", "--strict", "-k", version, "kit/kubernetes.yaml").CombinedOutput()
		if err != nil {
			t.Errorf("Kubernetes %s: %v\n%s", version, err, out)
		}
		if n := strings.Count(string(out), " passed for resource "); n != 10 {
			t.Errorf("Kubernetes %s: %d of 10 resources passed\n%s", version, n, out)
		}
	}
}
