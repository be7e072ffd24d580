//go:build long

package main

import "testing"

// TestKilledAtEveryCall kills a run at every call of the store, before and after
// its effect.
func TestKilledAtEveryCall(t *testing.T) { killEvery(t, 1) }
