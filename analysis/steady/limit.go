package steady

import (
	"fmt"
	"time"

	"rimelog/analysis/cycle"
)

// A Limit says beyond which drift over five minutes a window is transient, and beyond which
// spread it oscillates, in the unit of its quantity. Zero stands for the default.
type Limit struct {
	Drift  float64 `json:"drift"`
	Spread float64 `json:"spread"`
}

// Limits are those of the quantities that a window is judged by.
type Limits struct {
	Evaporating      Limit `json:"evaporating" doc:"evaporating temperature, K; a drift is meant over five minutes"`
	Condensing       Limit `json:"condensing" doc:"condensing temperature, K"`
	Superheat        Limit `json:"superheat" doc:"superheat, K"`
	Subcooling       Limit `json:"subcooling" doc:"subcooling, K"`
	Discharge        Limit `json:"discharge" doc:"discharge temperature, K; where only it moves, it alone is left out"`
	CondenserMedium  Limit `json:"condenser_medium" doc:"temperature of what enters the condenser, K"`
	EvaporatorMedium Limit `json:"evaporator_medium" doc:"temperature of what enters the evaporator, K"`
	Power            Limit `json:"power" doc:"electric power, as a share of it"`
}

// defaultLimits are what a plant may do. It follows slow changes of weather and load: its
// pressures, superheat and subcooling lag by about a minute and a half (start-up of a
// laboratory heat pump), so that a drift of 0.2 K/min keeps them within 0.3 K of where they
// would rest. Drifts are what 0.2 K/min (saturation), 0.25 K/min (superheat, subcooling),
// 0.3 K/min (media), 0.5 K/min (discharge) and 2 %/min (power) add up to in five minutes;
// spreads are between the tolerances of test standards (EN 14511-3: inlet air within 1 K,
// water within 0.5 K of its mean) and what good field logs do.
var defaultLimits = Limits{
	Evaporating: Limit{1.0, 0.3}, Condensing: Limit{1.0, 0.3}, Superheat: Limit{1.25, 1.0}, Subcooling: Limit{1.25, 0.5},
	Discharge: Limit{2.5, 0.5}, CondenserMedium: Limit{1.5, 0.3}, EvaporatorMedium: Limit{1.5, 0.3}, Power: Limit{0.1, 0.02},
}

// judged is how many quantities grade a window.
const judged = 8

// A limit is that of a quantity. A relative one is a share of the mean. A quantity that lags
// comes to rest long after the circuit has: while it moves, it is left out and the rest of
// the window stays. The discharge temperature does: the shell and the line take a quarter
// of an hour to warm (trade measurement: still 2.4 K between minute 15 and 20 after a
// start), while pressures and subcooling rest after three to four.
type limit struct {
	*Limit
	quantity       cycle.Quantity
	name           string
	relative, lags bool
}

// all are the limits one by one.
func (l *Limits) all() [judged]limit {
	return [judged]limit{
		{&l.Evaporating, cycle.Evaporating, "evaporating", false, false},
		{&l.Condensing, cycle.Condensing, "condensing", false, false},
		{&l.Superheat, cycle.Superheat, "superheat", false, false},
		{&l.Subcooling, cycle.Subcooling, "subcooling", false, false},
		{&l.Discharge, cycle.DischargeTemp, "discharge", false, true},
		{&l.CondenserMedium, cycle.CondenserMedium, "condenser_medium", false, false},
		{&l.EvaporatorMedium, cycle.EvaporatorMedium, "evaporator_medium", false, false},
		{&l.Power, cycle.Power, "power", true, false},
	}
}

func (l *Limits) ensureDefaults() {
	defaults := defaultLimits
	usual := defaults.all()
	for i, own := range l.all() {
		if own.Drift == 0 {
			own.Drift = usual[i].Drift
		}
		if own.Spread == 0 {
			own.Spread = usual[i].Spread
		}
	}
}

func (l *Limits) validate() (errs []error) {
	for _, own := range l.all() {
		if !(own.Drift > 0 && own.Spread > 0) {
			errs = append(errs, fmt.Errorf("steady.limits.%s drift %v, spread %v: want more than 0", own.name, own.Drift, own.Spread))
		}
	}
	return errs
}

// limitLength is the length that the drifts of limits are meant for; in windows up
// to mostLengths as long, of whole hunting periods, they hold as rates.
const (
	limitLength = 5 * time.Minute
	mostLengths = 3
)

// over is by how much more a quantity may drift in a window of another length.
func over(micros int64) float64 {
	lengths := float64(micros) / float64(limitLength.Microseconds())
	return max(1, min(mostLengths, lengths))
}

// halfLimit is how far the means of a window's halves (of its first and last
// whole periods, where it hunts) may differ, K.
const halfLimit = 0.7
