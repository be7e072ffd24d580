package claim

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rimelog/ingest/look"
	"rimelog/pipeline/register"
)

// A Likeness is how much a file looks like those of a system.
type Likeness struct {
	system string
	score  int
	why    []string
}

// Nearest lists the systems whose files an unclaimed one looks like, the likest first:
// by the names of its columns, its pressures and its refrigerant. It is a hint for a
// person; nothing is taken by it.
func Nearest(reg *register.Register, f look.Facts, known map[string][]look.Facts) []Likeness {
	var list []Likeness
	for _, s := range reg.Systems {
		l := Likeness{system: s.ID}
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
	slices.SortStableFunc(list, func(a, b Likeness) int { return cmp.Compare(b.score, a.score) })
	return list[:min(len(list), mostNearest)]
}

const mostNearest = 3

// sureLikeness is the score from which a system's name stands in the proposed line.
const sureLikeness = 4

func (l *Likeness) add(score int, why string) {
	l.score, l.why = l.score+score, append(l.why, why)
}

// near tells whether two pressures are of one level: within a fifth. Common practice,
// no source.
func near(a, b float64) bool { return a > 0 && b > 0 && math.Abs(a-b) <= 0.2*max(a, b) }

func nearestText(list []Likeness) string {
	if len(list) == 0 {
		return ""
	}
	var names []string
	for _, l := range list {
		names = append(names, fmt.Sprintf("%s (%s)", l.system, strings.Join(l.why, ", ")))
	}
	return "it looks most like " + strings.Join(names, ", then ") + ": "
}
