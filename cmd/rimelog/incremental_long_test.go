//go:build long

package main

import "testing"

func TestAChangeCostsWhatItTouchesInAThousandSystems(t *testing.T) { incremental(t, 1000) }
