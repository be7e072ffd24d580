package main

import (
	"context"
	"io"
	"sync"

	"rimelog/pipeline/store"
)

// An openedStore tells what is opened of a store, one name at a time.
type openedStore struct {
	store.Store
	mu     sync.Mutex
	opened func(name string)
}

func (o *openedStore) tell(name string) {
	o.mu.Lock()
	defer o.mu.Unlock()
	o.opened(name)
}

func (o *openedStore) Open(ctx context.Context, name string) (io.ReadCloser, error) {
	o.tell(name)
	return o.Store.Open(ctx, name)
}

func (o *openedStore) ReaderAt(ctx context.Context, name string) (store.ReaderAtCloser, int64, error) {
	o.tell(name)
	return o.Store.ReaderAt(ctx, name)
}
