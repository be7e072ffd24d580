package robust

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// nile is the yearly flow of the Nile at Aswan, 1871-1970, in 1e8 m³. Source:
// Cobb, Biometrika 65 (1978) 243, as in base R (public domain).
var nile = []float64{
	1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140,
	1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969,
	831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759,
	781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
	744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
}

func within(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.12g, want %.12g ± %.2g", what, got, want, tol)
	}
}

func TestNile(t *testing.T) {
	mean, sd, n, err := Mean(nile)
	if err != nil || n != 100 {
		t.Fatalf("mean of %d values: %v", n, err)
	}
	within(t, "mean", mean, 919.35, 1e-9)      // R 4.2.2
	within(t, "SD", sd, 169.22750063065, 1e-9) // R 4.2.2

	mk, err := MannKendall(nile)
	if err != nil {
		t.Fatal(err)
	}
	// scipy 1.10.1 and R 4.2.2 agree on these.
	within(t, "S", mk.S, -1387, 0)
	within(t, "Var(S)", mk.Var, 112728.3333333, 1e-6)
	within(t, "Z", mk.Z, -4.128066522845, 1e-11)
	within(t, "p", mk.P, 3.658262922e-05, 1e-13)

	l, err := TheilSen(steps(100), nile, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	// scipy 1.10.1, theilslopes.
	within(t, "slope", l.Slope, -2.6, 1e-12)
	within(t, "lower end", l.Lo, -3.627906976744, 1e-11)
	within(t, "upper end", l.Hi, -1.428571428571, 1e-11)
	within(t, "intercept", l.Intercept, 1022.2, 1e-9)
}

func TestNileAutocorrelation(t *testing.T) {
	acf, err := Autocorrelation(nile, 3)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range []float64{1, 0.4984081841, 0.3845769039, 0.3278604375} { // R 4.2.2, acf
		within(t, "autocorrelation", acf[k], want, 1e-9)
	}
	// Independent programs from the formula of Hamed & Rao (1998): n/n* with all
	// lags, and with lags up to three only.
	for lags, want := range map[int]float64{0: 2.142898327, 3: 2.502577832} {
		got, err := Inflation(nile, lags)
		if err != nil {
			t.Fatal(err)
		}
		within(t, "n/n*", got, want, 1e-8)
	}
}

func TestSpread(t *testing.T) {
	x := []float64{3, math.NaN(), 1, 4, 1, 5, 9, 2, 6}
	m, err := Median(x)
	if err != nil || m != 3.5 {
		t.Errorf("median of 3 1 4 1 5 9 2 6: got %v, %v; want 3.5", m, err)
	}
	center, spread, err := MAD([]float64{1, 2, 3, 4, 100})
	if err != nil || center != 3 {
		t.Errorf("MAD's median: got %v, %v; want 3", center, err)
	}
	within(t, "MAD of 1 2 3 4 100", spread, 1.4826, 1e-4) // the median distance is 1
	q, err := Quantile([]float64{4, 1, 3, 2}, 0.5)
	if err != nil || q != 2 {
		t.Errorf("half quantile of 1 2 3 4: got %v, %v; want 2 (linear between ranks 0 and n)", q, err)
	}
}

// Qn and MAD must give the standard deviation of normal noise (Rousseeuw & Croux
// 1993: both are consistent), and keep it when a fifth of the values are wild.
func TestSpreadOfNormalNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{5, 8, 40} {
		var qn, mad float64
		const runs = 4000
		for range runs {
			x := noise(rng, n, 2)
			q, _ := Qn(x)
			_, m, _ := MAD(x)
			qn += q / runs
			mad += m / runs
		}
		within(t, "mean Qn of noise of 2", qn, 2, 0.06)
		if n == 40 {
			within(t, "mean MAD of noise of 2", mad, 2, 0.08)
		}
	}
	x := noise(rng, 50, 1)
	for i := range 10 {
		x[i] += 1000
	}
	if q, _ := Qn(x); q > 2.5 {
		t.Errorf("Qn with a fifth of the values wild: got %.2f, want about 1.5", q)
	}
}

func TestExactChanceOfKendall(t *testing.T) {
	for _, tc := range []struct {
		n, s int
		want float64 // one-sided, Kendall, Rank Correlation Methods (1975), appendix table 1, three digits
	}{
		{4, 6, 0.042}, {4, 4, 0.167}, {5, 8, 0.042}, {5, 10, 0.0083}, {8, 16, 0.031}, {9, 18, 0.038}, {10, 21, 0.036}, {10, 25, 0.014},
	} {
		within(t, "chance", exactP(tc.n, tc.s)/2, tc.want, 0.0006)
	}
}

func TestRankLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		n := 4 + rng.IntN(20)
		x, y := noise(rng, n, 1), noise(rng, n, 1)
		a, err := Kendall(x, y)
		if err != nil {
			t.Fatal(err)
		}
		turned := make([]float64, n)
		for i := range y {
			turned[i] = -math.Exp(y[i])
		}
		b, err := Kendall(x, turned)
		if err != nil || b.S != -a.S || b.P != a.P {
			t.Fatalf("a falling transform must turn the sign of S and nothing else: %+v, %+v, %v", a, b, err)
		}
	}
}

func TestTheilSenLaws(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 200 {
		n := 8 + rng.IntN(20)
		x, y := noise(rng, n, 3), noise(rng, n, 1)
		a, err := TheilSen(x, y, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		moved := make([]float64, n)
		for i := range y {
			moved[i] = 7 + 2*x[i] + y[i]
		}
		b, err := TheilSen(x, moved, 0.9)
		if err != nil {
			t.Fatal(err)
		}
		within(t, "slope after adding 7 + 2x", b.Slope, a.Slope+2, 1e-9)
		within(t, "lower end after adding 7 + 2x", b.Lo, a.Lo+2, 1e-9)
		if a.Lo > a.Slope || a.Hi < a.Slope {
			t.Fatalf("slope %v outside its interval %v..%v", a.Slope, a.Lo, a.Hi)
		}
	}
}

// The 95 % interval must cover the true slope in about 95 % of noise.
func TestTheilSenCoverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	inside := 0
	const runs = 1500
	for range runs {
		l, err := TheilSen(steps(20), noise(rng, 20, 1), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if l.Lo <= 0 && 0 <= l.Hi {
			inside++
		}
	}
	within(t, "coverage", float64(inside)/runs, 0.95, 0.02)
}

func TestPeriod(t *testing.T) {
	for _, want := range []float64{6, 8.5, 20} {
		x := make([]float64, 100)
		for i := range x {
			x[i] = 3 + 2*math.Sin(2*math.Pi*float64(i)/want)
		}
		got, strength := Period(x, len(x), 0.3)
		within(t, "period", got, want, 0.15)
		if strength < 0.7 {
			t.Errorf("period %v: strength %.2f, want above 0.7", want, strength)
		}
	}
	rng := rand.New(rand.NewPCG(9, 10))
	if p, s := Period(noise(rng, 200, 1), 200, 0.3); p != 0 {
		t.Errorf("noise has a period of %v (strength %.2f), want none", p, s)
	}
	if p, _ := Period([]float64{1, 1, 1, 1}, 4, 0.3); p != 0 {
		t.Errorf("a constant has a period of %v, want none", p)
	}
}

func TestEffectiveSize(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	x := make([]float64, 5000)
	for i := 1; i < len(x); i++ {
		x[i] = 0.6*x[i-1] + rng.NormFloat64()
	}
	within(t, "share of independent values at a correlation of 0.6", EffectiveSize(x)/5000, 0.25, 0.02) // (1-0.6)/(1+0.6)
	if got := EffectiveSize([]float64{1, 1, 1}); got != 3 {
		t.Errorf("a constant: got %v, want 3", got)
	}
}

func TestTroubleIsAnError(t *testing.T) {
	nan := math.NaN()
	var few *TooFewError
	if _, err := Median([]float64{nan}); !errors.As(err, &few) {
		t.Errorf("median of a gap: got %v, want TooFewError", err)
	}
	if _, err := TheilSen([]float64{1, 2, nan}, []float64{1, nan, 3}, 0.95); !errors.As(err, &few) || few.Have != 1 {
		t.Errorf("one whole row: got %v, want TooFewError with 1", err)
	}
	if _, err := TheilSen([]float64{1, 1, 1}, []float64{1, 2, 3}, 0.95); !errors.Is(err, ErrSingular) {
		t.Errorf("all at one time: got %v, want ErrSingular", err)
	}
	if _, err := MannKendall([]float64{1, 2, math.Inf(1), 4}); !errors.Is(err, ErrInfinite) {
		t.Errorf("an infinite value: got %v, want ErrInfinite", err)
	}
	if _, err := Autocorrelation([]float64{1, nan, 3}, 1); !errors.As(err, &few) {
		t.Errorf("a series with a gap: got %v, want TooFewError", err)
	}
}

func noise(rng *rand.Rand, n int, sd float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = sd * rng.NormFloat64()
	}
	return x
}

func TestStudent(t *testing.T) {
	// Student's table at 95 %, two-sided, as in any textbook.
	for df, want := range map[int]float64{1: 12.706, 2: 4.303, 10: 2.228, 30: 2.042} {
		within(t, "factor", Student(0.95, df), want, 6e-4)
	}
}
