package trust

import "slices"

// A Class says by what a mistake can be seen.
type Class byte

// The classes.
const (
	Visible    Class = 'a' // inside one visit
	Compared   Class = 'b' // against own history, a standstill or other systems
	Ambiguous  Class = 'c' // not separable by physics: a set of candidates
	FoundByJob Class = '-' // by the reading of files, or a way to be and no mistake
)

// An Action is what follows from a mistake.
type Action string

// The actions.
const (
	Flag    Action = "flag"    // say it; what it touches is hidden
	Exclude Action = "exclude" // leave the span or the channel out
	Propose Action = "propose" // say it, with the register's line that would settle it
	Split   Action = "split"   // what lies before and after is judged apart
)

// A Rule is one of the trade's mistakes.
type Rule struct {
	ID        string
	Name      string
	Class     Class
	Action    Action
	Signature string
}

// Rules returns D1 to D33 in their order. Source: the trade's own list of mistakes;
// thresholds are common practice, no source, unless said beside them.
func Rules() []Rule {
	return []Rule{
		{"D1", "wrong refrigerant", Ambiguous, Propose, "at rest pressure and temperature do not belong together, and do for another refrigerant"},
		{"D2", "gauge and absolute mixed up", Compared, Propose, "both pressures are off by the pressure of the air"},
		{"D3", "altitude ignored", Compared, Propose, "at rest both pressures are off by the air's pressure at sea level less that of the site"},
		{"D4", "pressure unit", FoundByJob, Propose, "no unit, or a level that another unit would make usual"},
		{"D5", "°F taken as °C or the reverse", Visible, Propose, "all temperatures are impossible, and usual in the other unit"},
		{"D6", "temperature difference converted as a temperature", Visible, Propose, "a logged superheat lies 32 above the one worked out"},
		{"D7", "suction and liquid temperature swapped", Visible, Propose, "superheat and subcooling are both far too large, and usual once swapped, of any machine or of this one"},
		{"D8", "high and low pressure swapped", Visible, Propose, "the low pressure is above the high one while it runs"},
		{"D9", "suction and discharge temperature swapped", Visible, Propose, "suction gas is hotter than condensing, discharge gas is not"},
		{"D10", "probe loose", Compared, Flag, "the probe does not follow the valve's swing as the pressures do, or stands alone off the machine's own history"},
		{"D11", "probe fell off", Visible, Exclude, "a step of a temperature within seconds while pressures stay"},
		{"D12", "channel stuck", Visible, Exclude, "a channel that moved stands still to the last digit"},
		{"D13", "error codes among the numbers", Visible, Exclude, "codes of sensors and loggers, or markers over a stretch"},
		{"D14", "hose valve closed", Visible, Flag, "a pressure does not follow the machine, or bleeds away slowly"},
		{"D15", "clock off", Compared, Propose, "the day in the file is not that of its name"},
		{"D16", "the same data twice", FoundByJob, Exclude, "equal values for equal times"},
		{"D17", "sampled too coarsely", Visible, Flag, "more than a minute between samples"},
		{"D18", "logged too short", Visible, Exclude, "less than ten minutes of running"},
		{"D19", "pulled down, or after a defrost", Visible, Exclude, "what is cooled gets colder all the time"},
		{"D20", "two circuits mixed", Visible, Flag, "suction pressure moves on its own"},
		{"D21", "parallel compressors", FoundByJob, Split, "steps of power or speed"},
		{"D22", "heat pump reversed", Visible, Split, "the room is heated"},
		{"D23", "channel missing", Visible, Flag, "a channel that results need was not logged, or one that all visits before had"},
		{"D24", "other instruments than before", Compared, Flag, "serial numbers differ from the visit before"},
		{"D25", "impossible temperatures", Visible, Flag, "evaporating above the medium that is cooled, air warmed in an evaporator, or liquid colder than what cools it"},
		{"D26", "negative superheat", Compared, Flag, "superheat below zero though discharge gas is hot"},
		{"D27", "negative subcooling", Compared, Flag, "subcooling below zero"},
		{"D28", "energy does not balance", Compared, Flag, "power far from what it was at like pressures"},
		{"D29", "outdoor probe in the sun", Compared, Flag, "outdoor air hotter than the condenser can be, or than condenser and season leave to expect"},
		{"D30", "pressure sensor lost its zero", Compared, Propose, "at rest one pressure is off and the other is not"},
		{"D31", "decimal mark changes", FoundByJob, Exclude, "cells that are no number as the rest are"},
		{"D32", "file of another system", Compared, Flag, "several temperatures and pressures at once far from the system's own, or channels it cannot have"},
		{"D33", "service within the log", FoundByJob, Split, "an event of the register, or a detected one"},
	}
}

// RuleOf returns a rule by its number.
func RuleOf(id string) (Rule, bool) {
	rules := Rules()
	i := slices.IndexFunc(rules, func(r Rule) bool { return r.ID == id })
	if i < 0 {
		return Rule{}, false
	}
	return rules[i], true
}
