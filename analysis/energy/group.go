package energy

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"rimelog/pipeline/register"
)

// A Kin is what systems must share to be ranked together.
type Kin struct {
	Kind        register.Kind
	Refrigerant string
	Mode        string
	Route       Route
	Boundary    register.Boundary
}

// A Member is a system with its bins over the time compared.
type Member struct {
	System string
	Bins   []Bin
	U      float64 // relative standard uncertainty by instruments and what was assumed
}

// A Place is where a member stands in its group.
type Place struct {
	System  string
	Rank    int      // 1 is the best
	Percent Interval // COP against the group's middle at the same outdoor temperatures, at Confidence
	Sets    string   // letters; systems that share one cannot be told apart, or differ by no more than is negligible
	Bins    int      // that it shares with others
	Why     string   // why it is not ranked, or empty
}

// Two systems are told apart where they differ by more than nobody would act on, and that
// beyond doubt: of pairs that differ by no more than negligible, one in twenty is told apart
// at most (normal distribution, one side). negligible is a share (engineering choice, no
// source).
const (
	negligible = 0.02
	apart      = 1.6448536269514722
)

// rounds of the two-way fit: far more than it takes.
const rounds = 200

// Rank orders the members of one group by their COP at equal outdoor temperature:
// the logarithm of a bin's COP is a member's part plus a bin's part, fitted in turn
// over bins that several members share. Bins count by the hours that the group was seen in
// them: one machine may be the better one in the cold and the worse in the heat. An unknown
// boundary is not ranked: nobody knows what would be compared.
func Rank(kin Kin, members []Member, b Binning) []Place {
	b = b.WithDefaults()
	g := newTwoWay(members, b)
	places := make([]Place, len(members))
	for i, m := range members {
		places[i] = Place{System: m.System, Bins: len(g.cells[i])}
		switch {
		case kin.Boundary == register.BoundaryUnknown:
			places[i].Why = "what the power meter covers is not known: write power_covers in systems.csv"
		case len(g.cells[i]) == 0:
			places[i].Why = "no outdoor temperature in common with another system of its group"
		}
	}
	g.fit()
	order := g.order(places)
	for rank, i := range order {
		u := z90 * g.u(i, members[i].U)
		a := g.member[i]
		places[i].Rank = rank + 1
		places[i].Percent = Interval{100 * (math.Exp(a) - 1), 100 * (math.Exp(a-u) - 1), 100 * (math.Exp(a+u) - 1)}
	}
	g.letter(places, order, members)
	return places
}

// A cell is a member's COP in a bin.
type cell struct {
	bin     int // place of the bin: from over its width
	log, se float64
}

// A twoWay is the model of members and bins.
type twoWay struct {
	cells  [][]cell
	member []float64
	bin    map[int]float64
	hours  map[int]float64 // of all members in a bin
}

func newTwoWay(members []Member, b Binning) *twoWay {
	g := &twoWay{cells: make([][]cell, len(members)), member: make([]float64, len(members)), bin: map[int]float64{}, hours: map[int]float64{}}
	seen := map[int]int{}
	for i, m := range members {
		for _, x := range m.Bins {
			if x.enough(b) {
				k := int(math.Round(x.From / b.Width))
				g.cells[i] = append(g.cells[i], cell{k, math.Log(x.COP), x.SE / x.COP})
				g.hours[k] += x.Hours
				seen[k]++
			}
		}
	}
	for i := range g.cells {
		g.cells[i] = slices.DeleteFunc(g.cells[i], func(c cell) bool { return seen[c.bin] < 2 })
	}
	return g
}

// fit alternates between the members' and the bins' parts.
func (g *twoWay) fit() {
	for range rounds {
		total, weight := map[int]float64{}, map[int]float64{}
		for i, cells := range g.cells {
			for _, c := range cells {
				total[c.bin], weight[c.bin] = total[c.bin]+c.log-g.member[i], weight[c.bin]+1
			}
		}
		for k := range total {
			g.bin[k] = total[k] / weight[k]
		}
		var ranked []float64
		for i, cells := range g.cells {
			sum, w := 0.0, 0.0
			for _, c := range cells {
				sum, w = sum+g.hours[c.bin]*(c.log-g.bin[c.bin]), w+g.hours[c.bin]
			}
			if w > 0 {
				g.member[i] = sum / w
				ranked = append(ranked, g.member[i])
			}
		}
		if len(ranked) == 0 {
			return
		}
		middle := median(ranked)
		for i := range g.member {
			g.member[i] -= middle
		}
	}
}

// u is the relative standard uncertainty of a member's part: by its instruments, by the
// scatter in its bins, and by the bins that others were seen in and it was not, in which it may
// differ from the model as it does in its own.
func (g *twoWay) u(i int, instruments float64) float64 {
	var all, seen, scatter, left float64
	for _, k := range slices.Sorted(maps.Keys(g.bin)) { // in order: sums have one order, and so the same bytes
		all += g.hours[k]
	}
	for _, c := range g.cells[i] {
		h := g.hours[c.bin]
		seen, scatter = seen+h, scatter+h*h*c.se*c.se
		left += h * math.Pow(c.log-g.bin[c.bin]-g.member[i], 2)
	}
	return math.Sqrt(scatter/(seen*seen) + left/seen*(1-seen/all) + instruments*instruments)
}

// order lists the members that are ranked, the best first.
func (g *twoWay) order(places []Place) []int {
	var order []int
	for i, p := range places {
		if p.Why == "" {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(g.member[b], g.member[a]), cmp.Compare(places[a].System, places[b].System))
	})
	return order
}

// letter gives a letter to every run of neighbours none of which can be told apart
// from another of the run.
func (g *twoWay) letter(places []Place, order []int, members []Member) {
	end, next := 0, 0
	for from := range order {
		to := from
		for to+1 < len(order) && g.alike(order[from:to+2], members) {
			to++
		}
		if to+1 <= end { // within the run before
			continue
		}
		end = to + 1
		for _, i := range order[from:end] {
			places[i].Sets += name(next)
		}
		next++
	}
}

// alike tells whether the last of some members cannot be told apart from any.
func (g *twoWay) alike(run []int, members []Member) bool {
	last := run[len(run)-1]
	for _, i := range run[:len(run)-1] {
		u := math.Hypot(g.u(i, members[i].U), g.u(last, members[last].U))
		if math.Abs(g.member[i]-g.member[last]) > negligible+apart*u {
			return false
		}
	}
	return true
}

// name is a letter, or two in brackets beyond z.
func name(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return "(" + string(rune('a'+i%26)) + string(rune('a'+(i/26-1)%26)) + ")"
}
