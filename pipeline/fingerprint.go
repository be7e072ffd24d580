package pipeline

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"slices"
	"strconv"
)

// A Fingerprint says what a result is made from: 64 hex digits.
type Fingerprint string

// Short is the first half of the fingerprint, for names.
func (f Fingerprint) Short() string { return string(f[:32]) }

// A Hasher collects what a result is made from.
type Hasher struct {
	h    hash.Hash
	room *[]byte // of one input
}

// NewHasher starts the fingerprint of a job of a step.
func NewHasher(s Step) Hasher {
	h := Hasher{sha256.New(), new([]byte)}
	h.Add("step", s.Name)
	h.Add("version", fmt.Sprint(s.Version))
	return h
}

// Add adds one named input: a value, or its pieces, which need not be joined. Names and values
// are framed by their lengths, so that no two lists of inputs give the same text.
func (h Hasher) Add(name string, value ...string) {
	length := 0
	for _, piece := range value {
		length += len(piece)
	}
	text := slices.Grow((*h.room)[:0], len(name)+length+16)
	text = append(append(strconv.AppendInt(text, int64(len(name)), 10), ':'), name...)
	text = append(strconv.AppendInt(append(text, '='), int64(length), 10), ':')
	for _, piece := range value {
		text = append(text, piece...)
	}
	text = append(text, '\n')
	h.h.Write(text)
	*h.room = text
}

// Sum returns the fingerprint of what was added.
func (h Hasher) Sum() Fingerprint {
	return Fingerprint(hex.EncodeToString(h.h.Sum(nil)))
}
