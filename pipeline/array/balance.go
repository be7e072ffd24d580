package array

import (
	"cmp"
	"container/heap"
	"slices"
)

// A Split says which shard does which unit. Units that no plan knew, such as a system that
// only the preamble of its first upload names, are shared out by hash.
type Split map[string]int

// Of is the shard, of so many, that does a unit.
func (s Split) Of(unit string, shards int) int {
	if shard, ok := s[unit]; ok {
		return shard
	}
	return hashed(unit, shards)
}

// balance shares out units so that all shards have about as much to do: the heaviest first,
// each to the shard that has least. The fullest shard then has at most 4/3 - 1/(3 shards) of
// what it has in the best of all ways (R. L. Graham, Bounds on multiprocessing timing
// anomalies, SIAM J. Appl. Math. 17, 1969, theorem 2), which is never less than the heaviest
// unit.
func balance(weights map[string]int64, shards int) Split {
	units := make([]string, 0, len(weights))
	for unit := range weights {
		units = append(units, unit)
	}
	slices.SortFunc(units, func(a, b string) int {
		return cmp.Or(cmp.Compare(weights[b], weights[a]), cmp.Compare(a, b))
	})
	bins := make(bins, shards)
	for i := range bins {
		bins[i].shard = i
	}
	split := make(Split, len(units))
	for _, unit := range units {
		least := &bins[0]
		split[unit] = least.shard
		least.load += weights[unit]
		heap.Fix(&bins, 0)
	}
	return split
}

// A bin is a shard with what it has to do.
type bin struct {
	load  int64
	shard int
}

// bins is a heap: the least laden first, by number where several are.
type bins []bin

func (b bins) Len() int { return len(b) }
func (b bins) Less(i, j int) bool {
	return cmp.Or(cmp.Compare(b[i].load, b[j].load), cmp.Compare(b[i].shard, b[j].shard)) < 0
}
func (b bins) Swap(i, j int) { b[i], b[j] = b[j], b[i] }
func (b *bins) Push(x any)   { *b = append(*b, x.(bin)) }
func (b *bins) Pop() any {
	last := (*b)[len(*b)-1]
	*b = (*b)[:len(*b)-1]
	return last
}
