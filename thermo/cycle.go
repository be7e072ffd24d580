package thermo

import (
	"fmt"
	"math"
)

// IsentropicEfficiency is (h2s-h1)/(h2-h1) of a compression from state in to
// state out: the least work for the pressure rise over the enthalpy rise of
// the gas. It includes what the shell loses, so a hot shell makes it too high;
// CompressorWork corrects for that.
func IsentropicEfficiency(of Properties, in, out State) (float64, error) {
	work, err := isentropicWork(of, in, out.P)
	if err != nil {
		return 0, err
	}
	rise, err := CompressorWork(in, out, 0)
	if err != nil {
		return 0, err
	}
	return float64(work / rise), nil
}

// CompressorWork is the electrical energy per kg of refrigerant, from the
// enthalpy rise of the gas and the fraction of the electrical power that the
// shell loses to its surroundings: (h2-h1)/(1-loss). loss is 0 for an
// insulated or suction-cooled shell and below 1.
//
// Source: first law for the compressor; the usual loss of 0.05 to 0.15 is
// common practice, no source.
func CompressorWork(in, out State, loss float64) (JoulePerKg, error) {
	rise := out.Enthalpy - in.Enthalpy
	if !(loss >= 0 && loss < 1) {
		return 0, fmt.Errorf("shell loss fraction %g: want 0 or more and less than 1", loss)
	}
	if !(rise > 0) {
		return 0, fmt.Errorf("enthalpy falls over the compressor by %.0f J/kg: check the discharge and suction sensors", -float64(rise))
	}
	return rise / JoulePerKg(1-loss), nil
}

// Cycle is one vapour-compression cycle by its measured states. For a plant
// with more than one evaporator or stage, each needs its own.
type Cycle struct {
	Suction   State // into the compressor
	Discharge State // out of the compressor
	Liquid    State // into the expansion device; after the gas cooler when transcritical
	Outlet    State // out of the evaporator; Suction when the suction line is ignored
	ShellLoss float64
}

// CoolingCOP is refrigerating effect over electrical energy.
func (c Cycle) CoolingCOP() (float64, error) {
	w, err := CompressorWork(c.Suction, c.Discharge, c.ShellLoss)
	if err != nil {
		return 0, err
	}
	return float64((c.Outlet.Enthalpy - c.Liquid.Enthalpy) / w), nil
}

// HeatingCOP is the heat given off between discharge and liquid over
// electrical energy. What the shell loses is not counted as useful.
func (c Cycle) HeatingCOP() (float64, error) {
	w, err := CompressorWork(c.Suction, c.Discharge, c.ShellLoss)
	if err != nil {
		return 0, err
	}
	return float64((c.Discharge.Enthalpy - c.Liquid.Enthalpy) / w), nil
}

// PressureRatio is discharge over suction pressure, both absolute.
func (c Cycle) PressureRatio() float64 { return float64(c.Discharge.P / c.Suction.P) }

// MassFlow is the refrigerant flow that the electrical power and the enthalpy
// rise of the gas imply.
func (c Cycle) MassFlow(power Watt) (KgPerSecond, error) {
	w, err := CompressorWork(c.Suction, c.Discharge, c.ShellLoss)
	if err != nil {
		return 0, err
	}
	return KgPerSecond(float64(power) / float64(w)), nil
}

// VolumetricEfficiency is the flow sucked in over the swept volume flow,
// displacement in m3/s.
func (c Cycle) VolumetricEfficiency(flow KgPerSecond, displacement float64) float64 {
	return float64(flow) / (float64(c.Suction.Density) * displacement)
}

// CarnotFraction is a COP over that of Carnot's cycle between two temperatures.
// It is called internal when these are saturation temperatures of the
// refrigerant, external when they belong to the media outside; the two must
// never be compared. Below 8 K lift it is not given: the result would be mostly
// measurement error.
func CarnotFraction(cop float64, cold, hot Kelvin, heating bool) (float64, error) {
	v, ok := carnotFraction(cop, float64(cold), float64(hot), heating)
	if !ok {
		return 0, fmt.Errorf("lift of %.1f K is too small for a Carnot fraction: want %d K or more", float64(hot-cold), leastLift)
	}
	return v, nil
}

func carnotFraction(cop, cold, hot float64, heating bool) (float64, bool) {
	lift := hot - cold
	if !(lift >= leastLift) {
		return 0, false
	}
	if heating {
		return cop * lift / hot, true
	}
	return cop * lift / cold, true
}

const leastLift = 8 // K; common practice, no source

// Condensing is the high side seen as saturation temperatures. Above the
// critical pressure there are none: Transcritical is set and the temperatures
// are NaN, because a gas cooler has no condensing temperature.
type Condensing struct {
	Bubble, Dew   Kelvin
	Transcritical bool
}

// Midpoint is the mean of bubble and dew temperature.
func (c Condensing) Midpoint() Kelvin { return (c.Bubble + c.Dew) / 2 }

// CondensingAt returns the saturation temperatures at the high-side pressure.
func (r *Refrigerant) CondensingAt(p Pascal) (Condensing, error) {
	if err := r.checkP(p); err != nil {
		return Condensing{}, err
	}
	if _, pc := r.Critical(); p >= pc {
		nan := Kelvin(math.NaN())
		return Condensing{nan, nan, true}, nil
	}
	bubble, err := r.BubbleT(p)
	if err != nil {
		return Condensing{}, err
	}
	dew, err := r.DewT(p)
	return Condensing{Bubble: bubble, Dew: dew}, err
}

// DischargeSuperheat is the discharge gas temperature above the dew
// temperature at its pressure, K.
func (r *Refrigerant) DischargeSuperheat(p Pascal, t Kelvin) (Kelvin, error) {
	return r.Superheat(p, t)
}
