package array

import (
	"bufio"
	"context"
	"fmt"

	"rimelog/pipeline/store"
)

// Leave leaves what a shard of ingest found of its uploads, for the stages that follow.
func (p Plan) Leave(ctx context.Context, st store.Store, s Shard, body []byte) error {
	return st.Put(ctx, p.leftOf(s), store.Bytes(p.record(key{}, body)))
}

// Left is what the shards left, each for itself. Nothing depends on it: what is missing,
// damaged or of another basis is left out, and to be asked again of the ledger.
func (p Plan) Left(ctx context.Context, st store.Store) (bodies [][]byte) {
	for i := range p.Shards {
		if body, ok := p.left(ctx, st, Shard{i, p.Shards}); ok {
			bodies = append(bodies, body)
		}
	}
	return bodies
}

func (p Plan) left(ctx context.Context, st store.Store, s Shard) (body []byte, ok bool) {
	r, err := st.Open(ctx, p.leftOf(s))
	if err != nil {
		return nil, false
	}
	x := excerpts{reader: bufio.NewReader(r)}
	ok = x.next(p) && x.key == key{}
	return x.body, r.Close() == nil && ok
}

func (p Plan) leftOf(s Shard) string {
	return fmt.Sprintf("%s%s/%05d.looked", vouchers, p.Run, s.Index)
}
