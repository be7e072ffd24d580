//go:build long

package bucket

import (
	"bytes"
	"errors"
	"testing"

	"rimelog/pipeline/store"
	"rimelog/pipeline/store/bucket/s3test"
)

func TestS3KeepsTheContract(t *testing.T) {
	b, err := Open(t.Context(), s3test.Start(t, "../../../.cache/bin/versitygw"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { b.Close() })
	contract(t, b)
	t.Run("large objects", func(t *testing.T) { largeObjects(t, b) })
}

// An object that is sent in parts is refused like a small one where the name is taken.
func largeObjects(t *testing.T, b *Bucket) {
	first, second := bytes.Repeat([]byte("1"), 17<<20), bytes.Repeat([]byte("2"), 17<<20)
	if err := b.PutIfAbsent(t.Context(), "large", store.Bytes(first)); err != nil {
		t.Fatal(err)
	}
	if err := b.PutIfAbsent(t.Context(), "large", store.Bytes(second)); !errors.Is(err, store.ErrExists) {
		t.Errorf("a large object on a taken name: %v", err)
	}
	got, err := store.ReadAll(t.Context(), b, "large")
	if err != nil || !bytes.Equal(got, first) {
		t.Errorf("the first did not stay: %d bytes, %v", len(got), err)
	}
}

func TestNoBucketIsSaidAtOnce(t *testing.T) {
	url := s3test.Start(t, "../../../.cache/bin/versitygw")
	if _, err := Open(t.Context(), "s3://nowhere"+url[len("s3://rime"):]); err == nil {
		t.Error("a bucket that is not there was opened")
	}
}
