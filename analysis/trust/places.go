package trust

import (
	"fmt"
	"math"
	"strings"

	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// A band is what a running machine may show of a quantity, with how far beyond it
// counts as one unit of implausibility. The bands hold machines with faults, too.
// Source: usual ranges of superheat, subcooling and temperature differences, widened
// by what faults do to them; common practice, no source.
type band struct {
	of            cycle.Quantity
	lo, hi, scale float64
}

var bands = [...]band{
	{cycle.Superheat, -1, 25, 4},
	{cycle.Subcooling, -1, 20, 4},
	{cycle.DischargeSuperheat, 3, 65, 8},
	{cycle.EvaporatorTD, 0, 28, 4},
	{cycle.CondenserTD, 0, 40, 4},
	{cycle.DischargeTemp, 25, 150, 8},
	{cycle.OutdoorTemp, -30, 45, 4},
	{cycle.PressureRatio, 1.3, 15, 0.2},
}

// implausibility is the sum of squares of how far a row is beyond the bands.
func implausibility(row *cycle.Row) float64 {
	var sum float64
	for _, b := range bands {
		v := row[b.of]
		over := math.Max(0, math.Max(b.lo-v, v-b.hi)) / b.scale
		if !math.IsNaN(over) {
			sum += over * over
		}
	}
	return sum
}

// What is called impossible, and what an explanation must come down to.
const (
	impossible = 4.0
	usual      = 1.0
	mostLeft   = 100.0 // times less than before
)

// bothLarge is from where on superheat and subcooling are too large together, K.
const bothLarge = 17.0

// A mixUp is an exchange or a wrong unit that would explain impossible values.
type mixUp struct {
	rule   string
	about  []cycle.Quantity
	mend   func(row *cycle.Row)    // undoes it
	settle func(*register.Channel) // writes down what is so
}

func exchange(a, b cycle.Quantity) func(*cycle.Row) {
	return func(row *cycle.Row) { row[a], row[b] = row[b], row[a] }
}

// temperatures are the measured ones.
var temperatures = [...]cycle.Quantity{
	cycle.SuctionTemp, cycle.DischargeTemp, cycle.LiquidTemp, cycle.OutletTemp, cycle.OutdoorTemp, cycle.RoomTemp, cycle.CondenserAirOn,
	cycle.EvaporatorAirOn, cycle.EvaporatorAirOff, cycle.SinkInlet, cycle.SinkOutlet, cycle.SourceInlet,
}

func eachTemperature(f func(float64) float64) func(*cycle.Row) {
	return func(row *cycle.Row) {
		for _, q := range temperatures {
			row[q] = f(row[q])
		}
	}
}

// other names the other of two channels.
func other(a, b cycle.Quantity) func(*register.Channel) {
	return func(c *register.Channel) {
		if c.Channel == ChannelOf(a) {
			c.Channel = ChannelOf(b)
		} else {
			c.Channel = ChannelOf(a)
		}
	}
}

func inUnit(unit string) func(*register.Channel) { return func(c *register.Channel) { c.Unit = unit } }

func swapped(rule string, a, b cycle.Quantity) mixUp {
	return mixUp{rule, []cycle.Quantity{a, b}, exchange(a, b), other(a, b)}
}

func mixUps() []mixUp {
	return []mixUp{
		swapped("D8", cycle.SuctionPressure, cycle.DischargePressure),
		swapped("D7", cycle.SuctionTemp, cycle.LiquidTemp),
		swapped("D9", cycle.SuctionTemp, cycle.DischargeTemp),
		{"D5", temperatures[:], eachTemperature(func(t float64) float64 { return (t - 32) / 1.8 }), inUnit("°F")},
		{"D5", temperatures[:], eachTemperature(func(t float64) float64 { return t*1.8 + 32 }), inUnit("°C")},
	}
}

// places checks the running machine's means: whether channels are where the file
// says.
func (l *look) places() {
	before := implausibility(&l.mean)
	if l.has(cycle.Superheat, cycle.Subcooling) && l.mean[cycle.Superheat] > bothLarge && l.mean[cycle.Subcooling] > bothLarge-3 {
		before += impossible // each alone may be a fault of the machine, both together not
	}
	if before >= impossible && l.mixedUp(before) {
		return
	}
	l.airTwice()
	if l.suspect("D2") {
		return
	}
	l.belowZero()
	l.hotterThanItCan()
}

// mixedUp looks for the exchange or unit that explains impossible values best.
func (l *look) mixedUp(before float64) bool {
	var best *mixUp
	after := math.Max(usual, before/mostLeft) // what else is wrong may stay
	for _, m := range mixUps() {
		row := l.mean
		m.mend(&row)
		l.Circuit.Complete(&row)
		if x := implausibility(&row); x < after && x < before/5 {
			best, after = &m, x
		}
	}
	if best == nil {
		return false
	}
	l.doubt(Doubt{
		Rule: best.rule, Channels: about(best.about...), Hides: true, Remedy: "if so, " + l.lines(best.about, best.settle),
		Evidence: fmt.Sprintf("%s while it runs; the other way round these would be usual", l.shown()),
	})
	return true
}

// shown tells the means that say most.
func (l *look) shown() string {
	text := ""
	for _, q := range []cycle.Quantity{cycle.Superheat, cycle.Subcooling, cycle.EvaporatorTD, cycle.CondenserTD} {
		if l.has(q) {
			text += fmt.Sprintf("%s %.1f K, ", q, l.mean[q])
		}
	}
	if l.has(cycle.DischargeTemp) {
		text += fmt.Sprintf("discharge gas %.0f °C, ", l.mean[cycle.DischargeTemp])
	}
	if text == "" {
		return fmt.Sprintf("low pressure %.0f kPa, high pressure %.0f kPa", l.mean[cycle.SuctionPressure], l.mean[cycle.DischargePressure])
	}
	return text[:len(text)-2]
}

// leastGas is the superheat that tells hot gas from the suction gas of a machine at
// rest, K. Source: more than 25 K over the high saturation temperature, common
// practice, no source; less where the line is long.
const leastGas = 15.0

// reversedPressures looks at a visit in which nothing seems to run: that may be so
// because the hoses are swapped.
func (l *look) reversedPressures() {
	c := l.Columns
	if !c.Has(cycle.PressureRatio) {
		return
	}
	below, alike, hotter := 0, 0, 0
	for i := l.From; i < l.To; i++ {
		r, hot := c.At(cycle.PressureRatio, i), c.At(cycle.Superheat, i)
		if r > 1.5 && c.At(cycle.SuctionTemp, i) > c.At(cycle.DischargeTemp, i)+leastGas {
			hotter++
		}
		switch {
		case r > 0 && r < 1/1.5:
			below++
		case r > 1/1.4 && r < 1.4 && hot > leastGas:
			alike++
		}
	}
	if hotter >= fewest && 2*hotter > l.To-l.From {
		about9 := []cycle.Quantity{cycle.SuctionTemp, cycle.DischargeTemp}
		l.doubt(Doubt{
			Rule: "D9", Channels: about(about9...), Hides: true, Remedy: "if so, " + l.lines(about9, other(about9[0], about9[1])),
			Evidence: fmt.Sprintf("suction gas is more than %.0f K hotter than discharge gas in %d of %d samples", leastGas, hotter, l.To-l.From),
		})
		return
	}
	if alike >= fewest && 2*alike > l.To-l.From {
		l.doubt(Doubt{
			Rule: "D22", Hides: true,
			Evidence: fmt.Sprintf("low and high pressure are alike, and the gas is more than %.0f K above saturation, in %d of %d samples: in heating the gas line is the high side", leastGas, alike, l.To-l.From),
			Remedy:   "in heating take the low pressure at the compressor's own suction port",
		})
		return
	}
	if 2*below < l.To-l.From || below < fewest {
		return
	}
	l.doubt(Doubt{
		Rule: "D8", Channels: about(cycle.SuctionPressure, cycle.DischargePressure), Hides: true, Remedy: "if so, " + l.lines(mixUps()[0].about, mixUps()[0].settle),
		Evidence: fmt.Sprintf("the low pressure is above the high one by more than half in %d of %d samples", below, l.To-l.From),
	})
}

// airTwice looks for the air's pressure counted twice or left out, where that alone
// makes two impossible things possible.
func (l *look) airTwice() {
	if l.suspect("D2") || !l.has(cycle.Superheat, cycle.EvaporatorTD) || l.mean[cycle.Superheat] > -2*l.u[cycle.Superheat] || l.mean[cycle.EvaporatorTD] > 2*l.u[cycle.EvaporatorTD] {
		return
	}
	row := l.mean
	row[cycle.SuctionPressure] -= l.air()
	row[cycle.DischargePressure] -= l.air()
	l.Circuit.Complete(&row)
	if row[cycle.SuctionPressure] <= 0 || implausibility(&row) > 0.5 {
		return
	}
	l.mixedReference(fmt.Sprintf("superheat %.1f K and %.1f K between evaporating and the medium that is cooled; less %.0f kPa they are %.1f K and %.1f K",
		l.mean[cycle.Superheat], l.mean[cycle.EvaporatorTD], l.air(), row[cycle.Superheat], row[cycle.EvaporatorTD]), -1)
}

// mixedReference says that pressures are off by the air's.
func (l *look) mixedReference(evidence string, sign int) {
	reference := register.Absolute
	word := "absolute"
	if sign > 0 {
		reference, word = register.Gauge, "gauge"
	}
	l.doubt(Doubt{
		Rule: "D2", Channels: about(cycle.SuctionPressure, cycle.DischargePressure), Hides: true, Evidence: evidence,
		Remedy: "if they are " + word + " pressures, " + l.lines([]cycle.Quantity{cycle.SuctionPressure, cycle.DischargePressure},
			func(c *register.Channel) { c.Reference = reference }),
	})
}

// line is the row of channels.csv that would settle a channel of the visit's file.
func (l *look) line(q cycle.Quantity, settle func(*register.Channel)) string {
	name := ChannelOf(q)
	c := register.Channel{System: l.Circuit.System.ID, File: first(l.Paths), Column: l.Headers[name], Channel: name}
	settle(&c)
	return register.ChannelLine(c)
}

// lines are the rows for several channels of which the visit has values.
func (l *look) lines(quantities []cycle.Quantity, settle func(*register.Channel)) string {
	var rows []string
	for _, q := range quantities {
		if l.Columns.Has(q) {
			rows = append(rows, l.line(q, settle))
		}
	}
	return "write into register/channels.csv: " + strings.Join(rows, " and ")
}

// ChannelOf is the register's name of a measured quantity: its column without the unit.
func ChannelOf(q cycle.Quantity) string {
	name := q.Column()
	for _, unit := range []string{"_kpa", "_c", "_m3_h", "_kw", "_a", "_hz"} {
		if cut, ok := strings.CutSuffix(name, unit); ok {
			return cut
		}
	}
	return name
}

func first(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[0]
}

// air is the pressure of the air at the site, or at sea level.
func (l *look) air() float64 {
	if math.IsNaN(l.Air) {
		return seaLevel
	}
	return l.Air
}

// seaLevel is the pressure of the standard atmosphere, kPa. Source: ISO 2533:1975.
const seaLevel = 101.325

// leastHot is the discharge superheat that no machine with liquid coming back has,
// K. Source: common practice, no source.
const leastHot = 20

// mostBelow is how far below zero superheat or subcooling must be in standard
// uncertainties, and beyond them in K, before a mistake is said to be there.
const (
	sigmas  = 2.0
	mostOff = 1.0 // K
)

// belowZero checks superheat and subcooling. Liquid that comes back is real: it is
// left to the findings unless the discharge gas says that it cannot be. Liquid that is
// warmer than it can be is not: what boils in its line boils at the pressure there.
func (l *look) belowZero() {
	least := -mostOff - sigmas*l.u[cycle.Superheat]/2
	if l.nearlyWet() && l.mean[cycle.DischargeSuperheat] > l.dryGas() {
		least = math.Inf(1) // gas that hot was not wet, not even nearly
	}
	if v := l.mean[cycle.Superheat]; l.has(cycle.Superheat) && v < least && !l.liquidBack() && !l.doubted(cycle.SuctionPressure) {
		l.doubt(Doubt{
			Rule: "D26", Channels: about(cycle.SuctionTemp), Hides: true,
			Evidence: fmt.Sprintf("superheat %.1f K (standard uncertainty %.1f K)%s", v, l.u[cycle.Superheat], l.hot()),
			Remedy:   "check the suction probe, the low pressure's reference and the refrigerant",
		})
	}
	if v := l.mean[cycle.Subcooling]; l.has(cycle.Subcooling) && v < -0.5*mostOff-sigmas*l.u[cycle.Subcooling] && !l.doubted(cycle.DischargePressure) {
		l.doubt(Doubt{
			Rule: "D27", Channels: about(cycle.LiquidTemp), Hides: true,
			Evidence: fmt.Sprintf("subcooling %.1f K (standard uncertainty %.1f K)", v, l.u[cycle.Subcooling]),
			Remedy:   "check the liquid probe (sun, contact), the high pressure's reference and tap, and the refrigerant",
		})
	}
}

// nearlyWet tells whether superheat is near zero or below, though the discharge gas is hot.
func (l *look) nearlyWet() bool {
	return l.has(cycle.Superheat, cycle.DischargeSuperheat) && l.mean[cycle.DischargeSuperheat] > leastHot+5 &&
		l.mean[cycle.Superheat] < 2*mostOff-l.u[cycle.Superheat]/2
}

// leastEfficiency is the lowest isentropic efficiency of a sound compressor, motor heat
// included. Source: common practice, no source.
const leastEfficiency = 0.6

// dryGas is the discharge superheat that suction gas at saturation gives, K: with some
// refrigerants and pressures it is hot without any superheat. Zero where it is not known.
func (l *look) dryGas() float64 {
	low, high := thermo.Pascal(l.mean[cycle.SuctionPressure]*1000), thermo.Pascal(l.mean[cycle.DischargePressure]*1000)
	r := l.Circuit.Refrigerant
	in, err := r.DewAt(low)
	if err != nil {
		return 0
	}
	even, err := r.IsentropicEnthalpy(high, in.Entropy)
	if err != nil {
		return 0
	}
	out, err := r.AtPH(high, in.Enthalpy+(even-in.Enthalpy)/leastEfficiency)
	if err != nil {
		return 0
	}
	superheat, err := r.DischargeSuperheat(high, out.T)
	if err != nil {
		return 0
	}
	return float64(superheat)
}

func (l *look) liquidBack() bool {
	return l.has(cycle.DischargeSuperheat) && l.mean[cycle.DischargeSuperheat] < leastHot/2
}

func (l *look) hot() string {
	if !l.has(cycle.DischargeSuperheat) {
		return ""
	}
	return fmt.Sprintf(", yet discharge gas is %.0f K above condensing", l.mean[cycle.DischargeSuperheat])
}

// hotterThanItCan checks the media against what they cool or are cooled by.
func (l *look) hotterThanItCan() {
	s := l.Circuit.System
	if l.has(cycle.EvaporatorTD) && l.mean[cycle.EvaporatorTD] < 0.5 && l.mode() != Heating && !l.suspect("D26") && !l.doubted(cycle.SuctionPressure) {
		l.doubt(Doubt{
			Rule: "D25", Channels: about(evaporatorMedia[:]...), Hides: true,
			Evidence: fmt.Sprintf("evaporating is %.1f K below the medium that is cooled: no heat goes that way", l.mean[cycle.EvaporatorTD]),
			Remedy:   "check the probe of the medium (on the coil?) and the low pressure",
		})
	}
	l.colderThanCooled()
	if !l.has(cycle.CondenserMedium, cycle.LiquidTemp, cycle.CondenserTD) || s.Kind.Heats() || l.mode() == Heating || l.doubted(cycle.LiquidTemp) || l.doubted(cycle.DischargePressure) {
		return
	}
	if s.Subcooler == table.Yes || s.InternalHeatExchanger == table.Yes {
		return
	}
	colder := l.mean[cycle.CondenserMedium] - l.mean[cycle.LiquidTemp]
	if colder < 1.5 && l.mean[cycle.CondenserTD] > 1 {
		return
	}
	l.doubt(Doubt{
		Rule: "D29", Channels: about(condenserMedia[:]...), Hides: true,
		Evidence: fmt.Sprintf("the air at the condenser reads %.1f °C, condensing is %.1f °C and the liquid leaves at %.1f °C: it cannot be colder than what cools it",
			l.mean[cycle.CondenserMedium], l.mean[cycle.Condensing], l.mean[cycle.LiquidTemp]),
		Remedy: "shade the outdoor probe and keep it out of the condenser's own warm air; or enter the subcooler or internal heat exchanger in systems.csv",
	})
}

// leastWarmed is by how much air must seem to be warmed in an evaporator before a probe lies
// wrong, K.
const leastWarmed = 1.0

// colderThanCooled looks for a probe before the evaporator that is colder than the one behind:
// an evaporator cools.
func (l *look) colderThanCooled() {
	on, off := l.mean[cycle.EvaporatorAirOn], l.mean[cycle.EvaporatorAirOff]
	if !(off-on > leastWarmed) || l.mode() == Heating || l.suspect("D25") {
		return
	}
	l.doubt(Doubt{
		Rule: "D25", Channels: about(evaporatorMedia[:]...), Hides: true,
		Evidence: fmt.Sprintf("the air enters the evaporator with %.1f °C and leaves it with %.1f °C: it cannot be warmed there", on, off),
		Remedy:   "check the probe of the air that is cooled: on the coil, or in each other's place?",
	})
}

// Modes of a machine that can do both.
const (
	Cooling = "cooling"
	Heating = "heating"
)

// mode tells how an air conditioner ran.
func (l *look) mode() string {
	if l.Circuit.System.Kind != register.AirConditioning || len(l.rows) < fewest {
		return ""
	}
	if l.Circuit.Reversed(&l.mean) {
		return Heating
	}
	return Cooling
}
