package thermo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// column4k makes random pressures of the field, 100 kPa to 2.5 MPa.
func column4k() []float64 {
	rng := rand.New(rand.NewPCG(11, 12))
	p := make([]float64, 4096)
	for i := range p {
		p[i] = 1e5 * math.Exp(rng.Float64()*math.Log(25))
	}
	return p
}

// benchmarked are the refrigerants of the speed comparison.
var benchmarked = []string{"R134a", "R290", "R744", "R410A", "R454B", "R448A"}

// BenchmarkDewTemperatures is one fast dew temperature by the column call.
func BenchmarkDewTemperatures(b *testing.B) {
	benchmarkColumn(b, func(f *Fast) func(dst, p []float64) []RowError { return f.DewTemperatures })
}

// BenchmarkBubbleTemperatures is one fast bubble temperature by the column call.
func BenchmarkBubbleTemperatures(b *testing.B) {
	benchmarkColumn(b, func(f *Fast) func(dst, p []float64) []RowError { return f.BubbleTemperatures })
}

func benchmarkColumn(b *testing.B, call func(*Fast) func(dst, p []float64) []RowError) {
	for _, name := range benchmarked {
		b.Run("refrigerant="+name, func(b *testing.B) {
			p := column4k()
			if name == "R744" {
				for i := range p {
					p[i] = 6e5 + p[i]*2
				}
			}
			dst := make([]float64, len(p))
			column := call(mustFast(b, name))
			b.ReportAllocs()
			for b.Loop() {
				column(dst, p)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(p)), "ns/row")
		})
	}
}

// BenchmarkEnthalpies is one fast enthalpy of superheated gas.
func BenchmarkEnthalpies(b *testing.B) {
	f, p := mustFast(b, "R448A"), column4k()
	dst, t := make([]float64, len(p)), make([]float64, len(p))
	f.DewTemperatures(t, p)
	for i := range t {
		t[i] += 5 + float64(i%40)
	}
	for b.Loop() {
		f.Enthalpies(dst, p, t)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(p)), "ns/row")
}

// BenchmarkEquations is one saturation or state from the equations.
func BenchmarkEquations(b *testing.B) {
	for _, name := range benchmarked {
		r := mustLookup(b, name)
		for _, c := range []struct {
			what string
			call func() error
		}{
			{"bubble", func() error { _, err := r.BubbleT(8e5); return err }},
			{"dew", func() error { _, err := r.DewT(8e5); return err }},
			{"state", func() error { _, err := r.At(8e5, 320); return err }},
		} {
			b.Run(fmt.Sprintf("refrigerant=%s/call=%s", name, c.what), func(b *testing.B) {
				for b.Loop() {
					if err := c.call(); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkBuild is the building of a refrigerant's curves and patches.
func BenchmarkBuild(b *testing.B) {
	for _, name := range []string{"R134a", "R454B", "R448A", "R470B"} {
		b.Run("refrigerant="+name, func(b *testing.B) {
			for b.Loop() {
				c := newCore(registry().byName[name])
				if _, err := c.tables(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
