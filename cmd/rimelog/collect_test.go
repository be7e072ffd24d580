package main

import (
	"runtime"
	"testing"
	"time"
)

// The limit must follow what lives for as long as the program runs, not only once.
func TestEveryCollectionIsFollowed(t *testing.T) {
	seen := make(chan int64, 1)
	afterCollection(func() {
		select {
		case seen <- alive():
		default:
		}
	})
	for i := range 3 {
		runtime.GC()
		select {
		case live := <-seen:
			if live <= 0 {
				t.Errorf("%d bytes live after collection %d", live, i)
			}
		case <-time.After(time.Minute):
			t.Fatalf("nobody followed collection %d", i)
		}
	}
}
