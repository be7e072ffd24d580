package energy

import (
	"errors"
	"math"

	"rimelog/pipeline/register"
	"rimelog/thermo"
)

// A Route is how the heat behind a COP was found.
type Route uint8

// The routes, the most direct first: where several are there, the first is the
// one that seasons, ranks and savings use.
const (
	ByHeatMeter       Route = iota // flow and temperature rise of the water that is heated or cooled for use
	ByRefrigerantFlow              // refrigerant flow meter and enthalpies
	ByStates                       // enthalpies alone: heat over work per kg, and the shell's loss assumed
	ByAir                          // flow of air from the register, temperatures, moisture by the dew point
	RejectedHeat                   // heat meter on the other side, less or plus the compressor's work
	Routes
)

var routeWords = [Routes]string{"heat meter", "refrigerant flow", "refrigerant states", "air side", "heat meter of the other side"}

func (r Route) String() string { return routeWords[r] }

// ParseRoute returns the route of a word.
func ParseRoute(word string) (Route, bool) {
	for r, w := range routeWords {
		if w == word {
			return Route(r), true
		}
	}
	return 0, false
}

// What the shell of a compressor loses, as a share of its power: the value assumed
// and its limits. A shell gives off 6.7 W/(m² K) by radiation (4·0.9·σ·T³ at 320 K) and
// about 5 by free convection (1.32·(ΔT/D)^¼ of a horizontal cylinder in air; McAdams, Heat
// Transmission, from memory). With 0.2 m² of shell per kW at 1 kW, 0.1 at 5 kW and 0.07 at
// 15 kW (common practice, no source) and 35 K above the air that is 8, 4 and 3 % of the
// power; nothing in a log without a heat meter says where between.
const (
	shellLoss      = 0.055
	shellLossLimit = 0.025
)

// leastSuperheat is how warm above its dew point suction gas must be to be taken for dry, K.
// Where a fixed orifice or a valve too far open lets liquid through, clamp and gauge still show
// some tenths of a kelvin, by their errors and by the warmth around: an air conditioner that ran
// wet all winter looked 40 % better than it was. Common practice, no source: compressors are
// held to be in danger of liquid below 2 to 3 K.
const leastSuperheat = 2.0

// leastSubcooling is how cold below its bubble point liquid must be to be taken for all liquid, K,
// where no vessel before the valve holds liquid: such a circuit is charged to be subcooled by
// several kelvin, and what is left of a tenth of a kelvin is bubbles, of which neither clamp nor
// gauge tells how many. A ground heat pump that had lost a third of its charge looked 13 % better
// than it was. Liquid from a vessel that holds some is at its bubble point, and is liquid. Common
// practice, no source: bubbles in the sight glass below 1 to 2 K.
const leastSubcooling = 1.0

// Superheat gained in the suction line where nothing is known of it, and its
// limits, K. Common practice, no source: 1 to 5 K for short insulated lines.
const (
	lineGain      = 2.5
	lineGainLimit = 2.0
)

// A State is what was measured, as means over a window; NaN where it was not.
type State struct {
	SuctionPressure, DischargePressure, LiquidPressure     float64 // kPa absolute
	SuctionTemp, DischargeTemp, LiquidTemp, EvaporatorExit float64 // °C
	CoilTemp                                               float64 // surface of the evaporator, °C
	Power                                                  float64 // kW
	RefrigerantFlow                                        float64 // kg/s
	SinkIn, SinkOut, SinkFlow                              float64 // water of the condenser: °C, m³/h
	SourceIn, SourceOut, SourceFlow                        float64 // water of the evaporator
	EvaporatorAirOn, EvaporatorAirOff, EvaporatorHumidity  float64 // °C, %
	CondenserAirOn, CondenserAirOff                        float64 // °C
	Outdoor, Room                                          float64 // °C
}

// NewState returns a state of which nothing is known.
func NewState() State {
	nan := math.NaN()
	return State{nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan}
}

// A Machine is what must be known of a system besides its readings.
type Machine struct {
	Refrigerant   *thermo.Fast // nil where unknown: routes that need it are left out
	Kind          register.Kind
	Boundary      register.Boundary // of the power meter
	Receiver      bool              // a vessel before the expansion device holds liquid, or may do
	Superheat     float64           // at the evaporator's outlet by design, K; NaN unknown
	EvaporatorAir float64           // m³/h; NaN unknown
	CondenserAir  float64           // m³/h; NaN unknown
	AirPressure   float64           // kPa
	Mode          string            // Cooling or Heating, as it mostly runs
}

// NewMachine takes what the register says of a system.
func NewMachine(s register.System) *Machine {
	m := &Machine{
		Kind: s.Kind, Boundary: s.Boundary(), Superheat: s.DesignSuperheat, EvaporatorAir: s.EvaporatorAir, CondenserAir: s.CondenserAir,
		AirPressure: AirPressure(s.Altitude), Mode: Cooling, Receiver: s.Receiver == register.HighSideReceiver || s.Receiver == register.ReceiverUnknown,
	}
	if s.Kind.Heats() {
		m.Mode = Heating
	}
	if f, err := properties(s.RefrigerantName); err == nil {
		m.Refrigerant = f
	}
	return m
}

// properties are a refrigerant's fitted curves: within 0.25 mK and some J/kg of its
// equations (thermo's ACCURACY.md), and many times faster.
func properties(name string) (*thermo.Fast, error) {
	r, err := thermo.Lookup(name)
	if err != nil {
		return nil, err
	}
	return r.Fast()
}

// A Result is the performance by one route.
type Result struct {
	Route    Route
	Boundary register.Boundary
	COP      float64 // useful heat over electricity
	Heat     float64 // useful heat, kW; NaN where the power that belongs to it is not known
	Problem  error   // why the route gives nothing although it was measured; nil where it does
}

// Reasons why a route gives nothing.
var (
	errWetGas   = errors.New("suction gas is not superheated by 2 K: it may be wet, and its enthalpy is unknown")
	errFlashGas = errors.New("liquid is not subcooled, or by less than 1 K without a receiver: it may hold bubbles, and its enthalpy is unknown")
	errNoRise   = errors.New("discharge gas is no hotter than compression without loss makes it: check the discharge probe")
)

// Perform works out the COP by each route the state allows, the most direct first.
func (m *Machine) Perform(s State) []Result {
	out, _ := m.perform(s)
	return out
}

// perform also gives what a kilogram does.
func (m *Machine) perform(s State) (out []Result, per perKilogram) {
	add := func(r Route, b register.Boundary, cop, heat float64, err error) {
		if err != nil {
			out = append(out, Result{r, b, math.NaN(), math.NaN(), err})
		} else if finite(cop) {
			out = append(out, Result{r, b, cop, heat, nil})
		}
	}
	heat := m.useful(s)
	add(ByHeatMeter, m.Boundary, heat/s.Power, heat, nil)
	per, err := m.perKilogram(s, shellLoss)
	if finite(s.RefrigerantFlow) && err == nil {
		heat = s.RefrigerantFlow * per.use
		add(ByRefrigerantFlow, m.Boundary, heat/s.Power, heat, nil)
	}
	if finite(s.DischargeTemp + s.SuctionTemp + s.LiquidTemp) {
		add(ByStates, register.Compressor, per.use/per.work, m.heatByStates(s, per), err)
	}
	if heat, err = m.air(s); finite(heat) || err != nil {
		add(ByAir, m.Boundary, heat/s.Power, heat, err)
	}
	heat = m.fromRejected(s)
	add(RejectedHeat, m.Boundary, heat/s.Power, heat, nil)
	return out, per
}

// heatByStates is the heat that the compressor's power stands for, kW; unknown
// where the meter covers more than the compressor.
func (m *Machine) heatByStates(s State, per perKilogram) float64 {
	if m.Boundary != register.Compressor {
		return math.NaN()
	}
	return s.Power * per.use / per.work
}

// perKilogram is what a kilogram of refrigerant gives, and the electricity it
// takes, kJ/kg.
type perKilogram struct {
	use, work       float64
	suction, liquid thermo.JoulePerKg // enthalpy before the compressor and before the expansion device
}

// compressed is a kilogram whose gas leaves the compressor with an enthalpy.
func (m *Machine) compressed(per perKilogram, gas thermo.JoulePerKg, loss float64) (perKilogram, error) {
	rise := float64(gas-per.suction) / 1000
	if rise <= 0 {
		return unknownKilogram, errNoRise
	}
	per.work = rise / (1 - loss)
	if m.Mode == Heating {
		per.use = float64(gas-per.liquid) / 1000
	}
	return per, nil
}

// perKilogram follows a kilogram around the circuit by the measured discharge gas.
func (m *Machine) perKilogram(s State, loss float64) (perKilogram, error) {
	if m.Refrigerant == nil || !finite(s.DischargePressure+s.DischargeTemp) {
		return unknownKilogram, nil
	}
	if dew, err := m.Refrigerant.DewT(pascal(s.SuctionPressure)); err == nil && s.SuctionTemp-dew.Celsius() < leastSuperheat {
		return unknownKilogram, errWetGas
	}
	if m.bubbly(s) {
		return unknownKilogram, errFlashGas
	}
	return m.around(s, loss, func(thermo.State) (thermo.JoulePerKg, error) { return m.discharged(s) })
}

// discharged is the enthalpy of the gas that leaves the compressor, J/kg.
func (m *Machine) discharged(s State) (thermo.JoulePerKg, error) {
	gas, err := m.Refrigerant.At(pascal(s.DischargePressure), thermo.FromCelsius(s.DischargeTemp))
	return gas.Enthalpy, err
}

var unknownKilogram = perKilogram{use: math.NaN(), work: math.NaN()}

// around follows a kilogram around the circuit; compress gives the enthalpy of the
// discharge gas of a suction gas. The gas that leaves the
// evaporator is measured, or taken to be colder than at the compressor by what the
// suction line adds: down to the design superheat, or by lineGain where that is
// unknown.
func (m *Machine) around(s State, loss float64, compress func(thermo.State) (thermo.JoulePerKg, error)) (perKilogram, error) {
	bad := unknownKilogram
	if !finite(s.SuctionPressure + s.DischargePressure + s.SuctionTemp + s.LiquidTemp) {
		return bad, nil
	}
	dew, err := m.Refrigerant.DewT(pascal(s.SuctionPressure))
	if err != nil {
		return bad, err
	}
	if s.SuctionTemp <= dew.Celsius() {
		return bad, errWetGas
	}
	suction, err := m.Refrigerant.At(pascal(s.SuctionPressure), thermo.FromCelsius(s.SuctionTemp))
	if err != nil {
		return bad, err
	}
	discharge, err := compress(suction)
	if err != nil {
		return bad, err
	}
	liquid, err := m.liquid(s)
	if err != nil {
		return bad, err
	}
	per, err := m.compressed(perKilogram{suction: suction.Enthalpy, liquid: liquid}, discharge, loss)
	if err != nil || m.Mode == Heating {
		return per, err
	}
	exit, err := m.exit(s, dew.Celsius())
	per.use = float64(exit-liquid) / 1000
	return per, err
}

// bubbly tells whether what should be liquid may hold bubbles.
func (m *Machine) bubbly(s State) bool {
	bubble, err := m.Refrigerant.BubbleT(pascal(s.beforeValve()))
	return err == nil && !m.Receiver && bubble.Celsius()-s.LiquidTemp < leastSubcooling
}

// beforeValve is the pressure of the liquid, kPa.
func (s State) beforeValve() float64 {
	if finite(s.LiquidPressure) {
		return s.LiquidPressure
	}
	return s.DischargePressure
}

// liquid is the enthalpy before the expansion device, J/kg.
func (m *Machine) liquid(s State) (thermo.JoulePerKg, error) {
	p := s.beforeValve()
	if bubble, err := m.Refrigerant.BubbleT(pascal(p)); err == nil && s.LiquidTemp >= bubble.Celsius() {
		return 0, errFlashGas
	}
	l, err := m.Refrigerant.At(pascal(p), thermo.FromCelsius(s.LiquidTemp))
	return l.Enthalpy, err
}

// exit is the enthalpy of the gas that leaves the evaporator, J/kg.
func (m *Machine) exit(s State, dew float64) (thermo.JoulePerKg, error) {
	gas, err := m.Refrigerant.At(pascal(s.SuctionPressure), thermo.FromCelsius(m.exitTemp(s, dew)))
	return gas.Enthalpy, err
}

// exitTemp is the temperature of the gas that leaves the evaporator, °C, measured
// or by the rule of perKilogram.
func (m *Machine) exitTemp(s State, dew float64) float64 {
	if finite(s.EvaporatorExit) && s.EvaporatorExit > dew {
		return s.EvaporatorExit
	}
	superheat := s.SuctionTemp - dew
	gain := lineGain
	if finite(m.Superheat) {
		gain = superheat - m.Superheat
	}
	return s.SuctionTemp - max(0, min(gain, superheat-0.1))
}

func pascal(kpa float64) thermo.Pascal { return thermo.Pascal(kpa * 1000) }
