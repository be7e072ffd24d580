package demofleet

import (
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The firm's people and papers. Names of the isles, like all others here.
var people = []string{"T. Oskel", "M. Braedon", "J. Fennow"}

const (
	firmCertificate = "OI-2207"
	reclaimer       = "Kadlow Reclaim, Mill Lane 4, Kadlow"
	reclaimerNumber = "KR-118"
)

// papers completes the register's events to records: who did it, the first charges, leak
// checks, tests after repairs, and one slip of the pen that a later row corrects. Nobody
// checks a system while it loses refrigerant: what the logs show stands unanswered.
func (s *scribe) papers(rows []register.Event) []register.Event {
	seed, x := s.fleet.options.Seed, s.fleet.options.Mix.Records
	var more []register.Event
	for i := range rows {
		r := chance(seed, "papers", i)
		x.sign(r, &rows[i])
		if rows[i].Kind == register.Repaired && r.Float64() < x.Retested {
			test := x.paper(r, rows[i].System, rows[i].Time.AddDate(0, 0, 2+r.IntN(18)), register.VerificationTest)
			test.Outcome = register.Passed
			more = append(more, test)
		}
	}
	for i, m := range s.fleet.machines {
		more = append(more, s.checks(chance(seed, "checks", i), m)...)
	}
	rows = append(correct(rows), more...)
	slices.SortStableFunc(rows, func(a, b register.Event) int { return a.Time.Compare(b.Time) })
	return rows
}

// paper is a row about a day, signed as the firm does.
func (x Records) paper(r *rand.Rand, system string, at time.Time, k register.EventKind) register.Event {
	y, m, d := at.Date()
	e := register.Event{System: system, Time: time.Date(y, m, d, 0, 0, 0, 0, at.Location()), Kind: k, KG: math.NaN(), Company: company}
	x.sign(r, &e)
	return e
}

// sign says who did it, and where the refrigerant came from.
func (x Records) sign(r *rand.Rand, e *register.Event) {
	who, full, quality, word := pick(r, people), r.Float64(), r.Float64(), r.Float64()
	if full < x.Signed {
		e.Certificate, e.Person = firmCertificate, who
	}
	switch {
	case e.Kind == register.Repaired && word < x.Signed:
		e.Result = "joint made anew, tight after it"
	case e.Kind != register.ChargeAdded:
	case quality < x.Reclaimed:
		e.Quality, e.Facility, e.FacilityCertificate = register.Reclaimed, reclaimer, reclaimerNumber
	case quality < 1-x.Unsaid:
		e.Quality = register.NewRefrigerant
	}
	if e.Kind == register.ChargeAdded && word < x.Signed {
		e.Reason = register.ForLeak
	}
}

// checks are a system's installation with its first charge, and its leak checks.
func (s *scribe) checks(r *rand.Rand, m *machine) (rows []register.Event) {
	o, x := s.fleet.options, s.fleet.options.Mix.Records
	at := o.Start.AddDate(0, 0, -200-r.IntN(int(math.Ceil(x.Age*365)))).In(m.weather.local)
	first := x.paper(r, m.truth.ID, at, register.Install)
	first.KG, first.Refrigerant = math.Round(m.truth.Rated(at)*100)/100, m.truth.Refrigerant
	first.Quality = register.NewRefrigerant
	rows = append(rows, first)
	until := o.end()
	if r.Float64() < x.Lapsed {
		until = until.AddDate(-1, -r.IntN(6), 0)
	}
	for at = at.AddDate(0, 11, r.IntN(60)); at.Before(until); at = at.AddDate(0, 10, r.IntN(75)) {
		if at.Before(o.Start.AddDate(-1, 0, 0)) || m.truth.Charge(at) < 0.97*m.truth.Rated(at) {
			continue
		}
		check := x.paper(r, m.truth.ID, at, register.DirectLeakCheck)
		check.Outcome = register.Passed
		rows = append(rows, check)
	}
	return rows
}

// correct writes one addition with a mark too far to the right, and a later row that
// corrects it.
func correct(rows []register.Event) []register.Event {
	i := slices.IndexFunc(rows, func(e register.Event) bool { return e.Kind == register.ChargeAdded && e.HasTime })
	if i < 0 {
		return rows
	}
	right := rows[i]
	right.Corrects = right.Time.Format("2006-01-02 15:04") + " " + right.Kind.String()
	right.Note = "decimal mark"
	rows[i].KG *= 10
	return append(rows, right)
}

// lawful fills in what rules ask of a system's row: whose they are (the isles follow those
// of Germany, so that all of them show), and what parts systems by them.
func lawful(row *register.System) {
	row.Jurisdiction = "DE"
	row.Hermetic, row.LeakDetection = table.No, table.No
	switch {
	case row.Kind == register.DisplayCabinet || row.Kind == register.AirConditioning && row.Charge.KG < 3:
		row.Hermetic = table.Yes
	case row.Charge.KG > 20:
		row.LeakDetection = table.Yes
	}
}
