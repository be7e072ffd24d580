package records

import (
	"slices"
	"strings"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// balance is the refrigerant of the system by its record.
func (c *circuit) balance(gaps []table.RecordGap) table.Balance {
	s := c.sum(everything)
	b := table.Balance{
		System: c.id, Refrigerant: c.Register.RefrigerantName, Charge: c.charge.Mid, ChargeLo: c.charge.Lo, ChargeHi: c.charge.Hi, ChargeBy: c.charge.By,
		Since: s.since, First: s.first, Added: s.added, Recovered: s.recovered, Replaced: s.replaced(),
		GWP: nan, CO2e: nan, Tested: c.tested(), Jurisdiction: c.jurisdiction, Complete: len(gaps) == 0,
	}
	for i, set := range c.sets {
		if i > 0 {
			b.Rules += " "
		}
		b.Rules += set.ID
	}
	if set, ok := c.setOn(c.asOf); ok && c.fluid != nil {
		if gwp, ok := set.GWPOf(c.fluid); ok {
			b.GWP, b.CO2e = gwp, gwp*c.charge.Mid/1000
		}
	}
	return b
}

// book is every line of the record, in time order.
func (c *circuit) book() (out []table.RecordRow) {
	rows := slices.Clone(c.Book)
	slices.SortStableFunc(rows, func(a, b register.Event) int { return a.Time.Compare(b.Time) })
	total := 0.0
	for _, e := range rows {
		x := entry{e, calendarDay(e.Time), hash(e.RecordText())}
		row := table.RecordRow{
			System: c.id, Site: c.Register.Site, Event: e.Kind.String(), KG: e.KG, Refrigerant: c.fluidOf(x), CO2e: tidy(c.co2e(x, e.KG)),
			Quality: e.Quality.Text(), Reason: e.Reason.Text(), Outcome: e.Outcome.Text(), Result: e.Result, Company: e.Company, Certificate: e.Certificate,
			Person: e.Person, PersonCertificate: e.PersonCertificate, Facility: e.Facility, FacilityCertificate: e.FacilityCertificate,
			Note: e.Note, Record: e.Record, State: c.state(e), Place: eventPlace(e.Line), SHA256: x.sha256,
		}
		if !e.Time.IsZero() {
			row.On = x.day
		}
		if s, ok := c.setOn(x.day); ok && x.moves() {
			row.GWPSet = s.GWPSet
		} else if !x.moves() {
			row.Refrigerant = e.Refrigerant
		}
		if e.HasTime {
			row.Clock = e.Time.Format("15:04")
		}
		if strings.HasPrefix(row.State, stands) && x.weighed() {
			total += e.KG
		}
		row.Balance = tidy(total)
		out = append(out, row)
	}
	return out
}

// stands is the state of a line of the record that counts.
const stands = "stands"

func (c *circuit) state(e register.Event) string {
	switch {
	case e.CorrectedBy != 0:
		return "corrected by " + eventPlace(e.CorrectedBy)
	case e.Kind == register.Cancelled:
		return "cancels " + e.Corrects
	case e.Time.IsZero():
		return "without a day"
	case calendarDay(e.Time).After(c.asOf):
		return "later than " + date(c.asOf)
	case e.Corrects != "":
		return stands + ", corrects " + e.Corrects
	}
	return stands
}
