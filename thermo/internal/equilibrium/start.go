package equilibrium

import (
	"errors"
	"math"

	"rimelog/thermo/internal/mixture"
)

// ErrNoDensity says that no density of the wanted phase has the wanted
// pressure.
var ErrNoDensity = errors.New("no density of this phase has this pressure")

// liquidDensity finds the density near which a cold liquid has pressure p,
// coming down from above start until dp/drho and the pressure say it is near.
func liquidDensity(ph *mixture.Phase, start, p float64) (float64, error) {
	rho := start
	for range 100 {
		got, slope := ph.Pressure(rho)
		if !(slope > 0) {
			rho *= 1.02
			continue
		}
		step := (p - got) / slope
		step = max(-0.03, min(0.05, step))
		rho *= math.Exp(step)
		if math.Abs(step) < 1e-13 {
			return rho, nil
		}
		if math.Abs(step) < 1e-9 {
			got, slope = ph.Pressure(rho)
			return rho * math.Exp((p-got)/slope), nil
		}
	}
	return 0, ErrNoDensity
}

// startDensity estimates the liquid density of composition x from the cold
// ends of its components.
func startDensity(m *mixture.Model, x []float64) float64 {
	var v float64
	for i, f := range m.Fluids {
		v += x[i] / f.RhoStart
	}
	return 1 / v
}

// first fills x with a point of the line at temperature t.
func (s *solver) first(x []float64, t float64) error {
	n := len(s.z)
	x[n+1] = math.Log(t)
	if s.kind == Bubble {
		return s.firstBubble(x, t)
	}
	return s.firstDew(x, t)
}

func (s *solver) firstBubble(x []float64, t float64) error {
	s.bulk.At(s.z, t)
	rho, err := liquidDensity(s.bulk, startDensity(s.m, s.z), 0)
	if err != nil {
		return err
	}
	s.bulk.Full(rho)
	x[len(s.z)] = math.Log(rho)
	for i := range s.z {
		x[i] = s.bulk.LnFugacity[i] - math.Log(s.bulk.R*t)
	}
	return nil
}

// firstDew starts from Raoult's law with Wilson's estimate of the components'
// vapour pressures, then corrects the liquid by its fugacities a few times.
func (s *solver) firstDew(x []float64, t float64) error {
	n := len(s.z)
	var sum float64
	for i, f := range s.m.Fluids {
		lnP := math.Log(f.PCrit) + 5.373*(1+f.Acentric)*(1-f.TCrit/t)
		s.y[i] = s.z[i] * math.Exp(-lnP)
		sum += s.y[i]
	}
	var rho, p float64
	for range 12 {
		for i := range s.y {
			s.y[i] /= sum
		}
		p = 1 / sum
		s.inc.At(s.y, t)
		var err error
		if rho, err = liquidDensity(s.inc, startDensity(s.m, s.y), 0); err != nil {
			return err
		}
		s.inc.Full(rho)
		sum = 0
		for i := range s.y {
			s.y[i] *= s.z[i] / math.Exp(s.inc.LnFugacity[i])
			sum += s.y[i]
		}
	}
	for i := range s.y {
		x[i] = math.Log(s.y[i] / sum * rho)
	}
	x[n] = math.Log(p / (s.m.GasConstant(s.z) * t))
	return nil
}
