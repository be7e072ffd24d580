package array

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"io"

	"rimelog/pipeline/store"
)

// Excerpt leaves beside a shard's voucher what whoever comes next would else gather from
// thousands of files: some bytes of each system. write puts them, by rising ID, with the
// generation that they are taken from.
func (p Plan) Excerpt(ctx context.Context, st store.Store, s Shard, write func(put func(system string, generation int, body []byte) error) error) error {
	return st.Put(ctx, p.excerptOf(s), func(w io.Writer) error {
		to := bufio.NewWriter(w)
		err := write(func(system string, generation int, body []byte) error {
			_, err := to.Write(p.record(key{system, generation}, body))
			return err
		})
		return errors.Join(err, to.Flush())
	})
}

func (p Plan) excerptOf(s Shard) string {
	return fmt.Sprintf("%s%s/%05d.excerpts", vouchers, p.Run, s.Index)
}

// A key says what an excerpt is of.
type key struct {
	system     string
	generation int
}

// record is an excerpt as it is kept: the lengths of what follows, a digest of all that it
// is of and says, the system, the body.
func (p Plan) record(k key, body []byte) []byte {
	b := binary.LittleEndian.AppendUint32(nil, uint32(len(k.system)))
	b = binary.LittleEndian.AppendUint32(b, uint32(k.generation))
	b = binary.LittleEndian.AppendUint32(b, uint32(len(body)))
	sum := p.digest(k, body)
	return append(append(append(b, sum[:]...), k.system...), body...)
}

// recordHead is the bytes before the system.
const recordHead = 3*4 + sha256.Size

func (p Plan) digest(k key, body []byte) (sum [sha256.Size]byte) {
	h := sha256.New()
	fmt.Fprintf(h, "%s\n%s\n%d\n", p.basisHash(), k.system, k.generation)
	h.Write(body)
	return [sha256.Size]byte(h.Sum(nil))
}

// Excerpts reads what the shards of a run left, each system's when it is asked for. Nothing
// depends on it: what is missing, damaged, of another generation or another basis is not
// there.
type Excerpts struct {
	plan   Plan
	store  store.Store
	shards map[int]*excerpts
}

// Excerpts gives those of the plan's shards. They are to be closed.
func (p Plan) Excerpts(st store.Store) *Excerpts {
	return &Excerpts{p, st, map[int]*excerpts{}}
}

// Of is the excerpt of a system's generation; false where there is none. Systems are asked
// for by rising ID, one at a time.
func (e *Excerpts) Of(ctx context.Context, system string, generation int) ([]byte, bool) {
	shard := e.plan.Systems.Of(system, e.plan.Shards)
	from, ok := e.shards[shard]
	if !ok {
		from = e.open(ctx, shard)
		e.shards[shard] = from
	}
	for from.system < system && from.next(e.plan) {
	}
	return from.body, from.key == (key{system, generation})
}

// Close closes what was opened.
func (e *Excerpts) Close() error {
	var errs []error
	for _, from := range e.shards {
		if from.closer != nil {
			errs = append(errs, from.closer.Close())
		}
	}
	return errors.Join(errs...)
}

func (e *Excerpts) open(ctx context.Context, shard int) *excerpts {
	r, err := e.store.Open(ctx, e.plan.excerptOf(Shard{shard, e.plan.Shards}))
	if err != nil {
		return &excerpts{reader: bufio.NewReader(bytes.NewReader(nil))}
	}
	return &excerpts{reader: bufio.NewReader(r), closer: r}
}

// An excerpts is what one shard left, and the excerpt that was read last.
type excerpts struct {
	reader *bufio.Reader
	closer io.Closer
	key
	body []byte
}

// next reads the next one; false where there is none, or it is not as it was written.
func (x *excerpts) next(p Plan) bool {
	x.key, x.body = key{}, nil
	head, err := x.take(recordHead)
	if err != nil {
		return false
	}
	word := func(i int) uint32 { return binary.LittleEndian.Uint32(head[4*i:]) }
	rest, err := x.take(int64(word(0)) + int64(word(2)))
	if err != nil {
		return false
	}
	k, body := key{string(rest[:word(0)]), int(word(1))}, rest[word(0):]
	if sum := p.digest(k, body); !bytes.Equal(sum[:], head[recordHead-sha256.Size:]) {
		x.reader.Reset(bytes.NewReader(nil)) // what follows has lost its place
		return false
	}
	x.key, x.body = k, body
	return true
}

// take reads so many bytes, and no memory is asked for before they are there.
func (x *excerpts) take(n int64) ([]byte, error) {
	b, err := io.ReadAll(io.LimitReader(x.reader, n))
	if err == nil && int64(len(b)) < n {
		err = io.ErrUnexpectedEOF
	}
	return b, err
}
