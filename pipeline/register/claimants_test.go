package register

import (
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// Claimants looks only at patterns that begin with the upload's folder or stand for several:
// it must find whom a look at every pattern finds.
func TestClaimantsAreAllWhosePatternMatches(t *testing.T) {
	words := []string{"a", "B", "b", "*", "?", "**", "[ab]", "x*"}
	rng := rand.New(rand.NewPCG(3, 4))
	text := func(from []string) string {
		parts := make([]string, 1+rng.IntN(3))
		for i := range parts {
			parts[i] = from[rng.IntN(len(from))]
		}
		return strings.Join(parts, "/")
	}
	r := newRegister()
	var rows []Channel
	for i := range 60 {
		c := Channel{System: "S-" + string(rune('a'+i%7)), File: text(words)}
		rows = append(rows, c)
		r.addChannel(c)
	}
	r.sortChannels()
	for range 500 {
		upload := text([]string{"a", "A", "b", "xy", "[ab]"})
		var want []string
		for _, c := range rows {
			if matches(c.File, upload) && !slices.Contains(want, c.System) {
				want = append(want, c.System)
			}
		}
		slices.Sort(want)
		if got := r.Claimants(upload); !slices.Equal(got, want) {
			t.Errorf("%s is claimed by %v, want %v", upload, got, want)
		}
	}
}
