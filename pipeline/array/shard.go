package array

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"
)

// A Shard is one of Count equal workers, counted from 0.
type Shard struct{ Index, Count int }

// ParseShard reads "i/N": shard i of N, i from 0.
func ParseShard(text string) (Shard, error) {
	i, n, ok := strings.Cut(text, "/")
	index, errIndex := strconv.Atoi(i)
	count, errCount := strconv.Atoi(n)
	if !ok || errIndex != nil || errCount != nil || count < 1 {
		return Shard{}, &PlanError{fmt.Sprintf("shard %q: want i/N, such as 0/4", text)}
	}
	if index < 0 || index >= count {
		return Shard{}, &PlanError{fmt.Sprintf("shard %s: of %d shards, i is 0 to %d", text, count, count-1)}
	}
	return Shard{index, count}, nil
}

func (s Shard) String() string { return fmt.Sprintf("%d/%d", s.Index, s.Count) }

// hashed is the shard, of so many, of a unit that no plan knew: it stays where it is when
// others come and go.
func hashed(unit string, shards int) int {
	sum := sha256.Sum256([]byte(unit))
	return int(binary.BigEndian.Uint64(sum[:8]) % uint64(shards))
}
