package tables

import (
	"strings"
	"testing"
)

// TestFluids parses every equation and checks that its figures are of physical
// size; the count and the number of terms of a few are those of their papers.
func TestFluids(t *testing.T) {
	names := FluidNames()
	if len(names) != 60 {
		t.Errorf("%d equations, want 60", len(names))
	}
	for _, name := range names {
		f, err := ReadFluid(name)
		if err != nil {
			t.Fatal(err)
		}
		switch {
		case f.R < 8.3143 || f.R > 8.3146,
			f.M < 0.015 || f.M > 0.21,
			f.TMin < 70 || f.TMax > 2001 || f.TMin > f.TCrit || f.TMax < 0.99*f.TCrit,
			f.TRed/f.TCrit < 0.999 || f.TRed/f.TCrit > 1.001,
			f.RhoStart < 2*f.RhoCrit || f.RhoStart > 5*f.RhoCrit,
			f.CAS == "" || f.Cite == "":
			t.Errorf("%s: %+v", name, f)
		}
	}
	for name, terms := range map[string]int{
		"R134a":   21, // Tillner-Roth & Baehr 1994
		"R32":     19, // Tillner-Roth & Yokozeki 1997
		"R125":    18, // Lemmon & Jacobsen 2005
		"R1234yf": 17, // Lemmon & Akasaka 2022: 10 power, 7 Gaussian
		"R717":    20, // Gao et al. 2020: 8 power, 10 Gaussian, 2 of their own
		"R744":    39, // Span & Wagner 1996: 34 power, 5 Gaussian, and 3 non-analytic
	} {
		if f, err := ReadFluid(name); err != nil || f.Residual.Terms() != terms {
			t.Errorf("%s: %d separable terms, %v; want %d", name, f.Residual.Terms(), err, terms)
		}
	}
	if _, err := ReadFluid("R9999"); err == nil {
		t.Error("R9999 has an equation")
	}
}

// TestPairs parses every pair and departure function, and swaps back and forth.
func TestPairs(t *testing.T) {
	n := 0
	for line := range strings.Lines(pairs) {
		w := strings.Fields(line)
		if w[0] == "#" {
			continue
		}
		n++
		p, ok, err := ReadPair(w[0], w[1])
		if err != nil || !ok || p.A != w[0] || p.B != w[1] || p.Cite == "" {
			t.Fatalf("pair %s %s: %+v, %v, %v", w[0], w[1], p, ok, err)
		}
		q, ok, err := ReadPair(w[1], w[0])
		if err != nil || !ok || q.BetaT != 1/p.BetaT || q.GammaV != p.GammaV {
			t.Errorf("pair %s %s swapped: %+v, %v, %v", w[1], w[0], q, ok, err)
		}
		for _, v := range []float64{p.BetaT, p.GammaT, p.BetaV, p.GammaV} {
			if v < 0.4 || v > 2 {
				t.Errorf("pair %s %s: parameter %g", w[0], w[1], v)
			}
		}
		if p.F != 0 {
			if _, err := ReadDeparture(p.Departure); err != nil {
				t.Error(err)
			}
		}
	}
	if n != 315 {
		t.Errorf("%d pairs, want 315", n)
	}
	if _, ok, err := ReadPair("R22", "R124"); ok || err != nil {
		t.Errorf("R22 + R124 has parameters (%v)", err)
	}
}

// BenchmarkReadFluid is what the first use of a fluid costs in parsing.
func BenchmarkReadFluid(b *testing.B) {
	for b.Loop() {
		if _, err := ReadFluid("R1336mzz(Z)"); err != nil {
			b.Fatal(err)
		}
	}
}
