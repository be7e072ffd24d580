package robust

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Shift is how far the last values of a series lie from those before.
type Shift struct {
	Size          float64 // median of the last less median of the earlier values
	Lo, Hi        float64 // interval at the confidence asked for
	P             float64 // chance of so large a size in noise
	Last, Earlier int     // how many values each
}

// medianVariance is the variance of the median of 3, 4, 5 and 6 standard normal
// values. Source: Harter, Order Statistics and their Use in Testing and
// Estimation (1970), vol. 2; from memory, checked by the package's tests.
var medianVariance = map[int]float64{3: 0.4487, 4: 0.2982, 5: 0.2868, 6: 0.2147}

// LastShift compares the median of the last values (3 to 6 of them) of a series
// with that of the earlier ones, whose scatter (Qn) is the measure of noise. One
// wild value on either side moves it little. It sees a change that began late in
// a long quiet record sooner than a line through all of it does. It needs at
// least twice as many earlier values as last ones.
func LastShift(y []float64, last int, confidence float64) (Shift, error) {
	variance, known := medianVariance[last]
	if !known {
		panic("robust: LastShift compares 3 to 6 values")
	}
	c, err := rows("a shift of the last values", 3*last, y)
	if err != nil {
		return Shift{}, err
	}
	cut := len(c[0]) - last
	before, after := c[0][:cut], c[0][cut:]
	noise, err := Qn(before)
	if err != nil {
		return Shift{}, err
	}
	a, _ := Median(after)
	b, _ := Median(before)
	s := Shift{Size: a - b, Last: last, Earlier: cut}
	se := noise * math.Sqrt(variance+math.Pi/2/float64(cut))
	half := Student(confidence, cut-1) * se
	s.Lo, s.Hi = s.Size-half, s.Size+half
	s.P = studentChance(math.Abs(s.Size)/se, cut-1)
	return s, nil
}

// studentChance is the chance of a Student value beyond ±t; 0/0 is no evidence.
func studentChance(t float64, df int) float64 {
	if math.IsNaN(t) {
		return 1
	}
	return 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}.CDF(-t)
}
