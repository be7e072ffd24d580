package raw

import (
	"bytes"
	"compress/gzip"
	"errors"
	"io"
	"math/rand/v2"
	"testing"

	"rimelog/ingest/limits"
)

// A file that unpacks to more than is kept in memory reads at any place as the file
// itself does.
func TestALongArchiveIsUnpackedAsItIsRead(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	text := make([]byte, mostInflated+mostInflated/2)
	for i := range text {
		text[i] = "0123456789;,\n"[rng.IntN(13)]
	}
	var packed bytes.Buffer
	w := gzip.NewWriter(&packed)
	if _, err := w.Write(text); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	src, err := Unpack(Source{ReaderAt: bytes.NewReader(packed.Bytes()), Size: int64(packed.Len())}, limits.Options{})
	if err != nil || src.Size != int64(len(text)) {
		t.Fatalf("%d bytes of %d: %v", src.Size, len(text), err)
	}
	if _, kept := src.ReaderAt.(*bytes.Reader); kept {
		t.Error("all of it is kept in memory")
	}
	for _, off := range []int{0, 70, mostInflated, mostInflated + 5, 12, len(text) - 20, len(text) - 5} {
		b := make([]byte, 20)
		n, err := src.ReadAt(b, int64(off))
		if want := text[off:min(off+20, len(text))]; !bytes.Equal(b[:n], want) || err != nil && !errors.Is(err, io.EOF) {
			t.Errorf("at %d: %q %v, want %q", off, b[:n], err, want)
		}
	}
}
