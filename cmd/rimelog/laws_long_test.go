//go:build long

package main

import "testing"

// TestKilledAtManyCalls kills a run at every fifth call of the store, before, during and
// after its effect; units alone are killed at every call in pipeline/dataset.
func TestKilledAtManyCalls(t *testing.T) { killEvery(t, 5) }
