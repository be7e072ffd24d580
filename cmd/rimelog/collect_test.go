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

// By hand: the heap grows to early bytes, and fivefold where that is more.
func TestThePaceOfTheCollector(t *testing.T) {
	for alive, percent := range map[int64]int{0: 8000, 4 << 20: 7900, 40 << 20: 700, 100 << 20: collectAt} {
		if got := (pace{early, roomier}).percent(alive); got != percent {
			t.Errorf("with %d bytes alive the heap grows by %d %%, want %d", alive, got, percent)
		}
	}
	if got := paceOf([]string{"analyse"}).percent(1 << 20); got != collectAt {
		t.Errorf("a shard's heap grows by %d %%", got)
	}
}
