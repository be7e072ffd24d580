package tables

import (
	_ "embed"
	"fmt"
	"strconv"
	"strings"

	"rimelog/thermo/internal/helmholtz"
)

//go:embed fluids.txt
var fluids string

// Fluid is the equation of state of one pure fluid. Units: K, Pa, mol/m3,
// kg/mol, J/(mol K).
type Fluid struct {
	Name, CAS, Cite string
	R, M            float64 // the equation's own gas constant; molar mass
	TRed, RhoRed    float64 // reducing state, not always the critical one
	TCrit, PCrit    float64
	RhoCrit         float64
	TMin, TMax      float64 // range of the equation
	PMax            float64
	Acentric        float64
	RhoStart        float64 // saturated liquid at TMin, a starting value
	Pseudo          bool    // a blend treated as one fluid; a cross-check only
	Residual        *helmholtz.Residual
	Ideal           helmholtz.Ideal
}

// FluidNames lists every fluid of the table, in the table's order.
func FluidNames() []string {
	var names []string
	for block := range strings.SplitSeq(fluids, "\nfluid ") {
		if name, _, ok := strings.Cut(block, "\n"); ok && !strings.HasPrefix(name, "#") {
			names = append(names, name)
		}
	}
	return names
}

// ReadFluid parses the equation of the fluid called name, spelled as in
// FluidNames.
func ReadFluid(name string) (*Fluid, error) {
	_, block, ok := strings.Cut(fluids, "\nfluid "+name+"\n")
	if !ok {
		return nil, fmt.Errorf("no equation of state for %q", name)
	}
	block, _, _ = strings.Cut(block, "\nfluid ")
	f := &Fluid{Name: name}
	var p fluidParser
	for line := range strings.Lines(block) {
		if err := p.line(f, strings.TrimSpace(line)); err != nil {
			return nil, fmt.Errorf("fluid %s: %w", name, err)
		}
	}
	f.Residual = helmholtz.NewResidual(p.terms, p.points)
	return f, nil
}

type fluidParser struct {
	terms  []helmholtz.Term
	points []helmholtz.NonAnalytic
}

func (p *fluidParser) line(f *Fluid, line string) error {
	word, rest, _ := strings.Cut(line, " ")
	switch word {
	case "":
		return nil
	case "cas":
		f.CAS = rest
		return nil
	case "cite":
		f.Cite = rest
		return nil
	case "pseudo":
		f.Pseudo = true
		return nil
	}
	v, err := numbers(rest)
	if err != nil {
		return fmt.Errorf("%s: %w", word, err)
	}
	if want, ok := lineLength[word]; !ok || len(v) != want {
		return fmt.Errorf("line %q has %d numbers", word, len(v))
	}
	if !p.term(word, v) {
		f.set(word, v)
	}
	return nil
}

// lineLength is how many numbers follow each word of the table.
var lineLength = map[string]int{
	"gas": 2, "reducing": 2, "critical": 3, "range": 3, "acentric": 1, "start": 1,
	"lead": 2, "logtau": 1, "ipower": 2, "planck": 2,
	"power": 5, "gauss": 7, "lemmon": 5, "gaob": 8, "nonanalytic": 8, "gerg": 7,
}

// set stores a line that is not a residual term.
func (f *Fluid) set(word string, v []float64) {
	switch word {
	case "gas":
		f.R, f.M = v[0], v[1]
	case "reducing":
		f.TRed, f.RhoRed = v[0], v[1]
	case "critical":
		f.TCrit, f.PCrit, f.RhoCrit = v[0], v[1], v[2]
	case "range":
		f.TMin, f.TMax, f.PMax = v[0], v[1], v[2]
	case "acentric":
		f.Acentric = v[0]
	case "start":
		f.RhoStart = v[0]
	case "lead":
		f.Ideal.A1, f.Ideal.A2 = v[0], v[1]
	case "logtau":
		f.Ideal.LogTau = v[0]
	case "ipower":
		f.Ideal.Power = append(f.Ideal.Power, helmholtz.NT{N: v[0], T: v[1]})
	case "planck":
		f.Ideal.Planck = append(f.Ideal.Planck, helmholtz.NT{N: v[0], T: v[1]})
	}
}

// term appends a residual term and reports whether word names one.
func (p *fluidParser) term(word string, v []float64) bool {
	switch word {
	case "power":
		p.add(helmholtz.Term{Kind: helmholtz.Power, N: v[0], D: v[1], T: v[2], L: v[3], G: v[4]})
	case "lemmon":
		p.add(helmholtz.Term{Kind: helmholtz.Lemmon2005, N: v[0], D: v[1], T: v[2], L: v[3], G: 1, M: v[4]})
	case "gauss":
		p.add(helmholtz.Term{Kind: helmholtz.Gaussian, N: v[0], D: v[1], T: v[2], Eta: v[3], Eps: v[4], Beta: v[5], Gam: v[6]})
	case "gaob":
		p.add(helmholtz.Term{Kind: helmholtz.GaoB, N: v[0], D: v[1], T: v[2], Eta: v[3], Eps: v[4], Beta: v[5], Gam: v[6], B0: v[7]})
	case "gerg":
		p.add(helmholtz.Term{Kind: helmholtz.GERG, N: v[0], D: v[1], T: v[2], Eta: v[3], Eps: v[4], Beta: v[5], Gam: v[6]})
	case "nonanalytic":
		p.points = append(p.points, helmholtz.NonAnalytic{N: v[0], Alpha: v[1], B: v[2], Beta: v[3], CapA: v[4], CapB: v[5], CapC: v[6], CapD: v[7]})
	default:
		return false
	}
	return true
}

func (p *fluidParser) add(t helmholtz.Term) { p.terms = append(p.terms, t) }

func numbers(s string) ([]float64, error) {
	var v []float64
	for field := range strings.FieldsSeq(s) {
		x, err := strconv.ParseFloat(field, 64)
		if err != nil {
			return nil, err
		}
		v = append(v, x)
	}
	return v, nil
}
