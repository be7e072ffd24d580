package cycle

import (
	"math"

	"rimelog/pipeline/register"
	"rimelog/thermo"
	"rimelog/thermo/units"
)

// Instruments is what is known of the sensors behind a row: limits of error, plus
// or minus, in the unit of each measured quantity. A limit of the register's is
// taken where the channel names its instrument and the instrument has one,
// otherwise that of a generic class, and then the results say so.
type Instruments struct {
	Limit   [measured]float64
	Generic bool             // some limit is that of the generic class
	Serials []string         // of the instruments named, sorted
	Serial  [measured]string // of the instrument behind each quantity, empty unknown
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
const GenericClass = "generic instruments: pressures ±1 % of span, clip-on probes ±1 K and 1 K contact, air and water probes ±1 K"

// Limits of the generic class. Sources: EN 837-1 class 1.0 for gauges; IEC 60584
// type K and T, class 2 (±1.0 K for type T), for probes; contact error of a
// clip-on probe on bare pipe 0.5 to 2 K, common practice, no source.
const (
	genericSpanShare   = 0.01
	genericProbe       = 1.0  // K
	contact            = 1.0  // K, limit of the contact error of a probe on a pipe
	lowSideStandstill  = 25.0 // °C: the low side gauge must hold the pressure of a machine at rest
	highSideCondensing = 65.0 // °C: the high side gauge must hold a hot day
)

// gaugeRanges are the usual spans of gauges, kPa. Source: EN 837-1, table 1.
var gaugeRanges = [...]float64{600, 1000, 1600, 2500, 4000, 6000, 10000, 16000}

// Generic returns the generic class for a circuit: gauges whose spans fit the
// refrigerant's pressures at 25 °C (low side) and 65 °C (high side).
func (c *Circuit) Generic() Instruments {
	in := Instruments{Generic: true}
	for q := range in.Limit {
		in.Limit[q] = genericProbe
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
	p, err := c.Refrigerant.BubbleP(thermo.FromCelsius(celsius))
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

// Name sets the limit of a quantity from an instrument of the register. It
// returns false where the instrument says no limit in a unit that fits.
func (in *Instruments) Name(q Quantity, i register.Instrument) bool {
	limit, ok := limitOf(q, i)
	if ok {
		in.Limit[q] = limit
	}
	return ok
}

// limitOf is an instrument's limit of error in the unit of a quantity.
func limitOf(q Quantity, i register.Instrument) (float64, bool) {
	limit := i.Limit
	if math.IsNaN(limit) {
		limit = i.LimitPercent / 100 * (i.SpanHigh - i.SpanLow)
	}
	u, err := units.Parse(i.Unit)
	if err != nil || math.IsNaN(limit) || limit < 0 {
		return 0, false
	}
	factor, _ := u.Factor().Float64()
	if want := quantityOf(q); u.Quantity != want && (want != units.Temperature || u.Quantity != units.Difference) {
		return 0, false
	}
	return limit * factor, true
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
// of a row of means, as far as the instruments go: the limits as rectangular
// distributions (JCGM 100:2008, 4.3.7), carried by the slope dT/dp of the
// saturation lines. They do not shrink with more samples.
func (c *Circuit) Uncertainty(row *Row, in Instruments) Row {
	u := NewRow()
	if c.Refrigerant == nil {
		return u
	}
	low := c.ofPressure(c.Refrigerant.DewSlope, row[SuctionPressure], in.Limit[SuctionPressure])
	high := c.ofPressure(c.Refrigerant.DewSlope, row[DischargePressure], in.Limit[DischargePressure])
	u[Evaporating], u[Condensing] = low, high
	u[Superheat] = math.Hypot(low, onPipe(in.Limit[SuctionTemp]))
	u[DischargeSuperheat] = math.Hypot(high, onPipe(in.Limit[DischargeTemp]))
	u[EvaporatorTD] = math.Hypot(low, rectangular(in.Limit[EvaporatorAirOn]))
	u[CondenserTD] = math.Hypot(high, rectangular(in.Limit[CondenserAirOn]))
	p, limit := row[LiquidPressure], in.Limit[LiquidPressure]
	if math.IsNaN(p) {
		p, limit = row[DischargePressure], in.Limit[DischargePressure]
	}
	u[Subcooling] = math.Hypot(c.ofPressure(c.Refrigerant.BubbleSlope, p, limit), onPipe(in.Limit[LiquidTemp]))
	return u
}

// ofPressure is the standard uncertainty of a saturation temperature, K.
func (c *Circuit) ofPressure(slope func(thermo.Pascal) (float64, error), kpa, limit float64) float64 {
	if math.IsNaN(kpa) || kpa <= 0 {
		return math.NaN()
	}
	s, err := slope(pascal(kpa))
	if err != nil {
		return math.NaN()
	}
	return math.Abs(s) * 1000 * rectangular(limit)
}

// onPipe is the standard uncertainty of a pipe's temperature: probe and contact.
func onPipe(limit float64) float64 {
	return math.Hypot(rectangular(limit), rectangular(contact))
}

// rectangular is the standard uncertainty of a value known to lie within ± limit.
func rectangular(limit float64) float64 { return limit / math.Sqrt(3) }
