//go:build long

package demofleet

import "testing"

// Any seed must give a fleet whose every visit can be simulated.
func TestAnySeedWorks(t *testing.T) {
	for seed := range uint64(40) {
		put := func(string, []byte) error { return nil }
		if _, err := Generate(t.Context(), Options{Seed: 1000 + seed, Permanent: -1}, put); err != nil {
			t.Errorf("seed %d: %v", 1000+seed, err)
		}
	}
}
