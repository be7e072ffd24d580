package cycle

import (
	"math"
	"slices"

	"rimelog/pipeline/register"
	"rimelog/thermo"
)

// A Circuit is what must be known of a system to work out its cycle.
type Circuit struct {
	System      register.System
	Refrigerant *thermo.Refrigerant // nil where it is not known: what needs it is left out, with that reason

	properties            thermo.Properties
	dew, bubble           curve
	dewSlope, bubbleSlope func(thermo.Pascal) (float64, error)
}

// NewCircuit looks up the system's refrigerant, with curves and patches fitted to its
// equations (building them takes some ten milliseconds for each refrigerant and process):
// within 0.25 mK of saturation and some J/kg of enthalpy, which is what 0.01 K changes. An
// unknown one is an error beside a circuit that still gives what needs no refrigerant.
func NewCircuit(s register.System) (*Circuit, error) {
	c, err := NewExactCircuit(s)
	if err != nil || c.Refrigerant == nil {
		return c, err
	}
	f, err := c.Refrigerant.Fast()
	if err != nil {
		return c, nil // the equations answer as well, only slower
	}
	c.properties = f
	c.dew, c.bubble = curve{of: f.DewT}, curve{of: f.BubbleT}
	c.dewSlope, c.bubbleSlope = f.DewSlope, f.BubbleSlope
	return c, nil
}

// NewExactCircuit is NewCircuit without curves: for a few values only.
func NewExactCircuit(s register.System) (*Circuit, error) {
	c := &Circuit{System: s}
	if s.RefrigerantName == "" {
		return c, nil
	}
	r, err := thermo.Lookup(s.RefrigerantName)
	if err != nil {
		return c, err
	}
	c.Refrigerant, c.properties = r, r
	c.dew, c.bubble = exactCurve(r.DewT), exactCurve(r.BubbleT)
	c.dewSlope, c.bubbleSlope = r.DewSlope, r.BubbleSlope
	return c, nil
}

// A Lack is a quantity that could not be worked out in some rows.
type Lack struct {
	Quantity Quantity
	Rows     int    // how many
	First    int    // the first of them
	Reason   string // why, for the first of them
}

// Derive fills in the derived quantities of every sample and returns what could
// not be worked out, counted over rows from up to, not including, to. Gaps in what
// was measured are gaps in what follows, and no Lack.
func (c *Circuit) Derive(s *Columns, from, to int) []Lack {
	s.from, s.to = from, to
	var lacks []Lack
	note := func(l Lack) {
		if l.Rows > 0 {
			lacks = append(lacks, l)
		}
	}
	s.Values[CondenserMedium] = s.chosen(c.condenserMedia()...)
	s.Values[EvaporatorMedium] = s.chosen(c.evaporatorMedia()...)
	note(c.saturation(s, Evaporating, s.Values[SuctionPressure], &c.dew))
	note(c.saturation(s, Condensing, s.Values[DischargePressure], &c.dew))
	s.subtract(Superheat, s.chosen(SuctionTemp, OutletTemp), s.Values[Evaporating])
	s.subtract(DischargeSuperheat, s.Values[DischargeTemp], s.Values[Condensing])
	s.subtract(CondenserTD, s.Values[Condensing], s.Values[CondenserMedium])
	s.subtract(EvaporatorTD, s.Values[EvaporatorMedium], s.Values[Evaporating])
	note(c.subcooling(s))
	note(ratio(s))
	note(sinkHeat(s))
	return lacks
}

// condenserMedia lists the channels that may say what enters the condenser, best
// first. A heat pump heats water, or the room.
func (c *Circuit) condenserMedia() []Quantity {
	if c.System.Kind.Heats() {
		return []Quantity{SinkInlet, CondenserAirOn, RoomTemp}
	}
	return []Quantity{CondenserAirOn, SinkInlet, OutdoorTemp}
}

// evaporatorMedia lists the channels that may say what enters the evaporator,
// best first. A heat pump takes its heat from the air outdoors, or from brine or
// water, for which the air does not stand in.
func (c *Circuit) evaporatorMedia() []Quantity {
	switch c.System.Kind {
	case register.GroundHeatPump, register.WaterHeatPump:
		return []Quantity{SourceInlet}
	case register.AirHeatPump:
		return []Quantity{SourceInlet, EvaporatorAirOn, OutdoorTemp}
	}
	return []Quantity{EvaporatorAirOn, SourceInlet, RoomTemp}
}

// logGap parts logs, microseconds: another log may have other channels.
const logGap = 3600e6

// chosen is the first of some channels that has a value, log by log; nil where none has.
func (c *Columns) chosen(choice ...Quantity) []float64 {
	there := slices.DeleteFunc(slices.Clone(choice), func(q Quantity) bool { return !c.Has(q) })
	if len(there) < 2 {
		return c.Values[append(there, choice[0])[0]]
	}
	out := make([]float64, c.Rows())
	for from, i := 0, 1; i <= c.Rows(); i++ {
		if i < c.Rows() && float64(c.Time[i]-c.Time[i-1]) <= logGap {
			continue
		}
		best := there[0]
		for _, q := range there {
			if slices.ContainsFunc(c.Values[q][from:i], func(v float64) bool { return v == v }) {
				best = q
				break
			}
		}
		copy(out[from:i], c.Values[best][from:i])
		from = i
	}
	return out
}

// column returns a column to fill: each of its rows, since it may hold what was read before.
func (c *Columns) column(q Quantity) []float64 {
	if cap(c.rooms[q]) < c.Rows() {
		c.rooms[q] = make([]float64, c.Rows())
	}
	c.Values[q] = c.rooms[q][:c.Rows()]
	return c.Values[q]
}

// subtract fills in a difference where both of its sides are there.
func (c *Columns) subtract(q Quantity, above, below []float64) {
	if above == nil || below == nil {
		return
	}
	for i := range c.column(q) {
		c.Values[q][i] = above[i] - below[i]
	}
}

func (c *Circuit) saturation(s *Columns, q Quantity, p []float64, line *curve) Lack {
	lack := Lack{Quantity: q}
	if p == nil {
		return lack
	}
	if c.Refrigerant == nil {
		return Lack{q, s.to - s.from, s.from, "the register does not name a refrigerant that is known"}
	}
	var seen recent
	out := s.column(q)
	for i, kpa := range p {
		k := seen.place(kpa)
		if k.kpa == kpa && kpa > 0 {
			out[i] = k.t
			continue
		}
		t, err := line.at(kpa)
		if out[i] = t; err == nil {
			*k = saturationAt{kpa, t}
		}
		lack.count(s, i, err)
	}
	return lack
}

// recent remembers saturation temperatures of some pressures, each at one place: loggers
// print few digits, so that neighbours repeat each other.
type recent [256]saturationAt

type saturationAt struct{ kpa, t float64 } // the zero one is of no pressure

// place is where a pressure is remembered: by the highest bits of its product with the
// golden ratio's (Knuth, The Art of Computer Programming 3, 6.4).
func (r *recent) place(kpa float64) *saturationAt {
	return &r[math.Float64bits(kpa)*0x9e3779b97f4a7c15>>56]
}

func (l *Lack) count(s *Columns, row int, err error) {
	if err == nil || row < s.from || row >= s.to {
		return
	}
	if l.Rows == 0 {
		l.First, l.Reason = row, err.Error()
	}
	l.Rows++
}

func (c *Circuit) subcooling(s *Columns) Lack {
	if !s.Has(LiquidTemp) {
		return Lack{}
	}
	lack := c.saturation(s, Subcooling, s.chosen(LiquidPressure, DischargePressure), &c.bubble)
	if s.Has(Subcooling) {
		for i, t := range s.Values[LiquidTemp] {
			s.Values[Subcooling][i] -= t
		}
	}
	return lack
}

func ratio(s *Columns) Lack {
	lack := Lack{Quantity: PressureRatio}
	if !s.Has(SuctionPressure) || !s.Has(DischargePressure) {
		return lack
	}
	low, high := s.Values[SuctionPressure], s.Values[DischargePressure]
	for i := range s.column(PressureRatio) {
		s.Values[PressureRatio][i] = high[i] / low[i]
		if low[i] <= 0 {
			s.Values[PressureRatio][i] = math.NaN()
			lack.count(s, i, errVacuum)
		}
	}
	return lack
}

func sinkHeat(s *Columns) Lack {
	lack := Lack{Quantity: SinkHeat}
	if !s.Has(SinkFlow) || !s.Has(SinkInlet) || !s.Has(SinkOutlet) {
		return lack
	}
	flow, in, out := s.Values[SinkFlow], s.Values[SinkInlet], s.Values[SinkOutlet]
	for i := range s.column(SinkHeat) {
		kw, err := WaterHeat(flow[i], in[i], out[i])
		s.Values[SinkHeat][i] = kw
		lack.count(s, i, err)
	}
	return lack
}
