//go:build long

package dataset

import (
	"syscall"
	"testing"

	"rimelog/pipeline/store"
)

// TestEveryFaultHealsInAFleet is TestEveryFaultHeals on two systems and three
// nights, with every kind of fault.
func TestEveryFaultHealsInAFleet(t *testing.T) {
	var faults []store.Fault
	for _, m := range []store.Moment{store.Before, store.During, store.After} {
		faults = append(faults, store.Fault{Moment: m, Err: syscall.ENOSPC}, store.Fault{Moment: m, Kill: true})
	}
	everyFaultHeals(t, longNights, faults)
}
