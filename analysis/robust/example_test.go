package robust_test

import (
	"errors"
	"fmt"
	"math"

	"rimelog/analysis/robust"
)

// Subcooling at eight visits, one of them with a probe in the wrong place: the line and
// the test of it hardly notice.
func ExampleTheilSen() {
	months := []float64{0, 2, 4, 6, 8, 10, 12, 14}
	subcooling := []float64{6.1, 5.8, 5.6, 0.4, 5.0, 4.7, 4.5, 4.1}
	line, err := robust.TheilSen(months, subcooling, 0.95)
	if err != nil {
		fmt.Println(err)
		return
	}
	test, err := robust.MannKendall(subcooling)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f K per month (%.2f to %.2f) from %d visits, p = %.3f\n", line.Slope, line.Lo, line.Hi, line.N, test.P)
	// Output: -0.14 K per month (-0.15 to -0.10) from 8 visits, p = 0.014
}

// Half of the values may be wild before Qn is.
func ExampleQn() {
	x := []float64{10.1, 9.9, 10.0, 10.2, 9.8, 10.1, 250, -40}
	sd, err := robust.Qn(x)
	if err != nil {
		fmt.Println(err)
		return
	}
	_, usual, _, _ := robust.Mean(x)
	fmt.Printf("Qn %.2f, standard deviation %.0f\n", sd, usual)
	// Output: Qn 0.30, standard deviation 89
}

// Gaps are dropped and counted; too few values are an error that says how many it takes.
func ExampleTooFewError() {
	_, err := robust.TheilSen([]float64{1, 2, 3}, []float64{5, math.NaN(), math.NaN()}, 0.95)
	var few *robust.TooFewError
	fmt.Println(errors.As(err, &few), err)
	// Output: true a Theil-Sen line needs 2 values, has 1
}
