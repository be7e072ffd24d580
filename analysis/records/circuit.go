package records

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo"
)

// A System is what is known of one system.
type System struct {
	Register register.System
	Book     []register.Event     // all its rows of events.csv, corrected ones too
	Problems []*register.RowError // what is wrong in the rows about it
	Findings []table.Finding      // those that suspect a loss of charge, of any state
	Judged   []time.Time          // visits that its trends are judged by
	Uploads  []Upload             // what its findings rest on
}

// An Upload is one file that was read for a system.
type Upload struct{ Path, SHA256 string }

// A circuit is a system with its record as on a day.
type circuit struct {
	System
	id, jurisdiction string
	options          Options
	asOf             time.Time
	lookBack         bool // later rows are no mistake
	rules            Rules
	sets             []RuleSet // in force on the day
	events           []entry   // that stand, have a day, and are not later than asOf
	charge           Charge
	fluid            *thermo.Refrigerant // nil where the register names none
	gone             bool                // decommissioned
}

// An entry is an event with its calendar day.
type entry struct {
	register.Event
	day    time.Time
	sha256 string // of its canonical text
}

func newCircuit(s System, r Rules, o Options, on Date) *circuit {
	asOf := calendarDay(on.On)
	c := &circuit{System: s, id: s.Register.ID, options: o, asOf: asOf, lookBack: on.LookBack, rules: r,
		jurisdiction: cmp.Or(s.Register.Jurisdiction, o.Jurisdiction)}
	c.sets = r.On(c.jurisdiction, asOf)
	for _, e := range s.Book {
		if e.CorrectedBy != 0 || e.Kind == register.Cancelled || e.Time.IsZero() {
			continue
		}
		if day := calendarDay(e.Time); !day.After(asOf) {
			c.events = append(c.events, entry{e, day, hash(e.RecordText())})
		}
	}
	slices.SortStableFunc(c.events, func(a, b entry) int { return a.Time.Compare(b.Time) })
	c.fluid, _ = s.Register.Refrigerant()
	c.charge = c.chargeOf()
	c.gone = c.lastDay(register.Decommissioned).After(c.lastDay(register.Install))
	return c
}

// calendarDay is the day of a time by its own clocks, as midnight UTC.
func calendarDay(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// lastDay is the day of the last event of any of the kinds; zero where there is none.
func (c *circuit) lastDay(kinds ...register.EventKind) (day time.Time) {
	for _, e := range c.events {
		if slices.Contains(kinds, e.Kind) {
			day = e.day
		}
	}
	return day
}

// after lists the events of the kinds on or after a day.
func (c *circuit) after(day time.Time, kinds ...register.EventKind) (out []entry) {
	for _, e := range c.events {
		if !e.day.Before(day) && slices.Contains(kinds, e.Kind) {
			out = append(out, e)
		}
	}
	return out
}

// fluidOf is the refrigerant that an event is about: the one it names, or the one
// that was in the system then.
func (c *circuit) fluidOf(e entry) string {
	if e.Refrigerant != "" {
		return e.Refrigerant
	}
	until := slices.IndexFunc(c.events, func(x entry) bool { return x.Kind == register.Retrofit && x.Time.After(e.Time) })
	if until < 0 {
		return c.Register.RefrigerantName
	}
	for i := until - 1; i >= 0; i-- {
		if name := c.events[i].Refrigerant; name != "" {
			return name
		}
	}
	return ""
}

// setOn is the rule set whose global warming potentials count on a day.
func (c *circuit) setOn(day time.Time) (RuleSet, bool) {
	for _, s := range c.rules.On(c.jurisdiction, day) {
		if s.GWPSet != "" {
			return s, true
		}
	}
	return RuleSet{}, false
}

// co2e is kilograms in tonnes of CO2 equivalent by the rules of the day; NaN where
// these or the refrigerant are unknown.
func (c *circuit) co2e(e entry, kg float64) float64 {
	s, ok := c.setOn(e.day)
	r, err := thermo.Lookup(c.fluidOf(e))
	if !ok || err != nil {
		return nan
	}
	if gwp, ok := s.GWPOf(r); ok {
		return kg * gwp / 1000
	}
	return nan
}

// The uses that bans part systems by.
const (
	refrigeration   = "refrigeration"
	airConditioning = "air conditioning"
	heatPump        = "heat pump"
)

// branch is which of them a kind of system belongs to; empty where nobody knows.
func branch(k register.Kind) string {
	switch k {
	case register.AirConditioning:
		return airConditioning
	case register.AirHeatPump, register.GroundHeatPump, register.WaterHeatPump:
		return heatPump
	case register.Chiller, register.ColdRoom, register.FreezerRoom, register.DisplayCabinet, register.Pack:
		return refrigeration
	}
	return ""
}

// use is what the system serves, with a word of doubt where that follows from its
// kind only (common practice, no source).
func (c *circuit) use() (use, doubt string) {
	if u := c.Register.Use; u != register.UseUnknown {
		return u.String(), ""
	}
	use = register.OtherUse.String()
	switch c.Register.Kind {
	case register.AirConditioning, register.Chiller, register.AirHeatPump, register.GroundHeatPump, register.WaterHeatPump:
		use = register.ComfortCooling.String()
	case register.ColdRoom, register.FreezerRoom, register.DisplayCabinet, register.Pack:
		use = register.CommercialRefrigeration.String()
	}
	return use, "use is empty in systems.csv: taken as " + use + " by its kind"
}

// place is where a row of events.csv stands.
func (e entry) place() string { return eventPlace(e.Line) }

// both joins words of doubt.
func both(doubts ...string) string {
	return strings.Join(slices.DeleteFunc(doubts, func(d string) bool { return d == "" }), "; ")
}
