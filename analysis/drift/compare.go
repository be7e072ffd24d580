package drift

import (
	"fmt"
	"math"
	"sort"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// leastOfSet is how many visits with one instrument set are worth comparing.
const leastOfSet = 3

// grouped decides which visits may be compared. The same instruments on every
// visit err alike, which cancels in a trend. Where they changed, visits are
// compared with those of the same set, and sets with few visits are left out;
// where no set came twice, their errors are noise like any other.
func (s series) grouped(o Options) (series, []int, string, error) {
	count := map[string]int{}
	for _, set := range s.set {
		count[set]++
	}
	if len(count) <= 1 {
		return s, nil, "", nil
	}
	if len(count) == len(s.set) {
		return s, nil, "other instruments at every visit: their errors count as noise", nil
	}
	var names []string
	for set, n := range count {
		if n >= leastOfSet {
			names = append(names, set)
		}
	}
	sort.Strings(names)
	kept, group := s.only(names)
	if len(kept.y) < o.MinVisits {
		return s, nil, "", fmt.Errorf("instruments changed: only %s with the same ones, want %d", visitsOf(len(kept.y)), o.MinVisits)
	}
	if len(names) == 1 {
		return kept, nil, "visits with other instruments left out", nil
	}
	return kept, group, fmt.Sprintf("%d sets of instruments, each compared with itself", len(names)), nil
}

// only keeps the points of some sets, named in order, and numbers them.
func (s series) only(names []string) (series, []int) {
	var group []int
	kept := s.filter(func(i int) bool {
		k := sort.SearchStrings(names, s.set[i])
		known := k < len(names) && names[k] == s.set[i]
		if known {
			group = append(group, k)
		}
		return known
	})
	return kept, group
}

// filter keeps some points: all of them where it can as they are.
func (s series) filter(keep func(i int) bool) series {
	kept := make([]int, 0, len(s.y))
	for i := range s.y {
		if keep(i) {
			kept = append(kept, i)
		}
	}
	if len(kept) == len(s.y) {
		return s
	}
	return series{
		picked(s.at, kept), picked(s.t, kept), picked(s.y, kept), picked(s.outdoor, kept), picked(s.room, kept),
		picked(s.condensing, kept), picked(s.doubt, kept), picked(s.set, kept), picked(s.era, kept),
	}
}

func picked[T any](from []T, at []int) []T {
	out := make([]T, len(at))
	for k, i := range at {
		out[k] = from[i]
	}
	return out
}

// mostOutdoor is the share of visits with an outdoor temperature from which on
// the others are left out instead of doing without it.
const mostOutdoor = 0.75

// withOutdoor leaves out the few visits whose outdoor temperature is not known.
func (s series) withOutdoor() series {
	known := s.filter(func(i int) bool { return !math.IsNaN(s.outdoor[i]) })
	if float64(len(known.y)) < mostOutdoor*float64(len(s.y)) {
		return s
	}
	return known
}

// What must vary by how much before it is taken out, K; how many visits a second
// influence needs; and from how many years on a season averages out.
const (
	leastOutdoorRange = 3.0
	leastRoomRange    = 2.0
	visitsForRoom     = 12
	wholeYear         = 0.95
)

// influences picks what is taken out of a series: the outdoor temperature, and
// for the low-pressure side of a well-known machine the room or return
// temperature. Where outdoor temperature was not logged the condensing
// temperature stands in: it follows the outdoor temperature, and falls with lost
// charge too, so a leak may be found late, not wrongly.
func (s series) influences(f feature) (out [][]float64, outdoor bool, note string, err error) {
	switch {
	case whole(s.outdoor):
		if spread(s.outdoor) >= leastOutdoorRange {
			out, outdoor = append(out, s.outdoor), true
		}
	case whole(s.condensing) && f.column != CondenserTD:
		out, note = append(out, s.condensing), "outdoor temperature was not logged: condensing temperature stands in"
	case s.t[len(s.t)-1]-s.t[0] < wholeYear:
		return nil, false, "", errNoOutdoor
	default:
		note = "outdoor temperature was not logged: season counts as noise"
	}
	if f.coolSide && len(s.y) >= visitsForRoom && whole(s.room) && spread(s.room) >= leastRoomRange {
		out = append(out, s.room)
	}
	return out, outdoor, note, nil
}

func whole(x []float64) bool {
	for _, v := range x {
		if math.IsNaN(v) {
			return false
		}
	}
	return true
}

func spread(x []float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return hi - lo
}

// nearFloor is how near to the lowest condensing temperature head pressure
// control is believed to hold it, K.
const nearFloor = 2.5

// floor is the condensing temperature below which the condenser's difference says
// nothing about the condenser: there, head pressure control holds the condensing
// temperature up whatever the weather. It is what the register says, or else
// learnt as the lowest of the record. A heat pump's condenser follows its water.
func floor(s register.System, f feature, points []point) float64 {
	if f.column != CondenserTD || s.Kind.Heats() || s.HeadPressureControl == table.No {
		return math.Inf(-1)
	}
	if t, known := heldTemp(s); known {
		return t + nearFloor
	}
	lowest := math.Inf(1)
	for _, p := range points {
		if p.condensing < lowest {
			lowest = p.condensing
		}
	}
	return lowest + nearFloor
}

// heldTemp is the condensing temperature at the register's head pressure floor.
func heldTemp(s register.System) (celsius float64, known bool) {
	if math.IsNaN(s.HeadPressureFloor) {
		return 0, false
	}
	r, err := thermo.Lookup(s.RefrigerantName)
	if err != nil {
		return 0, false
	}
	t, err := r.DewT(thermo.Pascal(s.HeadPressureFloor * 1000))
	return t.Celsius(), err == nil
}

// above leaves out the points whose condensing temperature is not above a floor.
func (s series) above(floor float64) series {
	if math.IsInf(floor, 0) {
		return s
	}
	return s.filter(func(i int) bool { return !(s.condensing[i] <= floor) })
}
