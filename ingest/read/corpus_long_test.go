//go:build long

package read

import (
	"testing"
)

func TestCorpusOfThousands(t *testing.T) { testCorpus(t, 1000, 6000) }
