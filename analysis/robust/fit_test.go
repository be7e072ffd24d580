package robust

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// Norris: calibration of an ozone monitor. Source: NIST Statistical Reference
// Datasets (public domain), linear regression, Norris.dat, with certified values.
var norrisY = []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3,
	0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3,
	0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
var norrisX = []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4,
	0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3,
	0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5}

// Longley: a nearly collinear regression. Source: as Norris, Longley.dat.
var longley = [][]float64{
	{60323, 61122, 60171, 61187, 63221, 63639, 64989, 63761, 66019, 67857, 68169, 66513, 68655, 69564, 69331, 70551},
	{83.0, 88.5, 88.2, 89.5, 96.2, 98.1, 99.0, 100.0, 101.2, 104.6, 108.4, 110.8, 112.6, 114.2, 115.7, 116.9},
	{234289, 259426, 258054, 284599, 328975, 346999, 365385, 363112, 397469, 419180, 442769, 444546, 482704, 502601, 518173, 554894},
	{2356, 2325, 3682, 3351, 2099, 1932, 1870, 3578, 2904, 2822, 2936, 4681, 3813, 3931, 4806, 4007},
	{1590, 1456, 1616, 1650, 3099, 3594, 3547, 3350, 3048, 2857, 2798, 2637, 2552, 2514, 2572, 2827},
	{107608, 108632, 109773, 110929, 112075, 113270, 115094, 116219, 117388, 118734, 120445, 121950, 123366, 125368, 127852, 130081},
	{1947, 1948, 1949, 1950, 1951, 1952, 1953, 1954, 1955, 1956, 1957, 1958, 1959, 1960, 1961, 1962},
}

// stackloss: oxidation of ammonia, 21 days; loss against air flow, water
// temperature and acid. Source: Brownlee (1965), as in base R (public domain).
var stackloss = [][]float64{
	{42, 37, 37, 28, 18, 18, 19, 20, 15, 14, 14, 13, 11, 12, 8, 7, 8, 8, 9, 15, 15},
	{80, 80, 75, 62, 62, 62, 62, 62, 58, 58, 58, 58, 58, 58, 50, 50, 50, 50, 50, 56, 70},
	{27, 27, 25, 24, 22, 23, 24, 24, 23, 18, 18, 17, 18, 19, 18, 18, 19, 19, 20, 20, 20},
	{89, 88, 90, 87, 87, 87, 93, 93, 87, 80, 89, 88, 82, 93, 89, 86, 72, 79, 80, 82, 91},
}

func ones(n int) []float64 {
	c := make([]float64, n)
	for i := range c {
		c[i] = 1
	}
	return c
}

func TestLeastSquaresAgainstCertifiedValues(t *testing.T) {
	for _, tc := range []struct {
		name     string
		y        []float64
		x        [][]float64
		want, sd []float64 // NIST StRD, certified
		scale    float64
		tol      float64 // a solver of normal equations fails Longley's
	}{
		{"Norris", norrisY, [][]float64{norrisX},
			[]float64{-0.262323073774029, 1.00211681802045}, []float64{0.232818234301152, 0.000429796848199937}, 0.884796396144373, 1e-11},
		{"Longley", longley[0], longley[1:],
			[]float64{-3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683, -1.03322686717359, -0.0511041056535807, 1829.15146461355},
			nil, 304.854073561965, 1e-9},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f, err := LeastSquares(tc.y, append([][]float64{ones(len(tc.y))}, tc.x...)...)
			if err != nil {
				t.Fatal(err)
			}
			for k, want := range tc.want {
				within(t, "coefficient", f.Coefficients[k], want, tc.tol*math.Abs(want))
			}
			for k, want := range tc.sd {
				within(t, "standard deviation", f.SD[k], want, 1e-9*want)
			}
			within(t, "residual standard deviation", f.Scale, tc.scale, tc.tol*tc.scale)
		})
	}
}

func TestHuberAgainstStackloss(t *testing.T) {
	f, err := Huber(stackloss[0], ones(21), stackloss[1], stackloss[2], stackloss[3])
	if err != nil {
		t.Fatal(err)
	}
	// The documentation of R's MASS (rlm) and of statsmodels (RLM) prints these
	// coefficients for this fit; from memory, four digits.
	for k, want := range []float64{-41.0265, 0.8294, 0.9261, -0.1278} {
		within(t, "coefficient", f.Coefficients[k], want, 2e-4)
	}
	within(t, "scale", f.Scale, 2.441, 2e-3)
}

func TestFitsRefuseWhatTheyCannotTellApart(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5}
	double := []float64{2, 4, 6, 8, 10}
	if _, err := LeastSquares([]float64{1, 2, 1, 2, 1}, x, double); !errors.Is(err, ErrSingular) {
		t.Errorf("two proportional columns: got error %v, want ErrSingular", err)
	}
	var few *TooFewError
	if _, err := Huber([]float64{1, math.NaN()}, []float64{1, 2}); !errors.As(err, &few) || few.Have != 1 {
		t.Errorf("one row for one column: got error %v, want TooFewError with 1", err)
	}
}

// The closed form is the fit of a column and a constant; gaps are left out.
func TestStraightIsTheFitOfTwoColumns(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 7))
	for range 100 {
		n := 3 + rng.IntN(20)
		at, y, one := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range at {
			at[i], y[i], one[i] = 60*float64(i), 40+rng.NormFloat64(), 1
		}
		if n > 3 {
			y[rng.IntN(n)] = math.NaN()
		}
		f, err := LeastSquares(y, one, at)
		level, slope, err2 := Straight(at, y)
		if err != nil || err2 != nil || math.Abs(level-f.Coefficients[0]) > 1e-9 || math.Abs(slope-f.Coefficients[1]) > 1e-12 {
			t.Fatalf("%d points: %v + %v t, %v; want %v, %v", n, level, slope, err2, f.Coefficients, err)
		}
	}
	if _, _, err := Straight([]float64{1, 1, 1}, []float64{1, 2, 3}); !errors.Is(err, ErrSingular) {
		t.Errorf("three points at one time: %v, want ErrSingular", err)
	}
}
