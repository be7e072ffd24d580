//go:build long

package main

import (
	"flag"
	"testing"
)

var systems = flag.Int("systems", 100, "of how many systems TestAChangeCostsWhatItTouchesInAFleet has a workspace; the promise is of 1,000")

// By hand with -systems 1000.
func TestAChangeCostsWhatItTouchesInAFleet(t *testing.T) { incremental(t, *systems) }
