package pass

import (
	"testing"
)

// A file that turns into prose holds no more of it in memory than a footer and a
// preamble are long.
func TestProseDoesNotPileUp(t *testing.T) {
	p := &Pass{headers: map[int64]bool{}}
	for n := range int64(5000) {
		p.number = n + 1
		p.later([]byte("the door was open"), textReason)
		if len(p.pending) > maxPending {
			t.Fatalf("%d lines wait", len(p.pending))
		}
	}
}
