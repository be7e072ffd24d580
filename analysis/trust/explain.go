package trust

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
)

// An explanation is a mistake that would move what a visit shows.
type explanation struct {
	name     string // with the place of its size
	rule     string
	channels []cycle.Quantity
	along    map[cycle.Quantity]float64 // what one unit of it moves, and the conditions it misleads about
	from, to float64                    // its sizes
	machine  bool                       // the log is another machine's
	leak     bool                       // a machine that is short of refrigerant shows much the same
	sharp    bool                       // it could be the machine just as well where only that moved: hides nothing
	often    float64                    // share of visits at which it is made; 0: as others
	remedy   string
}

// Sizes of mistakes, K and kPa. Source: uninsulated and loose clamps 2 to 10 K towards the
// air, a probe in the sun some 5 to 10 K, common practice, no source; a zero that is off by
// less than 15 kPa is within what simple gauges may show (EN 837-1, 1 % of 1600 kPa).
const (
	leastProbe  = 3.5
	mostProbe   = 30.0
	mostLiquid  = 15.0 // the liquid is less far from the air than cold gas
	leastSun    = 3.5
	mostSun     = 14.0
	sunny       = 0.015 // of visits
	hanging     = 0.01  // of visits, for each clamped probe
	hangingFelt = 3e-4  // the same of one that swings with a hunting valve as it should
	leastZero   = 15.0
	widestZero  = 70.0
	leastAir    = 0.88 // of that at sea level: at 1,000 m (ISO 2533:1975)
	mostAir     = 1.0
)

// explanations lists the mistakes that levels can tell.
func (h history) explanations() []explanation {
	list := []explanation{
		{name: "a suction probe that shows %.1f K too much", rule: "D10", channels: []cycle.Quantity{cycle.SuctionTemp}, from: leastProbe, to: mostProbe,
			along: map[cycle.Quantity]float64{cycle.Superheat: 1}, often: h.hangs(cycle.SuctionTemp), remedy: "check the suction probe's contact and insulation, and log again"},
		{name: "a suction probe that shows %.1f K too little", rule: "D26", channels: []cycle.Quantity{cycle.SuctionTemp}, from: leastProbe, to: mostProbe,
			along: map[cycle.Quantity]float64{cycle.Superheat: -1}, remedy: "check the suction probe's contact and insulation, and log again"},
		{name: "a liquid probe that shows %.1f K too little", rule: "D10", channels: []cycle.Quantity{cycle.LiquidTemp}, from: leastProbe, to: mostLiquid,
			along: map[cycle.Quantity]float64{cycle.Subcooling: 1}, often: h.hangs(cycle.LiquidTemp), remedy: "check the liquid probe's contact and insulation, and log again"},
		{name: "a liquid probe that shows %.1f K too much", rule: "D27", channels: []cycle.Quantity{cycle.LiquidTemp}, from: leastProbe, to: mostLiquid, sharp: true, leak: true,
			along:  map[cycle.Quantity]float64{cycle.Subcooling: -1, highAtRest: -1, airAtRest: -1},
			remedy: "check the liquid probe (sun, contact); where it sits well, refrigerant has been lost since the visit before"},
		{name: "a power meter that shows a third", rule: "D28", channels: []cycle.Quantity{cycle.Power}, from: math.Log(0.28), to: math.Log(0.4),
			along: map[cycle.Quantity]float64{cycle.Power: 1}, remedy: "measure all phases, and check the direction of the current clamps"},
		{name: "a power in W under kW", rule: "D28", channels: []cycle.Quantity{cycle.Power}, from: math.Log(850), to: math.Log(1150),
			along: map[cycle.Quantity]float64{cycle.Power: 1}, remedy: "enter the unit of the power in register/channels.csv"},
		{name: "a probe of the medium on the coil, %.1f K too cold", rule: "D25", channels: evaporatorMedia[:], from: leastProbe, to: mostProbe,
			along: map[cycle.Quantity]float64{cycle.EvaporatorTD: -1, cycle.EvaporatorMedium: -1, cycle.EvaporatorAirOn: -1}, remedy: "check the probe of the medium (on the coil?) and the low pressure"},
		{name: "another machine", rule: "D32", machine: true, channels: []cycle.Quantity{cycle.Quantities},
			remedy: foreignRemedy},
	}
	return h.byTheDay(append(append(append(list, h.swapped()...), h.sun()...), h.pressures()...))
}

// hangs is how often a probe hangs loose: hardly ever where it is seen to feel the pipe.
func (h history) hangs(q cycle.Quantity) float64 {
	if slices.Contains(h.now.Follow, q.Column()) {
		return hangingFelt
	}
	return hanging
}

// leastSwapped is by how much the suction probe must show more than the liquid one before they
// may be in each other's place, K.
const leastSwapped = 5.0

// swapped is the suction and the liquid probe in each other's place: by how much they differ
// is what superheat and subcooling show too much.
func (h history) swapped() []explanation {
	by := h.now.mean(cycle.SuctionTemp) - h.now.mean(cycle.LiquidTemp)
	if !(by > leastSwapped) {
		return nil
	}
	return []explanation{{name: "suction and liquid probe in each other's place", rule: "D7", channels: []cycle.Quantity{cycle.SuctionTemp, cycle.LiquidTemp}, from: by, to: by,
		along: map[cycle.Quantity]float64{cycle.Superheat: 1, cycle.Subcooling: 1}, remedy: "if so, write the channels of the two columns into register/channels.csv"}}
}

// sun is the outdoor probe in the sun, where the machine says something of the outdoor air: one
// between the ground and a building does by the water that the building's control asks for.
func (h history) sun() []explanation {
	along := map[cycle.Quantity]float64{cycle.OutdoorTemp: 1, airAtRest: 1}
	if !h.system.Kind.Heats() && h.now.Mode != Heating && math.IsNaN(h.now.mean(cycle.CondenserAirOn)) && math.IsNaN(h.now.mean(cycle.SinkInlet)) {
		along[cycle.CondenserTD] = -1
	}
	if h.system.Kind == register.AirHeatPump && math.IsNaN(h.now.mean(cycle.EvaporatorAirOn)) && math.IsNaN(h.now.mean(cycle.SourceInlet)) {
		along[cycle.EvaporatorTD] = 1
	}
	if math.IsNaN(h.now.mean(cycle.OutdoorTemp)) || h.now.Mode != Heating && !slices.ContainsFunc(weathered, func(q cycle.Quantity) bool { return !math.IsNaN(h.expected(q).mean) }) {
		return nil
	}
	return []explanation{{name: "an outdoor probe that shows %.1f K too much", rule: "D29", channels: condenserMedia[:], from: leastSun, to: mostSun,
		along: along, often: sunny, remedy: "shade the outdoor probe and keep it out of the condenser's own warm air"}}
}

// weathered are the quantities that say how warm it is outdoors.
var weathered = []cycle.Quantity{cycle.CondenserTD, cycle.OutdoorTemp, cycle.SinkInlet, cycle.Speed, airAtRest}

// pressures are the zero of either sensor, and the air's pressure in both.
func (h history) pressures() (list []explanation) {
	c, err := cycle.NewExactCircuit(h.system)
	if err != nil || c.Refrigerant == nil {
		return nil
	}
	add := func(x explanation, low, high, per float64) {
		if x.along = h.raised(c, low, high, per); x.along != nil {
			list = append(list, x)
		}
	}
	for _, way := range []struct {
		sign           float64
		low, high, air string
		reference      register.Reference
	}{
		{1, "a low pressure that shows %.0f kPa too much", "a high pressure that shows %.0f kPa too much", "absolute pressures taken for gauge ones", register.Absolute},
		{-1, "a low pressure that shows %.0f kPa too little", "a high pressure that shows %.0f kPa too little", "gauge pressures taken for absolute ones", register.Gauge},
	} {
		zero := explanation{rule: "D30", leak: way.sign < 0, from: leastZero, to: widestZero,
			remedy: "compare the sensor with the air and zero it, and look whether the hose's valve was open; write an offset into register/instruments.csv"}
		zero.name, zero.channels = way.low, []cycle.Quantity{cycle.SuctionPressure}
		add(zero, way.sign*leastZero, 0, leastZero)
		zero.name, zero.channels = way.high, []cycle.Quantity{cycle.DischargePressure}
		add(zero, 0, way.sign*leastZero, leastZero)
		air := explanation{name: way.air, rule: "D2", leak: way.sign < 0, channels: []cycle.Quantity{cycle.SuctionPressure, cycle.DischargePressure}, from: leastAir, to: mostAir,
			remedy: "if so, write into register/channels.csv: " + h.reference("suction_pressure", way.reference) + " and " + h.reference("discharge_pressure", way.reference)}
		add(air, way.sign*seaLevel, way.sign*seaLevel, 1)
	}
	return list
}

// raised is what pressures that show so many kPa too much move, for each of so many units of
// it; nil where they cannot.
func (h history) raised(c *cycle.Circuit, low, high, units float64) map[cycle.Quantity]float64 {
	suction, discharge := h.now.mean(cycle.SuctionPressure), h.now.mean(cycle.DischargePressure)
	if suction <= low || discharge <= high {
		return nil
	}
	te, tc := c.Dew(suction)-c.Dew(suction-low), c.Dew(discharge)-c.Dew(discharge-high)
	along := map[cycle.Quantity]float64{
		cycle.Evaporating: te, cycle.Superheat: -te, cycle.EvaporatorTD: -te,
		cycle.Condensing: tc, cycle.CondenserTD: tc, cycle.DischargeSuperheat: -tc,
		cycle.Subcooling: c.Bubble(discharge) - c.Bubble(discharge-high),
		cycle.Power:      powerIndex(1, suction, discharge) - powerIndex(1, suction-low, discharge-high),
	}
	maps.Copy(along, h.restRaised(c, low, high))
	for q, by := range along {
		if along[q] = by / units; math.IsNaN(by) {
			along[q] = 0
		}
	}
	return along
}

// What must hold before history is weighed, and how sure it must be.
const (
	worthWeighing = 2.5 // standard deviations of what moved most
	worthTogether = 1.8 // the same of two at least
	leastOdds     = 10  // of a mistake, against all else
	leakOdds      = 100 // where a leak shows much the same
	farOff        = 3.0 // standard deviations, of what another machine must move
	fewestFar     = 3   // how many
	surelyForeign = 100 // odds at which fewer do
)

const foreignRemedy = "check which system was logged; move the file into that system's folder"

// weigh says which mistakes explain what a visit shows off its history.
func (h history) weigh() {
	e := h.evidence()
	if e.beyond(worthWeighing) == 0 && e.beyond(worthTogether) < 2 {
		return
	}
	for _, s := range h.suspicions(e, h.explanations()) {
		if h.believed(e, s) {
			h.speak(e, s)
		}
	}
}

// believed tells whether a suspicion is sure enough to be said.
func (h history) believed(e evidence, s suspicion) bool {
	switch {
	case s.odds < leastOdds, s.leak && s.odds < leakOdds, h.now.says(s.rule), h.lasts(s):
		return false
	case s.machine && h.lasted(e):
		return false // the machine itself changed for good
	case s.machine && !e.lowSide() && !e.otherSize() && h.strangeChannels() <= 1:
		return false // gas in the condenser, or a fan that fails, moves the high side alone
	case s.machine:
		far := e.beyond(farOff)
		return far >= fewestFar || far == fewestFar-1 && s.odds > surelyForeign || far == 1 && s.odds > surelyForeign*surelyForeign
	}
	return true
}

// speak says a suspicion.
func (h history) speak(e evidence, s suspicion) {
	switch s.rule {
	case "D32":
		h.now.drop(append([]string{"D7", "D10", "D14"}, weak...)...)
		if !h.ownPressure() {
			h.now.drop("D5")
		}
	case "D2", "D30":
		h.now.drop("D26", "D27", "D25", "D29")
	case "D7":
		h.now.drop("D29")
	}
	d := Doubt{Rule: s.rule, Channels: about(s.channels...), Hides: !s.sharp, Evidence: e.text(len(h.before), s), Remedy: s.remedy}
	if s.machine {
		d.Channels = nil
	}
	if s.rule == "D30" {
		d.Candidates = []string{"a sensor that lost its zero", "a closed valve at the hose (D14)"}
		if s.channels[0] == cycle.DischargePressure && !s.leak {
			d.Candidates = append(d.Candidates, "gas that does not condense, where visits to come show it too")
		}
	}
	h.now.doubt(d)
}

// beyond counts what is further off than so many standard deviations.
func (e evidence) beyond(spreads float64) (n int) {
	for i, off := range e.off {
		if math.Abs(off) > spreads*e.sd[i] {
			n++
		}
	}
	return n
}

// lasted tells whether the latest visit before that knows what is far off had all of it half as
// far off already, whatever was said of it.
func (h history) lasted(e evidence) bool {
	for i := len(h.before) - 1; i >= 0; i-- {
		known, same := 0, 0
		for k, q := range e.of {
			if then := h.offThen(q, &h.before[i]); math.Abs(e.off[k]) > farOff*e.sd[k] && !math.IsNaN(then) {
				known++
				if then/e.off[k] >= 0.5 {
					same++
				}
			}
		}
		if known > 0 {
			return same == known
		}
	}
	return false
}

// lowSide tells whether something of the low side is far off.
func (e evidence) lowSide() bool {
	low := []cycle.Quantity{cycle.Superheat, cycle.EvaporatorTD, cycle.Evaporating, cycle.EvaporatorMedium}
	for i, q := range e.of {
		if slices.Contains(low, q) && math.Abs(e.off[i]) > farOff*e.sd[i] {
			return true
		}
	}
	return false
}

// leastSize is how many times more or less power than before tells a machine of another size: no
// fault does, and a power that its meter or unit explains is no other machine's.
const leastSize = 2.0

// otherSize tells whether the power is that of a machine of another size.
func (e evidence) otherSize() bool {
	i := slices.Index(e.of, cycle.Power)
	return i >= 0 && math.Abs(e.off[i]) > math.Max(math.Log(leastSize), farOff*e.sd[i])
}

// lasts tells whether the visit before had it half as far off already, or a leak was on its
// way: that is a machine which changed. A mistake stands alone.
func (h history) lasts(s suspicion) bool {
	if s.machine || s.rule == "D28" {
		return false
	}
	if s.rule == "D27" && h.fell(cycle.Subcooling) {
		return true
	}
	lasting, known := 0, 0
	for _, q := range h.weighed() {
		by, spreads := h.level(q)
		if math.Abs(s.along[q]) > 0 && spreads > worthWeighing {
			known++
			if h.onItsWay(q, by) {
				lasting++
			}
		}
	}
	return known > 0 && lasting == known
}

// mostTold is beyond which odds are not told apart.
const mostTold = 999

// oddsText is the odds of a suspicion in words.
func (s suspicion) oddsText() string {
	if s.odds > mostTold {
		return fmt.Sprintf("more than %d", mostTold)
	}
	return fmt.Sprintf("%.0f", s.odds)
}

// text tells what moved, and what explains it.
func (e evidence) text(visits int, s suspicion) string {
	var moved []string
	for i, q := range e.of {
		switch {
		case math.Abs(e.off[i]) < 2*e.sd[i]:
		case q == cycle.Power:
			moved = append(moved, fmt.Sprintf("power at like pressures times %.2g", math.Exp(e.off[i])))
		case q == cycle.CondenserMedium:
			moved = append(moved, fmt.Sprintf("outdoor air for the season %+.1f K", e.off[i]))
		case q == cycle.OutdoorTemp:
			moved = append(moved, fmt.Sprintf("outdoor air above that at the coil %+.1f K", e.off[i]))
		default:
			moved = append(moved, fmt.Sprintf("%s %+.1f %s", nameOf(q), e.off[i], unitFor(q)))
		}
	}
	name := s.name
	if strings.Contains(name, "%") {
		name = fmt.Sprintf(name, s.size)
	}
	return fmt.Sprintf("off what the %d visits before say: %s; likeliest: %s, %s to 1 against all else", visits, strings.Join(moved, ", "), name, s.oddsText())
}
