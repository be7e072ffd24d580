package score

import (
	"slices"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// A sight is what the score keeps of the rows of a system.
type sight struct {
	looks                 []look
	evidence              float64 // the analysis's strongest evidence of a loss
	overlaps              []overlap
	bias                  []float64 // of superheat in windows, K
	superheat, subcooling []claim   // intervals of visits
	errs                  [][]claim // how far visits were off, by gauge of the oracle
	showings              []showing
	coils                 map[truth.Fault]coilErrs
	coilStays             []coilStay // by usable stay
	use                   energySight
}

// A look is a visit as a rival sees it.
type look struct {
	at         time.Time
	subcooling float64
}

// A view is a system with its rows at hand, in time order.
type view struct {
	*subject
	Observed
}

// look takes from the rows of a system what the score needs.
func (f fleet) look(s *subject, o Observed) sight {
	o.Visits = slices.Clone(o.Visits)
	slices.SortStableFunc(o.Visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
	o.Windows = slices.Clone(o.Windows)
	slices.SortStableFunc(o.Windows, func(a, b table.Window) int { return a.Start.Compare(b.Start) })
	v := view{s, o}
	k := sight{evidence: trendEvidence(o.Trends), bias: v.bias()}
	for _, x := range o.Visits {
		if judged(x) {
			k.looks = append(k.looks, look{x.Start, x.Subcooling})
		}
	}
	for _, x := range s.files {
		if !elsewhere(x) {
			k.overlaps = append(k.overlaps, v.overlap(x))
		}
	}
	k.use = v.energy()
	k.superheat = f.claims(v, claimOfSuperheat)
	k.subcooling = f.claims(v, claimOfSubcooling)
	k.errs, k.showings = [][]claim{k.subcooling, k.superheat, f.levels(v)}, f.showings(v)
	k.coils, k.coilStays = f.coilErrs(v), v.coilStays()
	return k
}

// A quantity is one of a true operating point.
type quantity func(truth.Point) float64

func suctionSuperheat(p truth.Point) float64 { return p.SuctionSuperheat }
func trueSubcooling(p truth.Point) float64   { return p.Subcooling }

// mean is the true value of a quantity between two times, from the operating points
// at five of them; absent where there are none.
func (v view) mean(of quantity, from, to time.Time) float64 {
	var sum float64
	const parts = 4
	for k := range parts + 1 {
		sum += v.at(of, from.Add(to.Sub(from)*time.Duration(k)/parts))
	}
	return sum / (parts + 1)
}

// farthest is how far apart two operating points may be that have something to say of
// the time between them.
const farthest = 25 * time.Minute

// at is the true value at a time, between the points before and after it.
func (v view) at(of quantity, t time.Time) float64 {
	i, hit := slices.BinarySearchFunc(v.Points, t, func(p truth.Point, t time.Time) int { return p.Time.Compare(t) })
	if hit {
		return of(v.Points[i])
	}
	if i == 0 || i == len(v.Points) || v.Points[i].Time.Sub(v.Points[i-1].Time) > farthest {
		return float64(absent)
	}
	a, b := v.Points[i-1], v.Points[i]
	w := float64(t.Sub(a.Time)) / float64(b.Time.Sub(a.Time))
	return of(a) + w*(of(b)-of(a))
}
