package analysis

import (
	"math"
	"slices"

	"rimelog/analysis/cycle"
	"rimelog/analysis/drift"
	"rimelog/analysis/steady"
	"rimelog/analysis/trust"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
	"rimelog/thermo/units"
)

// looked puts the stays of a month under the rules about mistakes of those who log.
func looked(circuit *cycle.Circuit, c *cycle.Columns, stays []steady.Stay, sources []source, known *roster, screened []trust.Doubt, own []trust.Logged) (out []trust.Facts) {
	for _, s := range stays {
		from, to := s.Rows()
		v := trust.Visit{
			Circuit: circuit, Columns: c, From: from, To: to, On: s.On(), Day: s.Day, Logged: own, Zone: circuit.System.Zone,
			Limits: known.at(s.Start), Air: airOf(circuit.System.Altitude),
		}
		for _, src := range sources {
			if src.from <= s.End && src.to >= s.Start && src.to > 0 {
				v.Paths = append(v.Paths, src.path)
				if v.Headers == nil {
					v.Headers = src.told.headers
				}
			}
		}
		slices.Sort(v.Paths)
		v.Paths = slices.Compact(v.Paths)
		for _, d := range screened {
			if d.From <= s.End && d.To >= s.Start {
				v.Screened = append(v.Screened, d)
			}
		}
		out = append(out, trust.Look(v))
	}
	return out
}

// siteOf is what screening needs to know of the place.
func siteOf(circuit *cycle.Circuit, sources []source) trust.Site {
	generic := circuit.Generic()
	return trust.Site{
		Air: airOf(circuit.System.Altitude),
		Limit: func(q cycle.Quantity) float64 {
			if len(sources) == 0 {
				return 2 * generic.Limit[q]
			}
			in := shiftAt(generic, sources, sources[0].from).instruments
			if !in.Named[q] {
				return 2 * generic.Limit[q]
			}
			return in.Limit[q]
		},
		Line: func(q cycle.Quantity, settle func(*register.Channel)) string {
			c := register.Channel{System: circuit.System.ID, Channel: trust.ChannelOf(q)}
			if len(sources) == 1 {
				c.File, c.Column = sources[0].path, sources[0].told.headers[c.Channel]
			}
			settle(&c)
			return register.ChannelLine(c)
		},
	}
}

// airOf is the air's pressure at an altitude, kPa; NaN where it is not known.
func airOf(altitude float64) float64 {
	air, err := units.AirPressure(altitude)
	if err != nil {
		return math.NaN()
	}
	kpa, _ := air.Float64()
	return kpa
}

// hide takes what is in doubt out of visits.
func hide(visits []table.Visit, facts []trust.Facts) {
	for i := range visits {
		v := &visits[i]
		v.StandstillExcess = math.NaN()
		for _, f := range factsOf(facts, *v) {
			v.Mode = f.Mode
			if v.Part != table.AsLeft {
				v.StandstillExcess = f.AtRest()
			}
		}
		trust.Hide(v, doubtsOf(facts, *v))
		onlyShown(v)
	}
}

// doubtsOf are those about a visit.
func doubtsOf(facts []trust.Facts, v table.Visit) (out []trust.Doubt) {
	for _, f := range factsOf(facts, v) {
		for _, d := range f.Doubts {
			if d.To == 0 || d.From <= v.End.UnixMicro() && d.To >= v.Start.UnixMicro() {
				out = append(out, d)
			}
		}
	}
	return out
}

// onlyShown keeps a visit in heating from being compared with those in cooling.
func onlyShown(v *table.Visit) {
	if v.Mode == trust.Heating && v.Use == table.UseTrend {
		v.Use, v.Reason = table.UseSpot, drift.OtherWay
	}
}

// stopsOf are the standstills of visits in which somebody may have worked.
func stopsOf(facts []trust.Facts) (out []steady.Stop) {
	for _, f := range facts {
		if f.Stop != nil {
			to := f.Stop.From + int64(f.Stop.Minutes*60e6)
			out = append(out, steady.Stop{From: f.Stop.From, To: to, Odd: f.Odd()})
		}
	}
	return out
}

// sign writes into visits by what their instruments are known again, and who was there.
func sign(visits []table.Visit, facts []trust.Facts, events []register.Event) {
	for i := range visits {
		v := &visits[i]
		for k := range facts {
			if f := &facts[k]; f.Start <= v.End.UnixMicro() && f.End >= v.Start.UnixMicro() {
				v.Fingerprint = f.Fingerprint()
				if !f.Day {
					v.Engineer = f.Engineer(events)
				}
			}
		}
	}
}

// doubted are the rows of table quality about the visits of a system.
func doubted(id string, ofVisits noted) ([]table.Problem, error) {
	var facts []trust.Facts
	err := ofVisits.into(noteDoubts, &facts)
	return trust.Problems(id, facts), err
}
