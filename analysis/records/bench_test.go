package records

import (
	"fmt"
	"strings"
	"testing"
)

// The books of a firm with 800 systems, each with ten years of records.
func BenchmarkKeep(b *testing.B) {
	var systems, events strings.Builder
	systems.WriteString(eu)
	events.WriteString("system,date,event,kg,quality,reason\n")
	for i := range 800 {
		fmt.Fprintf(&systems, "S%d,R448A,%d,DE,no,no,cold room,\n", i, 5+i%200)
		for y := range 10 {
			fmt.Fprintf(&events, "S%d,%d-03-%02d,direct leak check,,,\nS%d,%d-05-01,charge added,0.5,new,leak\nS%d,%d-05-01,repaired,,,\n", i, 2016+y, 1+i%28, i, 2016+y, i, 2016+y)
		}
	}
	all, r := fleet(b, systems.String(), events.String()), rules(b)
	for b.Loop() {
		Keep(all, r, Options{}, Date{On: on(b, "2026-06-01")})
	}
}
