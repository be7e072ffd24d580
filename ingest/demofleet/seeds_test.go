//go:build long

package demofleet

import (
	"io"
	"testing"
)

// Any seed must give a fleet, and hardly any log of a machine that the safety
// chain has off because the model finds no operating point.
func TestAnySeedWorks(t *testing.T) {
	var logs, tripped int
	for seed := range uint64(40) {
		put := func(_ string, write func(io.Writer) error) error { return write(io.Discard) }
		mix := DemoMix()
		if seed%2 == 1 {
			mix = DefaultMix()
		}
		fleet, err := Generate(t.Context(), Options{Seed: 1000 + seed, Logging: ByVisits, Mix: &mix}, put, nil)
		if err != nil {
			t.Errorf("seed %d: %v", 1000+seed, err)
		}
		for _, f := range fleet.Files {
			logs++
			if f.Trap == safetyChain {
				tripped++
			}
		}
	}
	if tripped*1000 > logs {
		t.Errorf("%d of %d logs are of a machine that is off", tripped, logs)
	}
}
