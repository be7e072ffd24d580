package array

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"

	"rimelog/pipeline/store"
)

// vouchers is where shards leave what they vouch for, by run.
const vouchers = "run/vouchers/"

// Generations are numbers of generations, by unit.
type Generations map[string]int

// A voucher is what a shard leaves when it is done: under this basis, these generations
// have all results of its stage. A generation never changes, so whoever comes next need not
// work out again what they should hold, as long as they are the newest.
type voucher struct {
	Basis       string      `json:"basis"` // hash
	Generations Generations `json:"generations"`
}

// Vouch says that the generations have all that a shard's stage makes of them.
func (p Plan) Vouch(ctx context.Context, st store.Store, s Shard, done Generations) error {
	return st.Put(ctx, p.voucherOf(s), store.Bytes(mustJSON(voucher{p.basisHash(), done})))
}

// Vouched is what the shards vouch for, together. Nothing depends on it: what is missing,
// damaged or of another basis is left out, and to be worked out.
func (p Plan) Vouched(ctx context.Context, st store.Store) (Generations, error) {
	all := Generations{}
	for i := range p.Shards {
		b, err := store.ReadAll(ctx, st, p.voucherOf(Shard{i, p.Shards}))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		var v voucher
		if err != nil || json.Unmarshal(b, &v) != nil || v.Basis != p.basisHash() {
			continue
		}
		maps.Copy(all, v.Generations)
	}
	return all, nil
}

func (p Plan) voucherOf(s Shard) string {
	return fmt.Sprintf("%s%s/%05d.json", vouchers, p.Run, s.Index)
}

func (p Plan) basisHash() string {
	sum := sha256.Sum256(mustJSON(p.Basis)) // keys in order
	return hex.EncodeToString(sum[:])
}
