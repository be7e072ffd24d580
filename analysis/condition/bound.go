package condition

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/pipeline/register"
)

// A Bound is a limit as it holds for a system on a day.
type Bound struct {
	Name   register.LimitName
	Value  float64 // NaN: nobody gave one
	Own    bool    // the user gave it; else it is generic
	Source string
}

// Bounds are the limits of a system on a day: the user's own where limits.csv has one,
// else generic ones.
type Bounds [register.MostRoomTemp + 1]Bound

// Limits are those of a system, whatever the day.
type Limits struct {
	generic Bounds
	own     []register.Limit
}

// NewLimits returns the limits of a system; own are the rows of the register, the one that
// counts last.
func NewLimits(s register.System, own []register.Limit) *Limits {
	l := &Limits{own: own}
	for name := register.LeastSuperheat; name <= register.MostRoomTemp; name++ {
		value, source := genericBound(s, name)
		l.generic[name] = Bound{Name: name, Value: value, Source: source}
	}
	return l
}

// On returns those of a day, which are not to be written to.
func (l *Limits) On(on time.Time) *Bounds {
	if !slices.ContainsFunc(l.own, func(own register.Limit) bool { return own.Holds(on) }) {
		return &l.generic
	}
	b := l.generic
	for _, l := range l.own {
		if l.Holds(on) {
			b[l.Name] = Bound{l.Name, l.Value, true, cmp.Or(l.Source, "register/limits.csv, without a source")}
		}
	}
	return &b
}

// String names a limit with its origin: "107 °C, generic: ...".
func (b Bound) String() string {
	of := "generic"
	if b.Own {
		of = "your own"
	}
	return fmt.Sprintf("%s %g%s (%s: %s)", b.Name, b.Value, unitOf(b.Name), of, b.Source)
}

func unitOf(n register.LimitName) string {
	switch n {
	case register.LeastSuperheat, register.LeastHotGas, register.LeastSubcooling:
		return " K"
	case register.MostDischargeTemp, register.MostRoomTemp:
		return " °C"
	case register.MostValveOpening:
		return " %"
	case register.MostStarts:
		return " an hour"
	}
	return ""
}

// common marks a figure of the trade.
const common = "common practice, no source"

// genericBound is what holds where the user gives nothing. Valid from any day; each with
// its source.
func genericBound(s register.System, n register.LimitName) (value float64, source string) {
	switch n {
	case register.LeastSuperheat:
		return 3, "liquid below 3 K in steady running; " + common
	case register.LeastHotGas:
		return lowHotGas(s), "compressed gas without liquid is warmer; " + common
	case register.MostDischargeTemp:
		if s.RefrigerantName == "R717" || s.RefrigerantName == "R744" {
			return 150, "makers name 120 to 160 °C, from memory"
		}
		return 107, "225 °F on the pipe, beyond which oil breaks down, as the trade press gives it; " + common
	case register.MostPressureRatio:
		return 12, "one stage of a reciprocating compressor; " + common
	case register.LeastSubcooling:
		return 1, "below, bubbles are in the liquid line; " + common
	case register.MostValveOpening:
		return 98, common
	case register.MostStarts:
		return 10, "makers of small hermetic compressors allow 8 to 12, from memory"
	}
	return math.NaN(), ""
}

// lowHotGas is the discharge superheat that only wet gas stays below, K. Refrigerants of
// large molecules hardly get warmer by compression, so that for them even dry gas is near.
func lowHotGas(s register.System) float64 {
	switch s.RefrigerantName {
	case "R1234yf", "R1234ze(E)", "R600a", "R600", "R236fa", "R227ea", "R1233zd(E)", "R1336mzz(Z)", "R245fa", "R123":
		return 4
	}
	return 10
}
