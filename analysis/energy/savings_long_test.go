//go:build long

package energy

import "testing"

// Over 250 years, within 5 points.
func TestSavingsIntervalsHoldTheTruthOftenEnough(t *testing.T) {
	savingsHoldTheTruth(t, 250, func(float64) float64 { return 0.05 })
}

// Over 200 years, in at most 8 of 100.
func TestNoSavingIsStatedInManyYears(t *testing.T) { noSavingStated(t, 200, 16) }
