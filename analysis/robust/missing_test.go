package robust

import (
	"math"
	"testing"
)

func TestOrZero(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{{math.NaN(), 0}, {-1.5, -1.5}, {0, 0}, {math.Inf(1), math.Inf(1)}} {
		if got := OrZero(c.x); got != c.want {
			t.Errorf("OrZero(%v) is %v, want %v", c.x, got, c.want)
		}
	}
}
