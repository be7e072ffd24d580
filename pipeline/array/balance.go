package array

import (
	"cmp"
	"container/heap"
	"slices"
)

// balance gives each upload a shard, so that all shards have about as many bytes to read:
// the largest first, each to the shard that has least. Files with the same bytes are one
// upload and stay together.
func balance(uploads []Upload, shards int) {
	sizes := map[string]int64{}
	for _, u := range uploads {
		sizes[u.ID] = u.Size
	}
	ids := make([]string, 0, len(sizes))
	for id := range sizes {
		ids = append(ids, id)
	}
	slices.SortFunc(ids, func(a, b string) int {
		return cmp.Or(cmp.Compare(sizes[b], sizes[a]), cmp.Compare(a, b))
	})
	bins := make(bins, shards)
	for i := range bins {
		bins[i].shard = i
	}
	shardOf := make(map[string]int, len(ids))
	for _, id := range ids {
		least := &bins[0]
		shardOf[id] = least.shard
		least.load += sizes[id] + perFile
		heap.Fix(&bins, 0)
	}
	for i := range uploads {
		uploads[i].Shard = shardOf[uploads[i].ID]
	}
}

// perFile is what opening a file costs, as bytes that could be read in the time: so that
// small files are shared out too.
const perFile = 16 << 10

// A bin is a shard with the bytes it has to read.
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
