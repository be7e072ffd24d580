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

// BenchmarkDewTs is one fast saturation temperature by the column call.
func BenchmarkDewTs(b *testing.B) {
	for _, name := range []string{"R134a", "R410A", "R448A", "R454B"} {
		b.Run("refrigerant="+name, func(b *testing.B) {
			f, p := mustFast(b, name), column4k()
			dst := make([]float64, len(p))
			b.ReportAllocs()
			for b.Loop() {
				f.DewTs(dst, p)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(p)), "ns/row")
		})
	}
}

// BenchmarkEnthalpies is one fast enthalpy of superheated gas.
func BenchmarkEnthalpies(b *testing.B) {
	f, p := mustFast(b, "R448A"), column4k()
	dst, t := make([]float64, len(p)), make([]float64, len(p))
	f.DewTs(t, p)
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
	for _, name := range []string{"R134a", "R454B", "R448A"} {
		r := mustLookup(b, name)
		for what, call := range map[string]func() error{
			"bubble": func() error { _, err := r.BubbleT(8e5); return err },
			"dew":    func() error { _, err := r.DewT(8e5); return err },
			"state":  func() error { _, err := r.At(8e5, 320); return err },
		} {
			b.Run(fmt.Sprintf("refrigerant=%s/call=%s", name, what), func(b *testing.B) {
				for b.Loop() {
					if err := call(); err != nil {
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
