package dataset

import (
	"bytes"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/parquet-go/parquet-go/encoding/delta"
)

// TestDeltasAreReadBack lets the Parquet library read what was packed: of every width,
// around the sizes of a miniblock and a block, up to the ends of DECIMAL(9).
func TestDeltasAreReadBack(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	var p deltaPacker
	for bits := range 31 {
		for _, n := range []int{1, 2, 31, 32, 33, 34, 127, 128, 129, 130, 161, 1000} {
			v := make([]int32, n)
			for i := range v {
				v[i] = int32(min(rng.Int64N(1<<bits), maxFixed32)) * int32(1-2*rng.IntN(2))
			}
			data := p.pack(nil, v)
			got, err := new(delta.BinaryPackedEncoding).DecodeInt32(nil, data)
			if err != nil || !slices.Equal(got[:n], v) {
				t.Fatalf("%d numbers of %d bits: %v, want %v; %v", n, bits, got, v, err)
			}
			low, high := extremes(v)
			if low != slices.Min(v) || high != slices.Max(v) {
				t.Fatalf("%d numbers of %d bits lie from %d to %d", n, bits, low, high)
			}
		}
	}
}

// TestLikeDifferencesAreLikeBytes packs blocks that differ in their extremes only: their
// common differences have the same bytes.
func TestLikeDifferencesAreLikeBytes(t *testing.T) {
	common := func(rare int32) []byte {
		v := []int32{5000}
		for i := range deltaBlock {
			d := int32(100 * (i%3 - 1))
			switch i {
			case 70:
				d = rare
			case 100: // all blocks have two bytes
				d = 200
			}
			v = append(v, v[i]+d)
		}
		data := new(deltaPacker).pack(nil, v)
		return data[len(data)-2*deltaBlock:][:2*70]
	}
	want := common(0)
	for _, rare := range []int32{300, -300, 1700, -30_000, 30_000} {
		if !bytes.Equal(common(rare), want) {
			t.Errorf("with a difference of %d the others have other bytes", rare)
		}
	}
	kinds := map[byte]bool{}
	for _, b := range want {
		kinds[b] = true
	}
	if len(kinds) != 3 { // three lower bytes, one of them the upper too
		t.Errorf("three differences are %d kinds of byte", len(kinds))
	}
}

func BenchmarkPackDeltas(b *testing.B) {
	v := make([]int32, PageRows)
	rng := rand.New(rand.NewPCG(1, 1))
	for i := range v {
		v[i] = 1000 + 100*rng.Int32N(7)
	}
	var p deltaPacker
	var dst []byte
	b.SetBytes(4 * PageRows)
	for b.Loop() {
		dst = p.pack(dst[:0], v)
	}
}
