package chart

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// trace is a log with noise, spikes, gaps in time and gaps in value.
func trace(rng *rand.Rand) Trace {
	var t Trace
	at := int64(1_700_000_000_000)
	for range 20 + rng.IntN(5000) {
		at += 1000
		v := math.Sin(float64(at)/1e6) + 0.1*rng.NormFloat64()
		switch rng.IntN(400) {
		case 0:
			at += 60_000
		case 1:
			v = nan
		case 2:
			v += 50 * rng.NormFloat64()
		}
		t.add(at, v)
	}
	return t
}

// Laws of thinning: it keeps the order in time, only points that were there, the
// ends of every stretch, its lowest and highest value; it never bridges a gap; and
// it has about as many points as it may.
func TestThinLaws(t *testing.T) {
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 0))
		full, limit := trace(rng), 20+rng.IntN(500)
		thin := full.Thin(limit)
		parts := segments(full.Times, func(i int) bool { return !math.IsNaN(full.Values[i]) })
		if !slices.IsSorted(thin.Times) {
			t.Fatalf("seed %d: times fall", seed)
		}
		if n, most := len(thin.Times), limit+6*len(parts); n > most {
			t.Errorf("seed %d: %d points for a limit of %d in %d stretches, want at most %d", seed, n, limit, len(parts), most)
		}
		at := map[int64]float64{}
		for i, x := range full.Times {
			at[x] = full.Values[i]
		}
		k := 0
		for i, p := range parts {
			if i > 0 {
				if k >= len(thin.Times) || !math.IsNaN(thin.Values[k]) {
					t.Fatalf("seed %d: the gap before stretch %d is bridged", seed, i)
				}
				k++
			}
			var got, want extent
			first := k
			for ; k < len(thin.Times) && !math.IsNaN(thin.Values[k]); k++ {
				if v, ok := at[thin.Times[k]]; !ok || v != thin.Values[k] {
					t.Fatalf("seed %d: a point that was not there: %v", seed, thin.Values[k])
				}
				got.show(thin.Values[k])
			}
			want.show(full.Values[p[0]:p[1]]...)
			if got != want {
				t.Errorf("seed %d, stretch %d: from %g to %g, want %g to %g", seed, i, got.lo, got.hi, want.lo, want.hi)
			}
			if thin.Times[first] != full.Times[p[0]] || thin.Times[k-1] != full.Times[p[1]-1] {
				t.Errorf("seed %d, stretch %d: its ends are lost", seed, i)
			}
		}
	}
}

func TestThinLeavesShortTracesAlone(t *testing.T) {
	full := Trace{Times: []int64{1, 2, 3, 4}, Values: []float64{1, 5, 2, 3}}
	if got := full.Thin(10); !slices.Equal(got.Times, full.Times) || !slices.Equal(got.Values, full.Values) {
		t.Errorf("Thin changed %v to %v", full, got)
	}
	if got := (Trace{}).Thin(10); len(got.Times) != 0 {
		t.Errorf("Thin of nothing gave %v", got)
	}
}

func TestSegments(t *testing.T) {
	for _, c := range []struct {
		name  string
		times []int64
		bad   int
		want  [][2]int
	}{
		{"none", nil, -1, nil},
		{"one", []int64{5}, -1, [][2]int{{0, 1}}},
		{"whole", []int64{1, 2, 3, 4, 5}, -1, [][2]int{{0, 5}}},
		{"a value is missing", []int64{1, 2, 3, 4, 5}, 2, [][2]int{{0, 2}, {3, 5}}},
		{"a long step", []int64{1, 2, 3, 4, 20, 21}, -1, [][2]int{{0, 4}, {4, 6}}},
		{"just not a gap", []int64{1, 2, 3, 4, 7}, -1, [][2]int{{0, 5}}},
		{"the last is missing", []int64{1, 2, 3, 4}, 3, [][2]int{{0, 3}}},
	} {
		got := segments(c.times, func(i int) bool { return i != c.bad })
		if !slices.Equal(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

func FuzzThin(f *testing.F) {
	f.Add(uint64(1), 30)
	f.Fuzz(func(t *testing.T, seed uint64, limit int) {
		full := trace(rand.New(rand.NewPCG(seed, 1)))
		thin := full.Thin(limit % 10_000)
		if len(thin.Times) != len(thin.Values) || !slices.IsSorted(thin.Times) {
			t.Fatal("times and values do not belong together")
		}
		var got, want extent
		got.show(thin.Values...)
		want.show(full.Values...)
		if got != want {
			t.Fatalf("limit %d: range %v, want %v", limit, got, want)
		}
	})
}
