package demofleet

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
)

// chance is a stream of random numbers that depends on the seed and on what it
// is for, and on nothing else: a system added leaves all others as they were.
func chance(seed uint64, purpose ...any) *rand.Rand {
	sum := sha256.Sum256([]byte(fmt.Sprintln(append([]any{"demofleet", seed}, purpose...)...)))
	return rand.New(rand.NewPCG(binary.LittleEndian.Uint64(sum[:]), binary.LittleEndian.Uint64(sum[8:])))
}

// between draws evenly from a range.
func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

// pick draws one of a list.
func pick[T any](r *rand.Rand, list []T) T { return list[r.IntN(len(list))] }
