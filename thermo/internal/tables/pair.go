package tables

import (
	_ "embed"
	"fmt"
	"strings"

	"rimelog/thermo/internal/helmholtz"
)

//go:embed pairs.txt
var pairs string

//go:embed departures.txt
var departures string

// Pair holds the binary interaction parameters of the ordered pair (A, B):
// seen from the other side BetaT and BetaV become their reciprocals.
type Pair struct {
	A, B                         string
	Cite                         string
	BetaT, GammaT, BetaV, GammaV float64
	F                            float64 // factor of the departure function, 0 for none
	Departure                    string
}

// Swap returns the same parameters seen from the other side.
func (p Pair) Swap() Pair {
	p.A, p.B = p.B, p.A
	p.BetaT, p.BetaV = 1/p.BetaT, 1/p.BetaV
	return p
}

// ReadPair finds the parameters of a and b, in that order whichever way they
// are stored. ok is false when none are published.
func ReadPair(a, b string) (p Pair, ok bool, err error) {
	if line, ok := pairLine(a, b); ok {
		p, err = parsePair(line)
		return p, true, err
	}
	if line, ok := pairLine(b, a); ok {
		p, err = parsePair(line)
		return p.Swap(), true, err
	}
	return Pair{}, false, nil
}

func pairLine(a, b string) (string, bool) {
	head := "\n" + a + " " + b + " "
	_, rest, ok := strings.Cut(pairs, head)
	if !ok {
		return "", false
	}
	line, _, _ := strings.Cut(rest, "\n")
	return a + " " + b + " " + line, true
}

// parsePair reads "A B betaT gammaT betaV gammaV F departure cite...".
func parsePair(line string) (Pair, error) {
	w := strings.SplitN(line, " ", 9)
	if len(w) != 9 {
		return Pair{}, fmt.Errorf("pair line %q: want 9 fields", line)
	}
	v, err := numbers(strings.Join(w[2:7], " "))
	if err != nil {
		return Pair{}, fmt.Errorf("pair line %q: %w", line, err)
	}
	return Pair{
		A: w[0], B: w[1], Cite: w[8], Departure: w[7],
		BetaT: v[0], GammaT: v[1], BetaV: v[2], GammaV: v[3], F: v[4],
	}, nil
}

// ReadDeparture parses the departure function called name.
func ReadDeparture(name string) (*helmholtz.Residual, error) {
	_, block, ok := strings.Cut(departures, "\ndeparture "+name+"\n")
	if !ok {
		return nil, fmt.Errorf("no departure function %q", name)
	}
	block, _, _ = strings.Cut(block, "\ndeparture ")
	var p fluidParser
	for line := range strings.Lines(block) {
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		if word == "cite" || word == "" {
			continue
		}
		v, err := numbers(rest)
		if err != nil {
			return nil, fmt.Errorf("departure %s: %w", name, err)
		}
		if len(v) != lineLength[word] || !p.term(word, v) {
			return nil, fmt.Errorf("departure %s: line %q not understood", name, word)
		}
	}
	return helmholtz.NewResidual(p.terms, nil), nil
}
