package demofleet

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"

	"rimelog/pipeline/register"
)

// A kit is a logger with its set of instruments.
type kit struct {
	name     string
	dialect  dialect
	interval time.Duration
	class    class
	sensors  [quantities]sensor
	retired  time.Time // zero: in use to the end
	heir     *kit      // what is used from then on
	tails    float64   // share of clamps that sit badly
	tailGain float64   // how many times larger the gain of such a clamp is
	sun      Range     // how much the sun warms the outdoor probe at noon, K
	lag      float64   // of clamped probes, s
	rated    reading   // of meters that stay: what the machine takes and gives at its design point; 0 where they do not
}

// A class is how good a kit's instruments are: standard deviations between
// instruments of the class, and from one sample to the next.
type class struct {
	name            string
	pressure        float64 // share of span
	temp            float64 // K
	contact         float64 // gain of a clamped probe toward the air around it, 1
	noisePressure   float64 // share of reading
	noiseTemp       float64 // K
	lowSpan, hiSpan float64 // kPa
	noisePower      float64 // share of reading
	power, flow     float64 // of meters, share of reading
}

// Classes of instruments (levels as in the data sheets of the trade; common
// practice, no source).
var (
	laboratory = class{"laboratory", 0.0005, 0.05, 0.002, 0.0004, 0.02, 1600, 4500, 0.002, 0.0025, 0.005}
	fine       = class{"fine", 0.0015, 0.15, 0.008, 0.0008, 0.05, 1600, 4500, 0.004, 0.005, 0.01}
	fair       = class{"fair", 0.0025, 0.3, 0.015, 0.001, 0.08, 1600, 5000, 0.004, 0.01, 0.015}
	simple     = class{"simple", 0.004, 0.5, 0.025, 0.0015, 0.12, 2500, 6000, 0.004, 0.015, 0.02}
)

// classes are all of them.
var classes = []class{laboratory, fine, fair, simple}

// scaled is the class as a mix has it.
func (c class) scaled(x Sensors) class {
	c.pressure *= x.Error
	c.temp *= x.Error
	c.power *= x.Error
	c.flow *= x.Error
	c.contact *= x.Contact
	c.noisePressure *= x.Noise
	c.noiseTemp *= x.Noise
	c.noisePower *= x.Noise
	return c
}

// limit is the limit of error of a pressure or temperature, as the firm's list of instruments
// has it: twice the standard deviation of the class.
func (c class) limit(q quantity) float64 {
	switch q {
	case suctionPressure:
		return 2 * c.pressure * c.lowSpan
	case dischargePressure:
		return 2 * c.pressure * c.hiSpan
	}
	return 2 * c.temp
}

// A sensor is one instrument with its own error.
type sensor struct {
	serial  string
	offset  float64 // in the quantity's unit
	perYear float64 // how the offset grows
	contact float64 // gain toward the surroundings
	paired  bool    // one of a heat meter's probes
	gain    float64 // what it shows too much, as a share: meters of power and flow
}

// newKit draws the instruments of a kit.
func newKit(r *rand.Rand, name string, l logger, x Sensors) *kit {
	c := l.class.scaled(x)
	k := &kit{name: name, dialect: l.dialect, class: c, interval: l.interval, tails: x.Tails, tailGain: x.TailGain, sun: x.Sun, lag: x.Lag}
	for q := range quantities {
		s := sensor{serial: fmt.Sprintf("%s-%02d%02d", name, int(q)+1, r.IntN(90)+10)}
		switch {
		case q == suctionPressure:
			s.offset = c.pressure * c.lowSpan * r.NormFloat64()
		case q == dischargePressure:
			s.offset = c.pressure * c.hiSpan * r.NormFloat64()
		case q == power, q >= speed && q < quantities:
		default:
			s.offset = c.temp * r.NormFloat64()
		}
		if q.pressure() {
			s.perYear = x.Drift * s.offset * r.NormFloat64()
		}
		if q.clamped() {
			s.contact = c.contact * math.Abs(1+0.3*r.NormFloat64())
		}
		k.sensors[q] = s
	}
	k.sensors[power].gain = c.power * r.NormFloat64()
	k.sensors[heatFlow].gain = c.flow * r.NormFloat64()
	return k
}

// pair gives the kit a heat meter's two probes: sorted out as a pair, in pockets.
func (k *kit) pair(r *rand.Rand, in, out quantity) {
	common := pairCommon * r.NormFloat64()
	for _, q := range []quantity{in, out} {
		k.sensors[q].offset, k.sensors[q].paired = common+pairApart*r.NormFloat64(), true
	}
}

// Standard deviations of a heat meter's probes, K (EN 1434 asks of a pair some hundredths
// of its difference at most; levels from memory).
const (
	pairCommon = 0.08
	pairApart  = 0.02
	pairLimit  = 0.05 // as listed, K
)

// clamped tells whether a probe sits on a pipe.
func (q quantity) clamped() bool {
	return q == suctionTemp || q == dischargeTemp || q == liquidTemp
}

// pressure tells whether the quantity is one.
func (q quantity) pressure() bool { return q == suctionPressure || q == dischargePressure }

// on is the kit in use at a time.
func (k *kit) on(t time.Time) *kit {
	for !k.retired.IsZero() && t.After(k.retired) {
		k = k.heir
	}
	return k
}

// channels draws which quantities are logged at a visit: the five that matter
// always, more or fewer of the others.
func (k *kit) channels(r *rand.Rand, m *machine, x Visits) []quantity {
	list := []quantity{suctionPressure, dischargePressure, suctionTemp, liquidTemp, outdoorTemp}
	rest := []quantity{sourceIn, dischargeTemp, sourceOut, power}
	if m.sinkMedium != outdoorAir {
		rest = append(rest, sinkIn, sinkOut)
	}
	if m.variable {
		rest = append(rest, speed)
	}
	list = append(list, m.signals()...)
	for i := range m.warmer {
		rest = append(rest, source2In+quantity(i))
	}
	keep := x.Others
	if r.Float64() < x.Sparse {
		keep = x.SparseOf
	}
	for _, q := range rest {
		if r.Float64() < keep || q == speed || q == sinkIn {
			list = append(list, q)
		}
	}
	return list
}

// rows are the kit's instruments as the firm has listed them, calibrated on a day.
func (k *kit) rows(calibrated time.Time) []register.Instrument {
	var list []register.Instrument
	for q, s := range k.sensors {
		i := register.NewInstrument(s.serial)
		i.Class, i.Calibrated = k.class.name, calibrated
		switch q := quantity(q); {
		case q == suctionPressure, q == dischargePressure:
			i.Kind, i.Unit, i.SpanLow, i.SpanHigh = register.PressureInstrument, "kPa", 0, k.class.lowSpan
			if q == dischargePressure {
				i.SpanHigh = k.class.hiSpan
			}
			i.LimitPercent = 200 * k.class.pressure
		case q == power && k.rated[q] > 0:
			i.Kind, i.Unit, i.Limit = register.PowerInstrument, "kW", 2*k.class.power*k.rated[q]
		case q == heatFlow && k.rated[q] > 0:
			i.Kind, i.Unit, i.Limit = register.FlowInstrument, "m³/h", 2*k.class.flow*k.rated[q]
		case q == power:
			continue
		case q >= speed && q < quantities:
			continue
		case s.paired:
			i.Kind, i.Unit, i.Limit = register.TemperatureInstrument, "°C", pairLimit
		default:
			i.Kind, i.Unit, i.Limit = register.TemperatureInstrument, "°C", 2*k.class.temp
		}
		list = append(list, i)
	}
	return list
}

// A set is a kit as it hangs on a system at one visit: contact of the clamps
// differs each time.
type set struct {
	*kit
	offset   [quantities]float64
	contact  [quantities]float64
	loose    [quantities]bool // clamps that sit badly
	air      float64          // pressure of the air around, kPa
	rng      *rand.Rand
	surround float64 // air around the pipes, °C
	lag      float64 // of clamped probes, s
	felt     [quantities]float64
	last     time.Time
}

// attach fits a kit to a system, when it is of some age.
func (k *kit) attach(r *rand.Rand, altitude, surround float64, age time.Duration) *set {
	s := &set{kit: k, air: airPressure(altitude), rng: r, surround: surround, lag: k.lag * between(r, 0.5, 1.5)}
	for q := range s.contact {
		s.offset[q] = k.sensors[q].offset + k.sensors[q].perYear*float64(age)/float64(year)
		s.contact[q] = k.sensors[q].contact * math.Abs(1+0.35*r.NormFloat64())
		if r.Float64() < k.tails {
			s.contact[q] *= k.tailGain
			s.loose[q] = quantity(q).clamped()
		}
	}
	return s
}

// airPressure is that of the standard atmosphere, kPa (ISO 2533:1975).
func airPressure(altitude float64) float64 {
	return 101.325 * math.Pow(1-2.25577e-5*altitude, 5.25588)
}

// feel lets clamped probes follow the pipe's temperature with their lag.
func (s *set) feel(x *reading, now time.Time) {
	share := 1.0
	if !s.last.IsZero() && s.lag > 0 {
		share = 1 - decay(now.Sub(s.last).Seconds(), s.lag)
	}
	s.last = now
	for q := range x {
		if quantity(q).clamped() {
			s.felt[q] += share * (x[q] - s.felt[q])
			x[q] = s.felt[q]
		}
	}
}

// show is what the kit's instruments make of a true reading.
func (s *set) show(x *reading, q quantity) float64 {
	v := x[q] + s.offset[q]
	switch {
	case q.pressure():
		return v * (1 + s.class.noisePressure*s.rng.NormFloat64())
	case q == power:
		return v * (1 + s.sensors[q].gain) * (1 + s.class.noisePower*s.rng.NormFloat64())
	case q == level:
		return min(max(v+ripple*s.rng.NormFloat64(), 0), 100)
	case q >= speed && q < quantities:
		return v * (1 + s.sensors[q].gain)
	}
	v += s.contact[q] * (s.surround - x[q])
	return v + s.class.noiseTemp*s.rng.NormFloat64()
}
