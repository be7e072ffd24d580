package cycle

import (
	"math"
	"time"

	"rimelog/pipeline/register"
	"rimelog/thermo"
	"rimelog/thermo/units"
)

// Instruments is what is known of the sensors behind a row: limits of error, plus
// or minus, in the unit of each measured quantity. A limit of the register's is
// taken where the channel names its instrument and the instrument has one,
// otherwise that of a generic class, and then the results say so.
type Instruments struct {
	Limit     [measured]float64
	Stated    [measured]bool    // the limit is an instrument's own, of two standard deviations; else that of a class
	Named     [measured]bool    // the register names the instrument, so that its clamp is known
	Offset    [measured]float64 // what it shows too much, from its calibration, in the quantity's unit
	Years     [measured]float64 // since its calibration, of an instrument with a limit of its own
	Gain      [measured]float64 // of a clamp toward the air around, 1: the mean of its class
	Reference [measured]float64 // standard uncertainty of the air's pressure that a gauge pressure counts from, kPa; 0 of an absolute one
	Blend     float64           // standard uncertainty of saturation temperatures from the blend's composition, K
	Generic   bool              // some limit is that of the generic class
	Serials   []string          // of the instruments named, sorted
	Serial    [measured]string  // of the instrument behind each quantity, empty unknown
}

// SerialOf is the serial number of the instrument behind a measured quantity, or empty.
func (in Instruments) SerialOf(q Quantity) string {
	if q >= measured {
		return ""
	}
	return in.Serial[q]
}

// GenericClass describes the instruments that are assumed where the register
// names none.
const GenericClass = "generic instruments: pressures ±1 % of span, clip-on probes ±1 K with a contact gain of 0.025 toward the air, air and water probes ±1 K"

// Limits of the generic class. Sources: EN 837-1 class 1.0 for gauges; IEC 60584
// type K and T, class 2 (±1.0 K for type T), for probes.
const (
	genericSpanShare   = 0.01
	genericProbe       = 1.0  // K
	lowSideStandstill  = 25.0 // °C: the low side gauge must hold the pressure of a machine at rest
	highSideCondensing = 65.0 // °C: the high side gauge must hold a hot day
)

// unknownAltitude is how far the air's pressure lies from that at sea level, which gauge
// pressures count from at a site whose height nobody wrote down, root mean square, kPa. The
// fewer people live at a height the higher it is, by half every 194 m (the median height:
// Cohen and Small, PNAS 95 (1998) 14009, from memory), so that heights are of 396 m root mean
// square; the air loses 11.9 Pa in a metre there (ISO 2533:1975).
const unknownAltitude = 396 * 0.0119

// gaugeRanges are the usual spans of gauges, kPa. Source: EN 837-1, table 1.
var gaugeRanges = [...]float64{600, 1000, 1600, 2500, 4000, 6000, 10000, 16000}

// pressures are the quantities that a gauge may show.
var pressures = [...]Quantity{SuctionPressure, DischargePressure, LiquidPressure}

// Generic returns the generic class for a circuit: gauges whose spans fit the
// refrigerant's pressures at 25 °C (low side) and 65 °C (high side).
func (c *Circuit) Generic() Instruments {
	in := Instruments{Generic: true}
	for q := range in.Limit {
		in.Limit[q] = genericProbe
	}
	for _, q := range clamps {
		in.Gain[q] = clampGain(genericProbe)
	}
	if math.IsNaN(c.System.Altitude) {
		for _, q := range pressures {
			in.Reference[q] = unknownAltitude
		}
	}
	in.Limit[SuctionPressure] = genericSpanShare * c.gaugeSpan(lowSideStandstill)
	in.Limit[DischargePressure] = genericSpanShare * c.gaugeSpan(highSideCondensing)
	in.Limit[LiquidPressure] = in.Limit[DischargePressure]
	return in
}

func (c *Circuit) gaugeSpan(celsius float64) float64 {
	largest := gaugeRanges[len(gaugeRanges)-1]
	if c.Refrigerant == nil {
		return largest
	}
	p, err := c.properties.BubbleP(thermo.FromCelsius(celsius))
	if err != nil { // above the critical point
		return largest
	}
	for _, span := range gaugeRanges {
		if span >= float64(p)/1000 {
			return span
		}
	}
	return largest
}

// A Probe is what an instrument of the register says of a quantity, in the quantity's unit.
type Probe struct {
	Quantity Quantity
	Limit    float64 // on the error; not a number where none is known
	Stated   bool    // that the register states the limit, where else the class implies it
	Offset   float64 // of the calibration; not a number where none is told

	calibrated time.Time // when; zero unknown
}

// A calibration counts as so old where its date is not known, or lies after the reading:
// instruments are calibrated once a year (common practice, no source).
const usualYears = 1.0

const year = 8766 * time.Hour

// years is how old the probe's calibration is at a time.
func (p Probe) years(at time.Time) float64 {
	if p.calibrated.IsZero() || at.Before(p.calibrated) {
		return usualYears
	}
	return float64(at.Sub(p.calibrated)) / float64(year)
}

// ProbeOf is what an instrument says of a quantity. A limit is known where the register
// states one in a unit that fits, or a class that a standard gives one.
func ProbeOf(q Quantity, i register.Instrument) Probe {
	factor, fits := factorOf(q, i)
	if !fits {
		return Probe{Quantity: q, Limit: classLimit(q, i, factor), Offset: math.NaN()}
	}
	p := Probe{Quantity: q, Limit: i.Limit * factor, Stated: true, Offset: i.Offset * factor, calibrated: i.Calibrated}
	if math.IsNaN(p.Limit) {
		p.Limit = i.LimitPercent / 100 * (i.SpanHigh - i.SpanLow) * factor
	}
	if !(p.Limit >= 0) {
		p.Limit, p.Stated = classLimit(q, i, factor), false
	}
	return p
}

// Name sets limit, calibration offset and clamp of a quantity from the probe that measured it
// at a time. It returns false where the probe's limit is not known.
func (in *Instruments) Name(p Probe, at time.Time) bool {
	q := p.Quantity
	if !math.IsNaN(p.Offset) {
		in.Offset[q] = p.Offset
	}
	if !(p.Limit >= 0) {
		return false
	}
	in.Limit[q], in.Stated[q], in.Named[q] = p.Limit, p.Stated, true
	in.Age(p, at)
	if isClamp(q) {
		in.Gain[q] = clampGain(p.Limit)
	}
	return true
}

// Age sets how old the calibration of a probe that was named is at a time.
func (in *Instruments) Age(p Probe, at time.Time) { in.Years[p.Quantity] = p.years(at) }

// factorOf turns an instrument's unit into that of a quantity.
func factorOf(q Quantity, i register.Instrument) (float64, bool) {
	u, err := units.Parse(i.Unit)
	if err != nil {
		return 1, false
	}
	factor, _ := u.Factor().Float64()
	want := quantityOf(q)
	return factor, u.Quantity == want || want == units.Temperature && u.Quantity == units.Difference
}

func quantityOf(q Quantity) units.Quantity {
	switch q {
	case SuctionPressure, DischargePressure, LiquidPressure:
		return units.Pressure
	case SinkFlow:
		return units.VolumeFlow
	case Power:
		return units.Power
	case Current:
		return units.Current
	case Speed:
		return units.Frequency
	}
	return units.Temperature
}

// Uncertainty returns the standard uncertainties of the temperature differences
// of a row of means, as far as the instruments go: carried by the slope dT/dp of the
// saturation lines. They do not shrink with more samples.
func (c *Circuit) Uncertainty(row *Row, in Instruments) Row {
	u := NewRow()
	for q, b := range c.slopes(row).budgets(&in) {
		u[q] = b.Standard()
	}
	return u
}

// Budgets are the uncertainties of what a sample's derived quantities are.
type Budgets [sampled]Budget

// Budgets returns the uncertainty of each derived temperature and difference, as far
// as the instruments go, and that of its difference between visits with the same
// instruments: what these show too much cancels, how clamps sit does not. UnknownBudget of
// what cannot be worked out.
func (c *Circuit) Budgets(row *Row, in *Instruments) (is, again Budgets) {
	s := c.slopes(row)
	is = s.budgets(in)
	same := *in
	for q := range same.Limit {
		same.Limit[q] *= zeroMoves
	}
	same.Reference, same.Blend = [measured]float64{}, 0 // the site stays, and the composition until the next top-up, which begins a new baseline
	return is, s.budgets(&same)
}

// zeroMoves is the standard uncertainty of a pressure sensor's zero from one visit to
// the next, as a share of its limit of error (common practice, no source).
const zeroMoves = 0.1

// slopes are how saturation temperatures of a row of means move with its pressures, K/kPa;
// NaN where that is not known.
type slopes struct {
	row               *Row
	air               Air
	low, high, bubble float64
}

func (c *Circuit) slopes(row *Row) slopes {
	at := func(line func(thermo.Pascal) (float64, error), kpa float64) float64 {
		if c.Refrigerant == nil || math.IsNaN(kpa) || kpa <= 0 {
			return math.NaN()
		}
		s, err := line(pascal(kpa))
		if err != nil {
			return math.NaN()
		}
		return math.Abs(s) * 1000
	}
	return slopes{
		row, c.around(row), at(c.dewSlope, row[SuctionPressure]), at(c.dewSlope, row[DischargePressure]),
		at(c.bubbleSlope, either(row[LiquidPressure], row[DischargePressure])),
	}
}

func (s slopes) budgets(in *Instruments) (out Budgets) {
	for q := range out {
		out[q] = UnknownBudget()
	}
	suction, liquid := SuctionTemp, LiquidPressure
	if math.IsNaN(s.row[suction]) {
		suction = OutletTemp
	}
	if math.IsNaN(s.row[liquid]) {
		liquid = DischargePressure
	}
	pipe := func(q Quantity) Budget { return in.onPipe(q, s.row[q], s.air) }
	if low := in.saturation(SuctionPressure, s.low); !math.IsNaN(s.low) {
		out[Evaporating], out[Superheat], out[EvaporatorTD] = low, sum(low, pipe(suction)), sum(low, in.reading(EvaporatorAirOn, 1))
	}
	if high := in.saturation(DischargePressure, s.high); !math.IsNaN(s.high) {
		out[Condensing], out[DischargeSuperheat], out[CondenserTD] = high, sum(high, pipe(DischargeTemp)), sum(high, in.reading(CondenserAirOn, 1))
	}
	if !math.IsNaN(s.bubble) {
		out[Subcooling] = sum(in.saturation(liquid, s.bubble), pipe(LiquidTemp))
	}
	return out
}

// saturation is the uncertainty of the saturation temperature at a pressure, with which it
// moves by a slope, K/kPa.
func (in *Instruments) saturation(q Quantity, slope float64) Budget {
	b := in.reading(q, slope)
	b.add(in.Reference[q]*slope, normal)
	b.add(in.Blend, normal)
	return b
}

// drifts is how far an instrument moves in a year, as a share of what its paper states, once
// it is calibrated: the membrane of a pressure sensor creeps, a resistance hardly does (common
// practice, no source).
func drifts(q Quantity) float64 {
	if quantityOf(q) == units.Pressure {
		return 0.33
	}
	return 0.15
}

// Doubt is the standard uncertainty of a reading, in its unit: of the instrument's, and of a
// gauge's also of the air's pressure.
func (in *Instruments) Doubt(q Quantity) float64 {
	b := in.reading(q, 1)
	b.add(in.Reference[q], normal)
	return b.Standard()
}

// reading is the uncertainty of an instrument's reading, times a sensitivity. What a
// paper states counts as two standard deviations, the usual coverage of data sheets
// and certificates (JCGM 100:2008, 4.3.4); a class of a standard as a rectangular
// distribution (4.3.7).
func (in *Instruments) reading(q Quantity, sensitivity float64) (b Budget) {
	if in.Stated[q] {
		b.add(in.Limit[q]/2*sensitivity, normal)
		b.add(drifts(q)*in.Years[q]*in.Limit[q]/2*sensitivity, normal)
		return b
	}
	b.add(in.Limit[q]/math.Sqrt(3)*sensitivity, rectangular)
	return b
}
