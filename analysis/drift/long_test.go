//go:build long

package drift

import "testing"

// The rate of false findings over hundreds of system-years of each kind of record,
// also of noisy ones, where it is highest.
func TestFalseFindingsAtLength(t *testing.T) {
	for name, m := range map[string]machine{
		"one set of instruments":   {visits: 37, every: month, noise: 0.7},
		"three sets, ±1 K":         {visits: 37, every: month, noise: 0.7, offset: 1, sets: 3},
		"another set after a year": {visits: 37, every: month, noise: 0.7, offset: 1.5, sets: 2, handover: 12},
		"noisy visits":             {visits: 37, every: month, noise: 1.5},
		"quarterly visits":         {visits: 13, every: 3 * month, noise: 0.7},
		"weekly visits":            {visits: 105, every: month * 12 / 52, noise: 0.7},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			machines := 200
			if m.visits > 100 {
				machines = 70 // they cost as much
			}
			for kind, got := range alarms(m, machines, 31) {
				t.Logf("%.2f false findings of %s in 100 system-years", got, kind)
				if got > 1 {
					t.Errorf("%.2f false findings of %s in 100 system-years, want at most 1", got, kind)
				}
			}
		})
	}
}
