package cycle

import (
	"errors"
	"math"

	"rimelog/thermo"
)

// errVacuum is the reason for what needs a pressure above vacuum.
var errVacuum = errors.New("absolute pressure of 0 kPa or less: check the pressure reference (gauge or absolute) in channels.csv")

// A curve is a saturation temperature over pressure, in °C over absolute kPa. One of
// equations remembers the pressures it was asked for: loggers print few digits, so a
// log repeats them. A fitted one is faster than its memory would be.
type curve struct {
	of   func(thermo.Pascal) (thermo.Kelvin, error)
	seen map[float64]saturated // nil: nothing is remembered
}

type saturated struct {
	t   float64
	err error
}

// mostSeen bounds the memory of a curve to some megabytes.
const mostSeen = 100_000

func exactCurve(of func(thermo.Pascal) (thermo.Kelvin, error)) curve {
	return curve{of, map[float64]saturated{}}
}

// at returns the temperature at a pressure; NaN without an error for a gap.
func (c *curve) at(kpa float64) (float64, error) {
	if math.IsNaN(kpa) {
		return kpa, nil
	}
	if c.seen == nil {
		s := c.ask(kpa)
		return s.t, s.err
	}
	s, ok := c.seen[kpa]
	if !ok {
		s = c.ask(kpa)
		if len(c.seen) >= mostSeen {
			clear(c.seen)
		}
		c.seen[kpa] = s
	}
	return s.t, s.err
}

func (c *curve) ask(kpa float64) saturated {
	if kpa <= 0 {
		return saturated{math.NaN(), errVacuum}
	}
	t, err := c.of(pascal(kpa))
	if err != nil {
		return saturated{math.NaN(), err}
	}
	return saturated{t.Celsius(), nil}
}

func pascal(kpa float64) thermo.Pascal { return thermo.Pascal(kpa * 1000) }
