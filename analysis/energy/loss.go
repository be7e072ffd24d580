package energy

import (
	"math"

	"rimelog/thermo"
)

// The parts of the split, in the order in which they are taken from the least work
// to the real one.
const (
	CarnotWork        = "least work between the media"
	EvaporatorLoss    = "evaporator difference"
	CondenserLoss     = "condenser difference"
	HeadPressureFloor = "head-pressure floor"
	CycleLoss         = "throttling and hot gas"
	SuperheatLoss     = "superheat"
	SubcoolingLoss    = "subcooling"
	SuctionLineLoss   = "suction line"
	CompressorLosses  = "compressor"
)

// justSaturated is by how much liquid lies below the bubble point where it counts
// as just saturated, and gas above the dew point, K.
const justSaturated = 0.02

// A Loss is one part of the electricity.
type Loss struct {
	Part  string
	K     float64 // its size: the temperature difference behind it; NaN where it is none
	Share float64 // of the electricity; below 0 where it saves
}

// A Chain is what the split starts from.
type Chain struct {
	Source, Sink float64 // media entering, °C
	State        State
	// FloorK is how much of the condenser's difference is the control's, holding head
	// pressure up in cold weather, K.
	FloorK float64
}

// Split parts the electricity of the compressor. For the useful heat of a
// kilojoule it takes Carnot's work between the media, then between the evaporating
// and the sink's temperature, then the condensing one, then that of a cycle of dry
// saturated gas, just saturated liquid and compression without loss; then come the
// superheat of the evaporator, subcooling, the suction line, and what the
// compressor adds with its shell. Each part is what its step adds; together they
// are the whole. The order is a choice: another would move some of one part into
// its neighbours. Subcooling saves, and its share is below zero.
func (m *Machine) Split(c Chain) ([]Loss, error) {
	cycle, err := m.cycle(c.State)
	if err != nil {
		return nil, err
	}
	return cycle.split(c, m.Mode == Heating), nil
}

// A Cycle is what a state's split rests on, whatever its media: all of it that asks for
// properties of the refrigerant.
type Cycle struct {
	evaporating, condensing, exit, bubble float64 // °C
	steps                                 [4]float64
	real                                  float64 // work per useful heat, as steps are
}

// cycle works it out.
func (m *Machine) cycle(s State) (c Cycle, err error) {
	per, err := m.perKilogram(s, shellLoss)
	if err != nil {
		return c, err
	}
	c.evaporating, c.condensing, c.bubble, c.real = m.evaporating(s), m.condensing(s), m.bubble(s), per.work/per.use
	c.exit = m.exitTemp(s, c.evaporating)
	c.steps, err = m.idealSteps(s, c.evaporating)
	return c, err
}

// parts lists its figures in a fixed order.
func (c *Cycle) parts() [9]*float64 {
	return [...]*float64{&c.evaporating, &c.condensing, &c.exit, &c.bubble, &c.steps[0], &c.steps[1], &c.steps[2], &c.steps[3], &c.real}
}

// split parts the electricity between media.
func (c Cycle) split(of Chain, heating bool) []Loss {
	te, tc := c.evaporating, c.condensing
	floor := math.Max(0, math.Min(of.FloorK, tc-of.Sink))
	w := []float64{
		0,
		least(of.Source, of.Sink, heating), least(te, of.Sink, heating), least(te, tc-floor, heating), least(te, tc, heating),
		c.steps[0], c.steps[1], c.steps[2], c.steps[3], c.real,
	}
	gas := of.State.SuctionTemp - te
	names := []Loss{
		{Part: CarnotWork, K: of.Sink - of.Source}, {Part: EvaporatorLoss, K: of.Source - te}, {Part: CondenserLoss, K: tc - floor - of.Sink},
		{Part: HeadPressureFloor, K: floor}, {Part: CycleLoss, K: math.NaN()}, {Part: SuperheatLoss, K: c.exit - te},
		{Part: SubcoolingLoss, K: c.bubble - of.State.LiquidTemp}, {Part: SuctionLineLoss, K: gas - (c.exit - te)}, {Part: CompressorLosses, K: math.NaN()},
	}
	for i := range names {
		names[i].Share = (w[i+1] - w[i]) / c.real
	}
	return names
}

// least is Carnot's work for a kilojoule of useful heat between two temperatures,
// °C; below 0 where heat flows by itself.
func least(cold, hot float64, heating bool) float64 {
	if heating {
		return (hot - cold) / (hot + 273.15)
	}
	return (hot - cold) / (cold + 273.15)
}

// idealSteps is the work per useful heat of compression without loss: with dry
// saturated gas and just saturated liquid; with the evaporator's superheat; with
// subcooling too; with the suction line too.
func (m *Machine) idealSteps(s State, te float64) (w [4]float64, err error) {
	saturated := s
	saturated.SuctionTemp, saturated.EvaporatorExit = te+justSaturated, te+justSaturated
	saturated.LiquidTemp = m.bubble(s) - justSaturated
	exit := m.exitTemp(s, te)
	warm := saturated
	warm.SuctionTemp, warm.EvaporatorExit = exit, exit
	cold := warm
	cold.LiquidTemp = s.LiquidTemp
	line := cold
	line.SuctionTemp = s.SuctionTemp
	for i, step := range []State{saturated, warm, cold, line} {
		if w[i], err = m.ideal(step); err != nil {
			return w, err
		}
	}
	return w, nil
}

// ideal is the work per useful heat of a cycle whose compression is isentropic.
func (m *Machine) ideal(s State) (float64, error) {
	per, err := m.around(s, 0, func(suction thermo.State) (thermo.JoulePerKg, error) {
		return m.Refrigerant.IsentropicEnthalpy(pascal(s.DischargePressure), suction.Entropy)
	})
	return per.work / per.use, err
}

// bubble is the bubble temperature at the liquid's pressure, °C.
func (m *Machine) bubble(s State) float64 {
	t, err := m.Refrigerant.BubbleT(pascal(firstOf(s.LiquidPressure, s.DischargePressure)))
	if err != nil {
		return math.NaN()
	}
	return t.Celsius()
}

// Sensitivity is how much of the electricity a kelvin less of a part saves, as a
// share, about a state: of the evaporator's difference by a warmer evaporating
// temperature, of the condenser's by a colder condensing one, with the rest of the
// cycle as it is. NaN for parts that are no temperature difference.
func (m *Machine) Sensitivity(part string, s State) float64 {
	base, err := m.ideal(s)
	if err != nil {
		return math.NaN()
	}
	moved := s
	switch part {
	case EvaporatorLoss:
		moved.SuctionPressure = m.pressureAt(m.evaporating(s) + 1)
		moved.SuctionTemp, moved.EvaporatorExit = s.SuctionTemp+1, s.EvaporatorExit+1
	case CondenserLoss, HeadPressureFloor:
		moved.DischargePressure = m.pressureAt(m.condensing(s) - 1)
		moved.LiquidPressure = math.NaN()
		moved.LiquidTemp = s.LiquidTemp - 1
	case SuperheatLoss:
		moved.SuctionTemp, moved.EvaporatorExit = s.SuctionTemp-1, s.EvaporatorExit-1
	case SuctionLineLoss:
		moved.EvaporatorExit = m.exitTemp(s, m.evaporating(s))
		moved.SuctionTemp = s.SuctionTemp - 1
	case SubcoolingLoss: // a kelvin less of it costs
		moved.LiquidTemp = s.LiquidTemp + 1
	default:
		return math.NaN()
	}
	w, err := m.ideal(moved)
	if err != nil {
		return math.NaN()
	}
	return 1 - w/base
}

func (m *Machine) pressureAt(celsius float64) float64 {
	p, err := m.Refrigerant.DewP(thermo.FromCelsius(celsius))
	if err != nil {
		return math.NaN()
	}
	return float64(p) / 1000
}
