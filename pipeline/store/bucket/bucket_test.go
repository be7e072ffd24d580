package bucket

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"gocloud.dev/blob/memblob"

	"rimelog/pipeline/store"
)

func inMemory(t *testing.T) *Bucket {
	t.Helper()
	b := &Bucket{b: memblob.OpenBucket(nil)}
	t.Cleanup(func() { b.Close() })
	return b
}

func TestBucketInMemoryKeepsTheContract(t *testing.T) { contract(t, inMemory(t)) }

// contract holds a bucket to what package store promises.
func contract(t *testing.T, b *Bucket) {
	t.Run("bytes by name", func(t *testing.T) { keepsBytes(t, b) })
	t.Run("moves many", func(t *testing.T) { movesMany(t, b) })
	t.Run("one winner", func(t *testing.T) { oneWinner(t, b) })
	t.Run("writer errors", func(t *testing.T) { writerErrors(t, b) })
	t.Run("missing and bad names", func(t *testing.T) { missingNames(t, b) })
}

func keepsBytes(t *testing.T, b *Bucket) {
	ctx := t.Context()
	err := errors.Join(
		b.PutIfAbsent(ctx, "a/x/1", store.Bytes([]byte("one"))),
		b.Put(ctx, "a/y", store.Bytes([]byte("two"))),
		b.Put(ctx, "ab", store.Bytes([]byte("beside"))),
		b.Put(ctx, "a/y", store.Bytes([]byte("three"))),
		b.Move(ctx, "a/y", "a/x/0"),
	)
	if err != nil {
		t.Fatal(err)
	}
	if err := b.PutIfAbsent(ctx, "a/x/1", store.Bytes([]byte("late"))); !errors.Is(err, store.ErrExists) {
		t.Errorf("a name that is taken: %v", err)
	}
	infos, err := b.List(ctx, "a")
	var names []string
	for _, i := range infos {
		names = append(names, fmt.Sprintf("%s %d", i.Name, i.Size))
	}
	if err != nil || !slices.Equal(names, []string{"a/x/0 5", "a/x/1 3"}) {
		t.Errorf("list: %v, %v", names, err)
	}
	r, size, err := b.ReaderAt(ctx, "a/x/0")
	if err != nil {
		t.Fatal(err)
	}
	p := make([]byte, 2)
	if _, err := r.ReadAt(p, 3); err != nil || string(p) != "ee" || size != 5 {
		t.Errorf("read at: %q of %d, %v", p, size, err)
	}
	if err := errors.Join(r.Close(), b.Remove(ctx, "a/x/1")); err != nil {
		t.Error(err)
	}
	if _, err := b.Stat(ctx, "a/x/1"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a removed name: %v", err)
	}
}

func movesMany(t *testing.T, b *Bucket) {
	var moves []store.Renaming
	for i := range 20 {
		m := store.Renaming{From: fmt.Sprintf("many/%02d", i), To: fmt.Sprintf("moved/%02d", i)}
		moves = append(moves, m)
		if i%7 == 3 {
			continue
		}
		if err := b.Put(t.Context(), m.From, store.Bytes([]byte(m.To))); err != nil {
			t.Fatal(err)
		}
	}
	gone, err := b.MoveAll(t.Context(), moves)
	if err != nil || !slices.Equal(gone, []store.Renaming{moves[3], moves[10], moves[17]}) {
		t.Errorf("gone: %v, %v", gone, err)
	}
	moved, err := b.List(t.Context(), "moved")
	left, wrong := b.List(t.Context(), "many")
	if err := errors.Join(err, wrong); err != nil || len(moved) != 17 || len(left) != 0 {
		t.Errorf("%d moved, %d left, %v", len(moved), len(left), err)
	}
	if got, err := store.ReadAll(t.Context(), b, "moved/19"); err != nil || string(got) != "moved/19" {
		t.Errorf("the last one holds %q, %v", got, err)
	}
}

// Of eight writers of one name one wins, and its bytes stay.
func oneWinner(t *testing.T, b *Bucket) {
	for round := range 10 {
		name := fmt.Sprintf("contested/%d", round)
		var won atomic.Int64
		var winner atomic.Value
		var wg sync.WaitGroup
		for k := range 8 {
			wg.Go(func() {
				text := strings.Repeat(fmt.Sprint(k), 1000)
				err := b.PutIfAbsent(context.Background(), name, store.Bytes([]byte(text)))
				if err == nil {
					won.Add(1)
					winner.Store(text)
				} else if !errors.Is(err, store.ErrExists) {
					t.Error(err)
				}
			})
		}
		wg.Wait()
		got, err := store.ReadAll(t.Context(), b, name)
		if err != nil || won.Load() != 1 || string(got) != winner.Load() {
			t.Fatalf("%s: %d winners, %v", name, won.Load(), err)
		}
	}
}

// What a writer gave up leaves no object.
func writerErrors(t *testing.T, b *Bucket) {
	broken := errors.New("broken")
	half := func(w io.Writer) error {
		_, err := w.Write([]byte("half"))
		return errors.Join(err, broken)
	}
	for _, put := range []func(context.Context, string, func(io.Writer) error) error{b.Put, b.PutIfAbsent} {
		if err := put(t.Context(), "half", half); !errors.Is(err, broken) {
			t.Errorf("the writer's error is %v", err)
		}
		if _, err := b.Stat(t.Context(), "half"); !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("half an object is there: %v", err)
		}
	}
}

func missingNames(t *testing.T, b *Bucket) {
	_, openErr := b.Open(t.Context(), "none")
	_, _, atErr := b.ReaderAt(t.Context(), "none")
	for what, err := range map[string]error{"open": openErr, "read at": atErr, "move": b.Move(t.Context(), "none", "x"), "remove": b.Remove(t.Context(), "none")} {
		if !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: %v", what, err)
		}
	}
	for _, name := range []string{"../x", "/x", "a//b", "", "."} {
		if err := b.Put(t.Context(), name, store.Bytes(nil)); !errors.Is(err, fs.ErrInvalid) {
			t.Errorf("%q: %v", name, err)
		}
	}
	if infos, err := b.List(t.Context(), "nowhere"); err != nil || len(infos) != 0 {
		t.Errorf("a folder that is not there: %v, %v", infos, err)
	}
}
