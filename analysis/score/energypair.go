package score

import (
	"math"
	"strings"

	"rimelog/pipeline/table"
)

// A pair is two systems of one group of the ranking.
type pair struct {
	group string
	class string  // of both; empty where they differ
	truly float64 // how much better the first is than the second at like outdoor temperatures, %
	apart bool    // no letter in common
	right bool    // the better one stands before the other
}

// What is meant by far and by near, %.
const (
	trulyApart = 10.0
	trulyAlike = 2.0
)

// pairs are those of systems that are ranked against each other, and of which the truth
// knows how they compare.
func (f fleet) pairs(rankings []table.Ranking) (out []pair) {
	for i, a := range rankings {
		for _, b := range rankings[i+1:] {
			if a.Group != b.Group || a.Rank == 0 || b.Rank == 0 || a.System == b.System {
				continue
			}
			x, y := f.find(a.System), f.find(b.System)
			if x == nil || y == nil {
				continue
			}
			kind := groupKind(a.Group)
			truly := 100 * (ratio(x.use.year[kind], y.use.year[kind]) - 1)
			if math.IsNaN(truly) {
				continue
			}
			p := pair{group: a.Group, truly: truly, apart: !strings.ContainsAny(a.Sets, b.Sets), right: (a.Rank < b.Rank) == (truly > 0)}
			route := ""
			if strings.Contains(a.Group, "by heat meter,") {
				route = "heat meter"
			}
			if c := restsOn(route, x.class); c == restsOn(route, y.class) {
				p.class = c
			}
			out = append(out, p)
		}
	}
	return out
}

// groupKind takes mode and boundary from a group's name.
func groupKind(group string) energyKind {
	_, boundary, _ := strings.Cut(group, "boundary: ")
	return energyKind{strings.Contains(group, ", heating,"), boundary != "compressor"}
}

// told counts, of pairs of a class or of all, those far apart that are told apart, and
// those alike that are, or that stand the wrong way round.
func told(pairs []pair, class string) (far, wrong Share) {
	var hits, n, lies, trials int
	for _, p := range pairs {
		if class != "" && p.class != class {
			continue
		}
		if math.Abs(p.truly) >= trulyApart {
			n++
			hits += one(p.apart && p.right)
		}
		if math.Abs(p.truly) <= trulyAlike || p.apart && !p.right {
			trials++
			lies += one(p.apart && (!p.right || math.Abs(p.truly) <= trulyAlike))
		}
	}
	return share(hits, n), share(lies, trials)
}
