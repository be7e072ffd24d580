package energy

import (
	"fmt"
	"math"
	"slices"
	"time"

	"rimelog/pipeline/table"
)

// Names of the rules for readings that cannot be true.
const (
	RuleWatts    = "power in W logged as kW"
	RulePhase    = "one phase of three"
	RuleCounter  = "energy counter ran backwards"
	RuleLeap     = "energy counter leapt"
	RuleCarnot   = "COP above Carnot's"
	RuleFraction = "Carnot fraction too high"
	RuleRoutes   = "routes of COP disagree"
)

// mostFraction is the external fraction of Carnot's COP above which a COP is a data
// error (common practice, no source).
const mostFraction = 0.75

// A Flag is a reading that cannot be true, with what shows it. What is flagged is
// left out of every mean.
type Flag struct {
	Rule     string
	From, To time.Time
	Count    int // windows or steps
	Evidence string
	Remedy   string
}

// Remedies, by rule.
var remedies = map[string]string{
	RuleWatts:    "write the unit W for the power column in channels.csv",
	RulePhase:    "measure all three phases, or write a meter of all three; until then the power is left out",
	RuleCounter:  "check the direction of the meter's current clamps, or sign -1 in channels.csv",
	RuleLeap:     "check the counter's unit in channels.csv",
	RuleCarnot:   "check flow, temperature differences and power: heat pumped for less than the least work is an error of measurement",
	RuleFraction: "check flow, temperature differences and power, and what the meter covers",
	RuleRoutes:   "check the meter and probes that one of the two routes rests on",
}

// Ratios of measured to expected power by which an error is known: three orders of
// magnitude for W taken as kW; a third for one phase of three, with the doubt of
// what is expected.
const (
	wattsLow, wattsHigh = 300.0, 3000.0
	phaseLow, phaseHigh = 0.26, 0.42
)

// Electrical power that a current stands for: three phases of 400 V and a power
// factor of 0.8 where the voltage is not logged (common practice, no source).
const (
	lineVoltage = 400.0

	leastThreePhase = 300.0 // V; below it the voltage may be that of one phase
	powerFactor     = 0.8
)

// byCurrent names the witness that needs the voltage to be sure.
const byCurrent = "the compressor's current"

// ExpectedPower is the electric power that readings apart from the power meter
// stand for, kW, and how it is known: by the current, or by a metered heat and the
// COP of the refrigerant states. NaN where there are none.
func (m *Machine) ExpectedPower(s State, current, voltage float64) (kw float64, by string) {
	if finite(current) && current > 0 {
		v := lineVoltage
		if finite(voltage) && voltage > 0 {
			v = voltage
		}
		return math.Sqrt(3) * v * current * powerFactor / 1000, byCurrent
	}
	heat := m.useful(s)
	if !finite(heat) || heat <= 0 {
		return math.NaN(), ""
	}
	per, err := m.perKilogram(s, shellLoss)
	if err != nil || !finite(per.use) {
		return math.NaN(), ""
	}
	return heat * per.work / per.use, "the metered heat and the refrigerant's states"
}

// CheckPower judges a ratio of measured to expected power: the rule it breaks, or "".
func CheckPower(ratio float64) string {
	switch {
	case ratio >= wattsLow && ratio <= wattsHigh:
		return RuleWatts
	case ratio >= phaseLow && ratio <= phaseHigh:
		return RulePhase
	}
	return ""
}

// CheckCOP holds a COP against Carnot's between the media; external is the
// fraction. It returns the rule broken, or "".
func CheckCOP(external float64) string {
	switch {
	case external > 1:
		return RuleCarnot
	case external > mostFraction:
		return RuleFraction
	}
	return ""
}

// A Ledger collects flags by rule, so that a month of one error is one row.
type Ledger struct{ flags []Flag }

// Add notes a reading that breaks a rule.
func (l *Ledger) Add(rule string, at time.Time, evidence string) {
	l.Join(Flag{rule, at, at, 1, evidence, remedies[rule]})
}

// Join notes what another ledger collected of a rule.
func (l *Ledger) Join(more Flag) {
	i := slices.IndexFunc(l.flags, func(f Flag) bool { return f.Rule == more.Rule })
	if i < 0 {
		l.flags = append(l.flags, more)
		return
	}
	f := &l.flags[i]
	if more.From.Before(f.From) {
		f.From = more.From
	}
	if more.To.After(f.To) {
		f.To = more.To
	}
	f.Count += more.Count
}

// Flags are those collected, in the order in which their rules were first broken.
func (l *Ledger) Flags() []Flag { return l.flags }

// Text says what a flag found, for people.
func (f Flag) Text() string {
	return fmt.Sprintf("%s, %d times from %s to %s, first: %s; left out of all energy figures", f.Rule, f.Count,
		f.From.Format(time.DateOnly), f.To.Format(time.DateOnly), f.Evidence)
}

// leastMonth is the fewest windows by which a month's power is judged.
const leastMonth = 10

// An Index is what a month's power was for the pressures it worked against: the median
// of measured over expected in its windows, in any unit.
type Index struct {
	Month   string
	Windows int
	Median  float64 // of too few windows 0
}

// IndexOf is that of a month's windows.
func IndexOf(month string, windows []table.EnergyWindow) Index {
	var ratios []float64
	for _, w := range windows {
		if finite(w.Index) && w.Flag == "" {
			ratios = append(ratios, w.Index)
		}
	}
	x := Index{Month: month, Windows: len(ratios)}
	if x.judged() {
		x.Median = median(ratios)
	}
	return x
}

func (x Index) judged() bool { return x.Windows >= leastMonth }

// A Mark is what is wrong with the power of a month; zero: nothing.
type Mark struct{ Rule, Evidence string }

// OddMonths finds months in which the power, for the pressures it worked against,
// was a third of or a thousand times what it is in most months. It returns each
// month's mark.
func OddMonths(months []Index) []Mark {
	var middles []float64
	for _, x := range months {
		if x.judged() {
			middles = append(middles, x.Median)
		}
	}
	usual := median(middles)
	out := make([]Mark, len(months))
	for i, x := range months {
		if rule := CheckPower(x.Median / usual); x.judged() && rule != "" {
			out[i] = Mark{rule, fmt.Sprintf("power for its pressures in %s is %.3g of what it is in other months", x.Month, x.Median/usual)}
		}
	}
	return out
}

// On flags the windows of a month that have a power and no flag yet. They are changed in
// place.
func (m Mark) On(windows []table.EnergyWindow) {
	for i := range windows {
		if w := &windows[i]; m.Rule != "" && w.Flag == "" && finite(w.Power) {
			w.Flag, w.Evidence = m.Rule, m.Evidence
		}
	}
}

// Displaced is the power over suction pressure times the work of an ideal
// compression of a gas (κ/(κ-1) apart, (κ-1)/κ = 0.15 for refrigerants; common
// practice, no source), kW/kPa: nearly the same in any weather for a compressor of
// one speed. NaN where it cannot be worked out.
func Displaced(s State) float64 {
	if !finite(s.SuctionPressure + s.DischargePressure + s.Power) {
		return math.NaN()
	}
	ratio := s.DischargePressure / s.SuctionPressure
	return s.Power / (s.SuctionPressure * (math.Pow(ratio, 0.15) - 1))
}

// Flags collects the data errors of windows by rule.
func Flags(windows []table.EnergyWindow) []Flag {
	var l Ledger
	for _, w := range windows {
		if w.Flag != "" {
			l.Add(w.Flag, w.Start, w.Evidence)
		}
	}
	return l.Flags()
}

// Steps collects the data errors of counters by rule.
func Steps(odd []Oddity) []Flag {
	var l Ledger
	for _, o := range odd {
		at := time.UnixMicro(o.At).UTC()
		evidence := fmt.Sprintf("from %.6g to %.6g kWh", o.Before, o.After)
		switch o.Step {
		case Backwards:
			l.Add(RuleCounter, at, evidence)
		case Leapt:
			l.Add(RuleLeap, at, evidence)
		}
	}
	return l.Flags()
}

// TradeRule is the number of the trade's rule that the flag belongs to: D28, the
// energy balance; empty for a counter, which has none.
func (f Flag) TradeRule() string {
	if f.Rule == RuleCounter || f.Rule == RuleLeap {
		return ""
	}
	return "D28"
}

// RuleDoubt begins the flag of windows in a visit whose data are not believed; the
// trade's rule follows.
const RuleDoubt = "visit in doubt:"

// SetAside flags the windows that touch a time, in microseconds, unless they have a
// flag already. Windows are changed in place.
func SetAside(windows []table.EnergyWindow, from, to int64, rule, evidence string) {
	for i := range windows {
		w := &windows[i]
		if w.Flag == "" && w.Start.UnixMicro() <= to && w.End.UnixMicro() >= from {
			w.Flag, w.Evidence = rule, evidence
		}
	}
}
