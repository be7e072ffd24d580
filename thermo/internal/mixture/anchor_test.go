package mixture

import (
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// anchorBlock holds the regression states of one fluid.
type anchorBlock struct {
	name       string
	anchor     []float64   // T p rho h s
	saturation [][]float64 // T p rhoL rhoV
}

// readAnchors reads tables/testdata/anchors.txt: states of every equation as
// published with CoolProp's fluid files (snapshot ea27c639, 2026-07); the
// saturation states there were computed in extended precision.
func readAnchors(t *testing.T) []anchorBlock {
	t.Helper()
	text, err := os.ReadFile("../tables/testdata/anchors.txt")
	if err != nil {
		t.Fatal(err)
	}
	var blocks []anchorBlock
	for line := range strings.Lines(string(text)) {
		w := strings.Fields(line)
		if w[0] == "#" {
			continue
		}
		if w[0] == "fluid" {
			blocks = append(blocks, anchorBlock{name: w[1]})
			continue
		}
		var v []float64
		for _, s := range w[1:] {
			x, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, x)
		}
		b := &blocks[len(blocks)-1]
		if w[0] == "anchor" {
			b.anchor = v
		} else {
			b.saturation = append(b.saturation, v)
		}
	}
	return blocks
}

func pure(t *testing.T, name string) *Phase {
	t.Helper()
	m, err := New(name)
	if err != nil {
		t.Fatal(err)
	}
	return NewPhase(m)
}

// TestAnchors checks pressure, enthalpy and entropy of every equation at its
// anchor state.
func TestAnchors(t *testing.T) {
	for _, b := range readAnchors(t) {
		if b.anchor == nil {
			t.Errorf("%s has no anchor", b.name)
			continue
		}
		ph := pure(t, b.name)
		temp, p, rho, h, s := b.anchor[0], b.anchor[1], b.anchor[2], b.anchor[3], b.anchor[4]
		ph.At([]float64{1}, temp)
		ph.Density(rho)
		q := ph.Caloric()
		// The anchor of R1234yf was made with rounded coefficients of the datum.
		tol := 1e-11
		if b.name == "R1234yf" {
			tol = 1e-7
		}
		rt := ph.R * temp
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"p/(rho R T)", ph.P() / (rho * rt), p / (rho * rt)},
			{"h/(R T)", q.H / rt, h / rt},
			{"s/R", q.S / ph.R, s / ph.R},
		} {
			if math.Abs(c.got-c.want) > tol*math.Max(1, math.Abs(c.want)) {
				t.Errorf("%s: %s = %.15g, want %.15g within %g", b.name, c.what, c.got, c.want, tol)
			}
		}
	}
}

// TestPressurePaths checks that the short density iteration and the full
// evaluation give the same pressure and slope.
func TestPressurePaths(t *testing.T) {
	for _, b := range readAnchors(t) {
		ph := pure(t, b.name)
		rho := b.anchor[2]
		ph.At([]float64{1}, b.anchor[0])
		p, slope := ph.Pressure(rho)
		ph.Density(rho)
		wantSlope := rho * ph.R * ph.T * (1 + ph.Alpha.D + ph.Alpha.DD)
		if math.Abs(p/ph.P()-1) > 1e-13 || math.Abs(slope/wantSlope-1) > 1e-12 {
			t.Errorf("%s: short path p %.17g slope %.17g, full %.17g %.17g", b.name, p, slope, ph.P(), wantSlope)
		}
	}
}
