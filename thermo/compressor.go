package thermo

import (
	"errors"
	"fmt"
	"math"
)

// Polynomial is the ten-coefficient form in which compressor makers publish
// mass flow and power over the saturation temperatures S (suction) and D
// (discharge):
//
//	X = C1 + C2*S + C3*D + C4*S^2 + C5*S*D + C6*D^2 + C7*S^3 + C8*D*S^2 + C9*S*D^2 + C10*D^3
//
// Source: AHRI Standard 540 and EN 12900 (same form and order).
type Polynomial [10]float64

// At evaluates the polynomial.
func (c *Polynomial) At(s, d float64) float64 {
	return c[0] + c[1]*s + c[2]*d + c[3]*s*s + c[4]*s*d + c[5]*d*d +
		c[6]*s*s*s + c[7]*d*s*s + c[8]*s*d*d + c[9]*d*d*d
}

// MapUnits are the units of a published map. The publication must say them.
type MapUnits uint8

// The units in use.
const (
	MapSI MapUnits = iota // degrees C, kg/h, W
	MapIP                 // degrees F, lb/h, W
)

// CompressorMap is a published pair of polynomials with the conditions they
// were rated at. It does not hold for the high side of a transcritical plant.
type CompressorMap struct {
	Flow, Power Polynomial
	Units       MapUnits
	// Midpoint says that the saturation temperatures are means of bubble and
	// dew temperature; otherwise they are dew temperatures.
	Midpoint bool
	// RatedReturn is the suction gas temperature of the rating (EN 12900: 20
	// degrees C, 293.15 K). When 0, RatedSuperheat is used (AHRI 540: often 20
	// degrees F, 11.1 K).
	RatedReturn    Kelvin
	RatedSuperheat Kelvin
	// Envelope in saturation temperatures: the polynomial explodes outside it.
	SuctionMin, SuctionMax     Kelvin
	DischargeMin, DischargeMax Kelvin
	// FlowFactor is F of the suction-state correction; 0 means 0.75.
	FlowFactor float64
}

// defaultFlowFactor is Dabiri & Rice's (ASHRAE Trans. 87, 1981; name and value
// from memory, formula as in AHRI 540).
const defaultFlowFactor = 0.75

const (
	kgPerPound = 0.45359237 // exact, international pound (NIST SP 811)
	perHour    = 1.0 / 3600
)

// Validate returns everything wrong with the map, joined.
func (m *CompressorMap) Validate() error {
	var bad []error
	for i := range m.Flow {
		if !finite(m.Flow[i]) || !finite(m.Power[i]) {
			bad = append(bad, fmt.Errorf("coefficient C%d is not a number", i+1))
		}
	}
	if m.Units > MapIP {
		bad = append(bad, fmt.Errorf("units %d are unknown: want MapSI or MapIP", m.Units))
	}
	if m.RatedReturn == 0 && !(m.RatedSuperheat > 0) {
		bad = append(bad, errors.New("neither the rated suction gas temperature nor the rated superheat is given"))
	}
	if !(m.SuctionMin < m.SuctionMax && m.DischargeMin < m.DischargeMax) {
		bad = append(bad, errors.New("the envelope is empty: want SuctionMin < SuctionMax and DischargeMin < DischargeMax"))
	}
	if m.FlowFactor < 0 || m.FlowFactor > 1 {
		bad = append(bad, fmt.Errorf("flow factor %g: want 0 to 1", m.FlowFactor))
	}
	return errors.Join(bad...)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// MapPoint is what a compressor map says at one operating point.
type MapPoint struct {
	Flow               KgPerSecond // corrected to the actual suction state
	Power              Watt        // corrected likewise
	RatedFlow          KgPerSecond // as the polynomial gives it
	RatedPower         Watt
	Efficiency         float64 // isentropic efficiency at the rated suction state
	Suction, Discharge Kelvin  // saturation temperatures used
}

// Plausible isentropic efficiency of a map point; outside it the units or the
// refrigerant are wrong. Common practice, no source.
const (
	leastEfficiency = 0.2
	mostEfficiency  = 0.85
)

// At evaluates the map for suction gas at p1 and t1 and discharge pressure p2.
//
// The polynomial's flow is corrected by the specific volumes of rated and
// actual suction gas, flow = rated*(1 + F*(v_rated/v_actual - 1)), and the power
// by the flow and the isentropic work, both as in AHRI 540.
//
// Errors: *RangeError outside the envelope; an error that names the likely
// cause when flow, power or efficiency cannot be right.
func (m *CompressorMap) At(props Properties, p1 Pascal, t1 Kelvin, p2 Pascal) (MapPoint, error) {
	s, err := m.saturation(props, p1, "suction", m.SuctionMin, m.SuctionMax)
	if err != nil {
		return MapPoint{}, err
	}
	d, err := m.saturation(props, p2, "discharge", m.DischargeMin, m.DischargeMax)
	if err != nil {
		return MapPoint{}, err
	}
	pt := MapPoint{Suction: s, Discharge: d}
	pt.RatedFlow, pt.RatedPower = m.rated(s, d)
	if !(pt.RatedFlow > 0 && pt.RatedPower > 0) {
		return MapPoint{}, fmt.Errorf("compressor map gives %.4g kg/s and %.4g W at %.1f/%.1f degrees C: check its coefficients and units",
			float64(pt.RatedFlow), float64(pt.RatedPower), s.Celsius(), d.Celsius())
	}
	return pt, m.correct(&pt, props, p1, t1, p2)
}

// saturation is the saturation temperature the map is written in.
func (m *CompressorMap) saturation(props Properties, p Pascal, what string, lo, hi Kelvin) (Kelvin, error) {
	t, err := props.DewT(p)
	if err != nil {
		return 0, fmt.Errorf("%s saturation: %w", what, err)
	}
	if m.Midpoint {
		bubble, err := props.BubbleT(p)
		if err != nil {
			return 0, fmt.Errorf("%s saturation: %w", what, err)
		}
		t = (t + bubble) / 2
	}
	if !(t >= lo && t <= hi) {
		return 0, &RangeError{
			Refrigerant: "compressor map", Quantity: what + " saturation temperature", Value: float64(t), Unit: "K",
			Lo: float64(lo), Hi: float64(hi), Reason: "envelope of the map",
		}
	}
	return t, nil
}

// rated evaluates both polynomials in their own units.
func (m *CompressorMap) rated(s, d Kelvin) (KgPerSecond, Watt) {
	x, y, unit := s.Celsius(), d.Celsius(), perHour
	if m.Units == MapIP {
		x, y, unit = x*1.8+32, y*1.8+32, kgPerPound*perHour
	}
	return KgPerSecond(m.Flow.At(x, y) * unit), Watt(m.Power.At(x, y))
}

// correct fills the flow and power at the actual suction state.
func (m *CompressorMap) correct(pt *MapPoint, props Properties, p1 Pascal, t1 Kelvin, p2 Pascal) error {
	dew, err := props.DewT(p1)
	if err != nil {
		return err
	}
	tRated := m.RatedReturn
	if tRated == 0 {
		tRated = dew + m.RatedSuperheat
	}
	rated, err := props.At(p1, tRated)
	if err != nil {
		return fmt.Errorf("rated suction state: %w", err)
	}
	actual, err := props.At(p1, t1)
	if err != nil {
		return fmt.Errorf("suction state: %w", err)
	}
	workRated, err := isentropicWork(props, rated, p2)
	if err != nil {
		return err
	}
	work, err := isentropicWork(props, actual, p2)
	if err != nil {
		return err
	}
	pt.Efficiency = float64(pt.RatedFlow) * float64(workRated) / float64(pt.RatedPower)
	if !(pt.Efficiency >= leastEfficiency && pt.Efficiency <= mostEfficiency) {
		return fmt.Errorf("compressor map implies an isentropic efficiency of %.2f: check its units, refrigerant and whether it is per compressor", pt.Efficiency)
	}
	factor := m.FlowFactor
	if factor == 0 {
		factor = defaultFlowFactor
	}
	ratio := 1 + factor*(float64(actual.Density/rated.Density)-1)
	pt.Flow = pt.RatedFlow * KgPerSecond(ratio)
	pt.Power = pt.RatedPower * Watt(ratio*float64(work/workRated))
	return nil
}

func isentropicWork(props Properties, in State, p2 Pascal) (JoulePerKg, error) {
	h, err := props.IsentropicEnthalpy(p2, in.Entropy)
	if err != nil {
		return 0, fmt.Errorf("isentropic discharge: %w", err)
	}
	return h - in.Enthalpy, nil
}
