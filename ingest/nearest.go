package ingest

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"rimelog/ingest/scan"
	"rimelog/pipeline/register"
)

// refrigerantName finds a refrigerant in the first lines of a file: R404A, R-32.
var refrigerantName = regexp.MustCompile(`\bR-?(\d{2,4}[A-Z]{0,2}(?:\([EZ]\))?)\b`)

// describe notes by what a file can be known again: the refrigerant that its first
// lines name, and the level of its pressures.
func (f *Facts) describe(p *plan) {
	for _, l := range p.layout.preamble[:min(len(p.layout.preamble), preambleLines)] {
		if m := refrigerantName.FindStringSubmatch(l); m != nil {
			f.Refrigerant = "R" + m[1]
			break
		}
	}
	for _, c := range p.columns {
		switch c.target.Name {
		case "suction_pressure_kpa":
			f.LowKPa = p.middle(c)
		case "discharge_pressure_kpa":
			f.HighKPa = p.middle(c)
		}
	}
}

// middle is the median of a pressure over the sample, in kPa as far as its unit tells
// and from what its unit counts; 0 where the unit is not known.
func (p *plan) middle(c *column) float64 {
	if c.unit.Quantity != quantityOf[c.target.Name] {
		return 0
	}
	var values []scan.Decimal
	for _, cell := range p.cellsOf(c.index) {
		if d, _, _, ok := scan.Number(cell, p.marks); ok {
			values = append(values, d)
		}
	}
	if len(values) == 0 {
		return 0
	}
	slices.SortFunc(values, func(a, b scan.Decimal) int { return cmp.Compare(a.Float(), b.Float()) })
	v, _ := c.unit.Exact(values[len(values)/2].Rat()).Float64()
	return math.Round(v)
}

// A likeness is how much a file looks like those of a system.
type likeness struct {
	system string
	score  int
	why    []string
}

// nearest lists the systems whose files an unclaimed one looks like, the likest first:
// by the names of its columns, its pressures and its refrigerant. It is a hint for a
// person; nothing is taken by it.
func nearest(reg *register.Register, f Facts, known map[string][]Facts) []likeness {
	var list []likeness
	for _, s := range reg.Systems {
		l := likeness{system: s.ID}
		if f.Refrigerant != "" && strings.EqualFold(f.Refrigerant, s.RefrigerantName) {
			l.add(1, f.Refrigerant)
		}
		for _, k := range known[s.ID] {
			if len(f.Columns) > 1 && slices.Equal(f.Columns, k.Columns) && f.Delimiter == k.Delimiter {
				l.add(2, "the columns of its files")
				break
			}
		}
		for _, k := range known[s.ID] {
			if near(f.LowKPa, k.LowKPa) && near(f.HighKPa, k.HighKPa) {
				l.add(2, fmt.Sprintf("its pressures, near %.0f and %.0f kPa", k.LowKPa, k.HighKPa))
				break
			}
		}
		if l.score > 0 {
			list = append(list, l)
		}
	}
	slices.SortStableFunc(list, func(a, b likeness) int { return cmp.Compare(b.score, a.score) })
	return list[:min(len(list), mostNearest)]
}

const mostNearest = 3

// sureLikeness is the score from which a system's name stands in the proposed line.
const sureLikeness = 4

func (l *likeness) add(score int, why string) {
	l.score, l.why = l.score+score, append(l.why, why)
}

// near tells whether two pressures are of one level: within a fifth. Common practice,
// no source.
func near(a, b float64) bool { return a > 0 && b > 0 && math.Abs(a-b) <= 0.2*max(a, b) }

func nearestText(list []likeness) string {
	if len(list) == 0 {
		return ""
	}
	var names []string
	for _, l := range list {
		names = append(names, fmt.Sprintf("%s (%s)", l.system, strings.Join(l.why, ", ")))
	}
	return "it looks most like " + strings.Join(names, ", then ") + ": "
}

// mostKnown is how many files of a system an unclaimed one is compared with.
const mostKnown = 8

// knownFacts gathers the facts of files that systems claim.
func (a *accountant) knownFacts(ctx context.Context) (map[string][]Facts, error) {
	if a.known != nil {
		return a.known, nil
	}
	known := map[string][]Facts{}
	claims, err := a.s.claims(ctx)
	if err != nil {
		return nil, err
	}
	for _, c := range claims {
		for _, id := range c.systems {
			if len(known[id]) >= mostKnown {
				continue
			}
			var f Facts
			if ok, err := a.s.data.Facts(ctx, c.upload, StepLook, &f); err != nil {
				return nil, err
			} else if ok {
				known[id] = append(known[id], f)
			}
		}
	}
	a.known = known
	return known, nil
}
