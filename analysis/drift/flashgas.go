package drift

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/condition"
	"rimelog/analysis/robust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// FlashGas is the kind of finding about a machine with a receiver, or of which nobody wrote
// down whether it has one, whose liquid line carries gas at more and more visits: subcooling
// is gone, the valve stands at its stop, or superheat rose far above what the valve holds.
// Until a receiver is empty nothing else moves, and then it does first where most of the
// liquid is elsewhere: so visits are counted by outdoor temperature, and cold ones, where a
// condenser that is flooded to hold head pressure takes the liquid, apart.
const FlashGas = "gas in the liquid line"

// How visits are counted (engineering choice, no source).
const (
	binWidth    = 5.0   // K of outdoor temperature
	lately      = 4     // visits that are held against those before
	leastLate   = 3     // of them must have the like before
	leastBefore = 2     // visits at such a temperature make the like
	flashChance = 0.002 // of so many signs lately, by what was so before
	leastHeld   = 4     // visits that show what superheat the valve holds
	flashSure   = 1     // standard uncertainties below the limit: the same instruments saw the visits before
)

// gasInLiquid is the standing; its conditions are signs of counts over visits.
func gasInLiquid() standing {
	return standing{
		kind: FlashGas, urgency: 1.5, signs: true, feature: Subcooling,
		alternative: "a liquid probe that reads high or a pressure that reads low at the latest visits; a strainer or drier that is blocked before the probe; more load than before; warm air about the liquid line",
		nextCheck:   "look into the receiver's sight glass and, if it has a level gauge, log it; direct leak check recommended; feel for a temperature drop over the drier",
		applies:     func(s register.System) bool { return s.Receiver != register.NoReceiver },
	}
}

// A flashSight is what one visit says of gas in the liquid line.
type flashSight struct {
	bin           int
	bare, stopped bool // subcooling was gone; the valve stood at its stop
	starved       bool // superheat was far above what the valve holds
}

func (s flashSight) gas() bool { return s.bare || s.stopped || s.starved }

// flashSigns holds the latest visits against those before in the same weather, warm and cold
// ones apart; each rests on conditions up to it.
func flashSigns(s register.System, limits *condition.Limits, conditions []table.Condition) (signs []Sign) {
	var warm, cold flashCount
	held := math.NaN() // superheat, as the valve held it at the visits before
	var superheats robust.Sorted
	for i := range conditions {
		c := &conditions[i]
		x, ok := sightOf(c, limits.On(c.Start), held)
		if !math.IsNaN(c.Superheat) && !fixed(s) {
			superheats.Add(c.Superheat)
			held = holds(&superheats)
		}
		if !ok {
			continue
		}
		group, name := &warm, "visits in the warm"
		if s.HeadPressureControl != table.No && c.OutdoorTemp < coldSeason {
			group, name = &cold, "visits in the cold, where head pressure may be held"
		}
		group.add(x)
		sign := Sign{Kind: FlashGas, On: c.Start}
		if late := group.latest(); moreGas(late) {
			sign.Beyond, sign.Said = true, name+"; "+said(late)
		}
		signs = append(signs, sign)
	}
	return signs
}

// holds is the superheat in the middle of some visits; NaN where they are too few.
func holds(superheats *robust.Sorted) float64 {
	if superheats.Len() < leastHeld {
		return math.NaN()
	}
	return superheats.Median()
}

// sightOf is what a visit says, by the superheat that the valve held before; not ok where it
// cannot say anything.
func sightOf(c *table.Condition, b *condition.Bounds, held float64) (flashSight, bool) {
	stopped, known := valveAtStop().beyond(c, b), watched(c, c.Flash) && saturated(c)
	if math.IsNaN(c.OutdoorTemp) || !known && stopped == unseen && math.IsNaN(c.Superheat) {
		return flashSight{}, false
	}
	return flashSight{
		bin:     int(math.Floor(c.OutdoorTemp / binWidth)),
		bare:    known && bare(c, b, flashSure),
		stopped: stopped == beyond,
		starved: c.Superheat > held+superheatEffect+flashSure*c.SuperheatU,
	}, true
}

// A flashBin counts the visits at outdoor temperatures of one bin.
type flashBin struct {
	before, had                       int // visits before the latest, and how many of them had gas
	late, gas, bare, stopped, starved int
}

// usual is how likely a visit has gas by those before, the mean of a share by Jeffreys' prior.
func (b flashBin) usual() float64 { return (float64(b.had) + 0.5) / (float64(b.before) + 1) }

// A flashCount counts visits one by one: only the latest are held against those before, which
// are as many as a logger that stays has days.
type flashCount struct {
	late []flashSight
	bins map[int]flashBin // of those before

	counted map[int]flashBin // the latest
}

func (n *flashCount) add(s flashSight) {
	n.late = append(n.late, s)
	if len(n.late) <= lately {
		return
	}
	if n.bins == nil {
		n.bins = map[int]flashBin{}
	}
	old := n.late[0]
	b := n.bins[old.bin]
	b.before, b.had = b.before+1, b.had+int(is(old.gas()))
	n.bins[old.bin], n.late = b, n.late[1:]
}

// latest counts the latest visits, by bin, beside those before that make the like. What it
// gives holds until it is asked again.
func (n *flashCount) latest() map[int]flashBin {
	if n.counted == nil {
		n.counted = map[int]flashBin{}
	}
	bins := n.counted
	clear(bins)
	for _, v := range n.late {
		b, ok := bins[v.bin]
		if !ok {
			b = n.bins[v.bin]
		}
		b.late, b.gas = b.late+1, b.gas+int(is(v.gas()))
		b.bare, b.stopped, b.starved = b.bare+int(is(v.bare)), b.stopped+int(is(v.stopped)), b.starved+int(is(v.starved))
		bins[v.bin] = b
	}
	maps.DeleteFunc(bins, func(_ int, b flashBin) bool { return b.before < leastBefore })
	return bins
}

// moreGas tells whether the latest visits had gas more often than those before make likely.
func moreGas(bins map[int]flashBin) bool {
	var chances []float64
	var gas int
	for _, k := range slices.Sorted(maps.Keys(bins)) {
		b := bins[k]
		chances, gas = append(chances, slices.Repeat([]float64{b.usual()}, b.late)...), gas+b.gas
	}
	return len(chances) >= leastLate && atLeast(gas, chances) < flashChance
}

// said is what the latest visits show.
func said(bins map[int]flashBin) string {
	var told []string
	for _, k := range slices.Sorted(maps.Keys(bins)) {
		b := bins[k]
		told = append(told, fmt.Sprintf("from %g °C to %g °C gas at %d of the latest %d visits and at %d of %d before, subcooling gone at %d, the valve at its stop at %d, superheat far above what the valve holds at %d",
			float64(k)*binWidth, float64(k+1)*binWidth, b.gas, b.late, b.had, b.before, b.bare, b.stopped, b.starved))
	}
	return strings.Join(told, "; ")
}

// atLeast is the chance of so many hits or more in trials of these chances.
func atLeast(hits int, chances []float64) float64 {
	by := make([]float64, len(chances)+1) // by hits so far
	by[0] = 1
	for i, p := range chances {
		for k := i + 1; k > 0; k-- {
			by[k] = by[k]*(1-p) + by[k-1]*p
		}
		by[0] *= 1 - p
	}
	sum := 0.0
	for _, p := range by[hits:] {
		sum += p
	}
	return sum
}
