package main

import (
	"bytes"
	"cmp"
	"fmt"
	"math"
	"strconv"
)

type pair struct {
	Bibtex, CAS1, CAS2, Function string
	F                            float64
	BetaT, BetaV, GammaT, GammaV float64
	Xi, Zeta                     *float64
}

func writePairs(in *source) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("# Binary interaction parameters, written by gentable: A B betaT gammaT betaV gammaV F departure source\n")
	for _, p := range in.pairs {
		a, b1 := in.byCAS[p.CAS1], in.byCAS[p.CAS2]
		if a == "" || b1 == "" {
			continue
		}
		cite, ok := citations[p.Bibtex]
		if !ok {
			return nil, fmt.Errorf("no citation for %s", p.Bibtex)
		}
		if p.Xi != nil {
			p.fromXiZeta(in.fluids[a], in.fluids[b1])
		}
		if p.Function == "" {
			p.F = 0
		}
		fmt.Fprintf(&b, "%s %s", a, b1)
		for _, x := range []float64{p.BetaT, p.GammaT, p.BetaV, p.GammaV, p.F} {
			b.WriteString(" " + strconv.FormatFloat(x, 'g', -1, 64))
		}
		fmt.Fprintf(&b, " %s %s\n", cmp.Or(p.Function, "-"), cite)
	}
	return b.Bytes(), nil
}

// fromXiZeta turns the parameters of Lemmon & Jacobsen (J. Phys. Chem. Ref.
// Data 33:593, 2004), xi in K and zeta in m3/mol, into the common form.
func (p *pair) fromXiZeta(a, b fluid) {
	ra, rb := a.EOS.States["reducing"], b.EOS.States["reducing"]
	va, vb := 1/ra.Rho, 1/rb.Rho
	p.BetaT, p.BetaV = 1, 1
	p.GammaT = (ra.T + rb.T + *p.Xi) / (2 * math.Sqrt(ra.T*rb.T))
	p.GammaV = (va + vb + *p.Zeta) / (math.Pow(math.Cbrt(va)+math.Cbrt(vb), 3) / 4)
}

type departure struct {
	Name, Type, Bibtex        string
	NPower                    int
	N, D, T, L                []float64
	Eta, Epsilon, Beta, Gamma []float64
}

func writeDepartures(in *source) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("# Departure functions of binary mixtures, written by gentable: power n d t l g; gerg n d t eta eps beta gamma\n")
	for _, d := range in.departures {
		cite, ok := citations[d.Bibtex]
		if !ok {
			return nil, fmt.Errorf("no citation for %s", d.Bibtex)
		}
		fmt.Fprintf(&b, "departure %s\ncite %s\n", d.Name, cite)
		for i := range d.N {
			switch {
			case d.Type == "Exponential":
				line(&b, "power", d.N[i], d.D[i], d.T[i], d.L[i], 1)
			case d.Type == "GERG-2008" && i < d.NPower:
				line(&b, "power", d.N[i], d.D[i], d.T[i], 0, 1)
			case d.Type == "GERG-2008":
				line(&b, "gerg", d.N[i], d.D[i], d.T[i], d.Eta[i], d.Epsilon[i], d.Beta[i], d.Gamma[i])
			default:
				return nil, fmt.Errorf("departure form %s is unknown", d.Type)
			}
		}
	}
	return b.Bytes(), nil
}

// writeAnchors writes the collection's own regression states: one
// single-phase state per fluid and up to three saturation states that were
// computed in extended precision.
func writeAnchors(in *source) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("# Regression states of each equation, written by gentable from CoolProp's fluid files (snapshot ea27c639, 2026-07).\n" +
		"# anchor T p rho h s (molar, datum as stored); saturation T p rhoL rhoV (extended precision)\n")
	for _, name := range in.order {
		e := in.fluids[name].EOS
		fmt.Fprintf(&b, "fluid %s\n", name)
		if a, ok := e.States["hs_anchor"]; ok {
			line(&b, "anchor", a.T, a.P, a.Rho, a.H, a.S)
		}
		for _, c := range e.Points {
			line(&b, "saturation", c["T / K"], c["p(mp) / Pa"], c["rho'(mp) / mol/m^3"], c["rho''(mp) / mol/m^3"])
		}
	}
	return b.Bytes(), nil
}
