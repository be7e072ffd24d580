package mixture

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestPairCheckValues reproduces published values of alphaR of binary mixtures
// at x1 = 0.4, in both component orders (an equimolar check could not see a
// swapped beta).
func TestPairCheckValues(t *testing.T) {
	for _, c := range []struct {
		a, b      string
		temp, rho float64 // K, mol/m3
		want      float64
		source    string
	}{
		{"R32", "R1234yf", 445, 4149, -0.47311064743911, "Bell 2023, table XIII"},
		{"R32", "R1234ze(E)", 451, 4242, -0.48576186760231, "Bell 2023, table XIII"},
		{"R125", "R1234yf", 445, 3513, -0.46576307479447, "Bell 2023, table XIII"},
		{"R1234yf", "R152a", 469, 3930, -0.48967548916638, "Bell 2023, table XIII"},
		{"R1234ze(E)", "R227ea", 470, 3023, -0.45378834770736, "Bell 2023, table XIII"},
		{"R134a", "R1234ze(E)", 472, 3639, -0.46245130334193, "Bell 2022, table XI"},
		{"R1234yf", "R134a", 462, 3698, -0.46550859405816, "CoolProp's test file: Bell 2022 parameters with the 2022 equation of R1234yf"},
		{"R1234yf", "R1234ze(E)", 469, 3399, -0.46467899824258, "CoolProp's test file: as above"},
		{"R1132(E)", "R32", 441, 6016, -0.5172864096181671, "CoolProp's test file: NIST IR 8570 parameters"},
		{"R1132(E)", "R1234yf", 449, 3953, -0.4749927188694013, "CoolProp's test file: NIST IR 8570 parameters"},
		{"R1336mzz(Z)", "R1130(E)", 584, 3146, -0.4936442709738808, "CoolProp's test file: NIST IR 8570 parameters"},
	} {
		forth := alphaR(t, c.a, c.b, 0.4, c.temp, c.rho)
		back := alphaR(t, c.b, c.a, 0.6, c.temp, c.rho)
		for _, got := range []float64{forth, back} {
			if math.Abs(got/c.want-1) > 5e-14 {
				t.Errorf("%s + %s: alphaR = %.16g, want %.16g (%s)", c.a, c.b, got, c.want, c.source)
			}
		}
	}
}

func alphaR(t *testing.T, a, b string, x, temp, rho float64) float64 {
	t.Helper()
	m, err := New(a, b)
	if err != nil {
		t.Fatal(err)
	}
	ph := NewPhase(m)
	ph.At([]float64{x, 1 - x}, temp)
	ph.Density(rho)
	return ph.Alpha.A
}

// TestFugacityDerivatives checks the analytic fugacities and their matrix
// against finite differences of rho*alphaR in the concentrations, for mixtures
// with every kind of departure function.
func TestFugacityDerivatives(t *testing.T) {
	rng := rand.New(rand.NewPCG(13, 14))
	for _, names := range [][]string{
		{"R32", "R125", "R1234yf", "R134a", "R1234ze(E)"}, // exponential departures
		{"R50", "R744", "R290", "R600a"},                  // GERG-2008 departures
		{"R717", "R718"},                                  // GaoB and non-analytic terms, estimated pair
		{"R22", "R124"},
	} {
		m, err := New(names...)
		if err != nil {
			t.Fatal(err)
		}
		n := len(names)
		for range 5 {
			c := make([]float64, n)
			for i := range c {
				c[i] = 200 + 3000*rng.Float64()
			}
			checkDerivatives(t, m, c, 300+100*rng.Float64())
		}
	}
}

// logFugacity evaluates ln f_i at concentrations c, all R taken as those of x.
func logFugacity(m *Model, c []float64, temp float64) ([]float64, *Phase) {
	var rho float64
	for _, v := range c {
		rho += v
	}
	x := make([]float64, len(c))
	for i, v := range c {
		x[i] = v / rho
	}
	ph := NewPhase(m)
	ph.At(x, temp)
	ph.Full(rho)
	out := append([]float64(nil), ph.LnFugacity...)
	for i := range out {
		out[i] -= math.Log(ph.R) // its change with composition is left out by convention
	}
	return out, ph
}

func checkDerivatives(t *testing.T, m *Model, c []float64, temp float64) {
	t.Helper()
	const h = 1e-5
	n := len(c)
	base, ph := logFugacity(m, c, temp)
	phi := func(c []float64) float64 { // rho*alphaR
		_, p := logFugacity(m, c, temp)
		return p.Rho * p.Alpha.A
	}
	for j := range n {
		up, down := append([]float64(nil), c...), append([]float64(nil), c...)
		up[j] *= math.Exp(h)
		down[j] *= math.Exp(-h)
		a, _ := logFugacity(m, up, temp)
		b, _ := logFugacity(m, down, temp)
		for i := range n {
			got, want := ph.Hess[i*n+j], (a[i]-b[i])/(2*h)
			if math.Abs(got-want) > 1e-7*(1+math.Abs(want)) {
				t.Errorf("%d components: d ln f%d / d ln c%d = %.10g, finite difference %.10g", n, i, j, got, want)
			}
		}
		want := (phi(up)-phi(down))/(2*h*c[j]) + math.Log(c[j]*temp)
		if math.Abs(base[j]-want) > 1e-7*(1+math.Abs(want)) {
			t.Errorf("%d components: ln f%d = %.10g, finite difference %.10g", n, j, base[j], want)
		}
	}
	a, _ := logFugacity(m, c, temp*math.Exp(h))
	b, _ := logFugacity(m, c, temp*math.Exp(-h))
	for i := range n {
		if want := (a[i] - b[i]) / (2 * h); math.Abs(ph.DlnT[i]-want) > 1e-7*(1+math.Abs(want)) {
			t.Errorf("%d components: d ln f%d / d ln T = %.10g, finite difference %.10g", n, i, ph.DlnT[i], want)
		}
	}
}

// TestEstimated: a pair without parameters is named.
func TestEstimated(t *testing.T) {
	m, err := New("R22", "R152a", "R124")
	if err != nil {
		t.Fatal(err)
	}
	got := m.Estimated()
	if len(got) != 2 || got[0] != "R22+R124" || got[1] != "R152a+R124" {
		t.Errorf("estimated pairs of R401A's components: %v; want R22+R124 and R152a+R124", got)
	}
}
