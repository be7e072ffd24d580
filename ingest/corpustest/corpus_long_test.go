//go:build long

package corpustest

import "testing"

// TestWholeCorpus reads thousands of files that cross all groups.
func TestWholeCorpus(t *testing.T) {
	checkCorpus(t, 2, 8000, 0)
}
