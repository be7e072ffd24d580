package cycle

import (
	"errors"
	"math"

	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// Reasons why a mean state gives no efficiency, COP or Carnot fraction.
var (
	errWet       = errors.New("suction gas is not superheated: its enthalpy is unknown")
	errFlash     = errors.New("liquid is not subcooled: its enthalpy is unknown")
	errSubcooler = errors.New("a subcooler moves heat from outside the cycle: no Carnot fraction between saturation temperatures")
	errCritical  = errors.New("above the critical point there is no condensing temperature")
)

// Compressor fills in the isentropic efficiency, cooling and heating COP and the
// Carnot fraction of a row of means. Route: refrigerant states; the boundary is
// the compressor's gas stream, no shell loss, no fans, no pumps. It needs suction
// and discharge pressure and temperature, and the liquid temperature for the COPs.
//
// The Carnot fraction is internal: cooling COP over Carnot's between the
// evaporating and condensing (dew) temperatures. It is left out below 8 K lift,
// above the critical point, and with a subcooler, which may put it above 1: R134a
// between 0 and 40 °C with 30 K of subcooling reaches a COP of 7.15, Carnot's
// between these temperatures is 6.83.
func (c *Circuit) Compressor(row *Row) []Lack {
	_, _, lacks := c.compress(row)
	return lacks
}

// compress is Compressor with the states it rests on, where they are known.
func (c *Circuit) compress(row *Row) (states thermo.Cycle, known bool, lacks []Lack) {
	if c.Refrigerant == nil || math.IsNaN(row[SuctionPressure]+row[SuctionTemp]+row[DischargePressure]+row[DischargeTemp]) {
		return states, false, nil
	}
	states, err := c.states(row)
	if err != nil {
		return states, false, []Lack{{IsentropicEfficiency, 1, 0, err.Error()}}
	}
	set := func(q Quantity, v float64, err error) {
		if err != nil {
			lacks = append(lacks, Lack{q, 1, 0, err.Error()})
			return
		}
		row[q] = v
	}
	v, err := thermo.IsentropicEfficiency(c.properties, states.Suction, states.Discharge)
	set(IsentropicEfficiency, v, err)
	if math.IsNaN(row[LiquidTemp]) {
		return states, true, lacks
	}
	if states.Liquid, err = c.liquid(row); err != nil {
		set(CoolingCOP, 0, err)
		return states, true, lacks
	}
	v, err = states.CoolingCOP()
	set(CoolingCOP, v, err)
	v, err = states.HeatingCOP()
	set(HeatingCOP, v, err)
	v, err = c.carnot(row)
	set(CarnotFraction, v, err)
	return states, true, lacks
}

func (c *Circuit) states(row *Row) (thermo.Cycle, error) {
	var s thermo.Cycle
	if row[SuctionTemp] <= row[Evaporating] {
		return s, errWet
	}
	var err error
	if s.Suction, err = c.properties.At(pascal(row[SuctionPressure]), thermo.FromCelsius(row[SuctionTemp])); err != nil {
		return s, err
	}
	s.Outlet = s.Suction
	if out := row[OutletTemp]; out > row[Evaporating] {
		if s.Outlet, err = c.properties.At(pascal(row[SuctionPressure]), thermo.FromCelsius(out)); err != nil {
			return s, err
		}
	}
	s.Discharge, err = c.properties.At(pascal(row[DischargePressure]), thermo.FromCelsius(row[DischargeTemp]))
	return s, err
}

func (c *Circuit) liquid(row *Row) (thermo.State, error) {
	p := row[LiquidPressure]
	if math.IsNaN(p) {
		p = row[DischargePressure]
	}
	if row[Subcooling] <= 0 {
		return thermo.State{}, errFlash
	}
	return c.properties.At(pascal(p), thermo.FromCelsius(row[LiquidTemp]))
}

// colderThanMedium is by how many K liquid below the medium that enters the
// condenser shows a subcooler nobody entered in the register: more than the error
// of two clip-on probes.
const colderThanMedium = 2

func (c *Circuit) carnot(row *Row) (float64, error) {
	switch {
	case math.IsNaN(row[CoolingCOP]):
		return row[CoolingCOP], nil
	case math.IsNaN(row[Condensing]):
		return 0, errCritical
	case c.System.Subcooler == table.Yes || row[LiquidTemp] < row[CondenserMedium]-colderThanMedium:
		return 0, errSubcooler
	}
	return thermo.CarnotFraction(row[CoolingCOP], thermo.FromCelsius(row[Evaporating]), thermo.FromCelsius(row[Condensing]), false)
}
