package robust

import "math"

// OrZero is x, and zero where x is not known (NaN): for sums in which what is not known
// adds nothing.
func OrZero(x float64) float64 {
	if math.IsNaN(x) {
		return 0
	}
	return x
}
