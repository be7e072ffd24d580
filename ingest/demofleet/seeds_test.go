//go:build long

package demofleet

import (
	"io"
	"testing"
)

// Any seed must give a fleet whose every visit can be simulated.
func TestAnySeedWorks(t *testing.T) {
	for seed := range uint64(40) {
		put := func(_ string, write func(io.Writer) error) error { return write(io.Discard) }
		if _, err := Generate(t.Context(), Options{Seed: 1000 + seed, Logging: ByVisits}, put, nil); err != nil {
			t.Errorf("seed %d: %v", 1000+seed, err)
		}
	}
}
