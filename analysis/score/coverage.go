package score

import (
	"math"
	"slices"
	"time"

	"rimelog/pipeline/table"
)

// Coverage is how often the intervals of visits hold the true values.
type Coverage struct {
	Superheat  Share  `json:"superheat"`
	Subcooling Share  `json:"subcooling"`
	Sets       int    `json:"sets"`        // of instruments that these visits had
	WidthRatio Number `json:"width_ratio"` // mean width over that of the oracle's, both quantities
}

// normal95 is the factor on a standard uncertainty within which 95 % of normal errors lie.
const normal95 = 1.959963984540054

// stated is half of the interval that holds the true value in 95 of 100 cases: as the
// visit gives it, or else from its standard uncertainty, as of normal errors.
func stated(half, u float64) float64 {
	if half > 0 {
		return half
	}
	return normal95 * u
}

// A claim is an interval of one visit beside the truth.
type claim struct {
	kit, class string
	off        float64 // value less true value, K
	half       float64 // half of the interval's width, K
	clean      bool    // neither log nor register has a mistake about it
}

// coverage is that of the visits whose instruments are of a class, or of all where
// class is empty.
func (f fleet) coverage(class string) Coverage {
	var superheat, subcooling []claim
	for _, s := range f.subjects {
		superheat, subcooling = append(superheat, s.superheat...), append(subcooling, s.subcooling...)
	}
	if class != "" {
		others := func(c claim) bool { return c.class != class }
		superheat, subcooling = slices.DeleteFunc(superheat, others), slices.DeleteFunc(subcooling, others)
	}
	ratios := []float64{widthRatio(superheat), widthRatio(subcooling)}
	return Coverage{covered(superheat), covered(subcooling), sets(superheat, subcooling), mean(ratios)}
}

// sets is how many sets of instruments stand behind claims.
func sets(lists ...[]claim) int {
	kits := map[string]bool{}
	for _, c := range slices.Concat(lists...) {
		kits[c.kit] = true
	}
	return len(kits)
}

// A claimed is a quantity of which visits claim to know the value.
type claimed struct {
	is quantity                                // truly
	of func(table.Visit) (value, half float64) // in a visit
	in func(table.Window) float64              // in a window
}

var (
	claimOfSuperheat = claimed{suctionSuperheat,
		func(v table.Visit) (float64, float64) { return v.Superheat, stated(v.SuperheatHalf, v.SuperheatU) },
		func(w table.Window) float64 { return w.Superheat }}
	claimOfSubcooling = claimed{trueSubcooling,
		func(v table.Visit) (float64, float64) { return v.Subcooling, stated(v.SubcoolingHalf, v.SubcoolingU) },
		func(w table.Window) float64 { return w.Subcooling }}
)

// claims lists the intervals of the visits that are used for trends.
func (f fleet) claims(s view, q claimed) (list []claim) {
	for _, v := range s.Visits {
		value, half := q.of(v)
		x, ok := s.fileAt(v.Start)
		if !ok || v.Use != table.UseTrend || math.IsNaN(half) {
			continue
		}
		c := claim{kit: x.Kit, class: f.classes[x.Kit], half: half, clean: usable(x) && !f.spoilt[s.ID]}
		if c.off = value - s.during(q, v); !math.IsNaN(c.off) {
			list = append(list, c)
		}
	}
	return list
}

// during is the true value of a visit: the mean over the windows it was made from.
func (v view) during(q claimed, visit table.Visit) float64 {
	var sum, n float64
	first, _ := slices.BinarySearchFunc(v.Windows, visit.Start, func(w table.Window, t time.Time) int { return w.Start.Compare(t) })
	for _, w := range v.Windows[first:] {
		if w.Start.After(visit.End) {
			break
		}
		if full(w) && !w.End.After(visit.End) && !math.IsNaN(q.in(w)) {
			sum += v.mean(q.is, w.Start, w.End)
			n++
		}
	}
	return sum / n
}

// covered is the share of intervals that hold the truth. Visits with one set of
// instruments share its errors.
func covered(list []claim) Share {
	var t tally
	for _, c := range list {
		t.add(c.kit, int(flag(math.Abs(c.off) <= c.half)), 1)
	}
	return t.share()
}

// widthRatio is the mean width of intervals over that of the oracle's; NaN where
// there are none.
func widthRatio(list []claim) float64 {
	sizes := map[string][]float64{}
	for _, c := range list {
		if c.clean {
			sizes[c.class] = append(sizes[c.class], math.Abs(c.off))
		}
	}
	oracle := map[string]float64{}
	for class, x := range sizes {
		oracle[class] = float64(quantile(x, confidence))
	}
	var given, best float64
	for _, c := range list {
		if half, ok := oracle[c.class]; ok {
			given, best = given+c.half, best+half
		}
	}
	return given / best
}
