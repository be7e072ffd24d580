//go:build long

package main

import "testing"

func TestAChangeCostsWhatItTouchesInAHundredSystems(t *testing.T) { incremental(t, 100) }
