package records

import (
	"cmp"
	"slices"
	"time"

	"rimelog/pipeline/table"
)

// Books are the records of a fleet as on a day, as rows of its tables.
type Books struct {
	LeakChecks []table.LeakCheck
	LeakRates  []table.LeakRate
	LeakYears  []table.LeakYear
	Crossings  []table.Crossing
	Bans       []table.ServiceBan
	Gaps       []table.RecordGap
	Stock      []table.Movement
	Balances   []table.Balance
	FleetLoss  []table.FleetLoss
	Compared   []table.ChargeCompared
	Book       []table.RecordRow
	Audit      []table.AuditRow
}

// A Date is the day on which the books are closed.
type Date struct {
	On       time.Time
	LookBack bool // it lies behind what is known, so that later rows are no mistake
}

// Keep keeps the books of a fleet. What is later than the day does not count. The same
// input gives the same rows, in whatever order the systems come.
func Keep(systems []System, r Rules, o Options, day Date) Books {
	o.EnsureDefaults()
	sorted := slices.Clone(systems)
	slices.SortFunc(sorted, func(a, b System) int { return cmp.Compare(a.Register.ID, b.Register.ID) })
	var all Books
	var t trail
	var circuits []*circuit
	for _, s := range sorted {
		c := newCircuit(s, r, o, day)
		circuits = append(circuits, c)
		b := c.books()
		t.audit(c, &b)
		all.add(b)
	}
	sortDue(all.LeakChecks)
	slices.SortStableFunc(all.Bans, func(a, b table.ServiceBan) int { return a.From.Compare(b.From) })
	all.Stock, all.FleetLoss = stock(circuits), fleetLoss(circuits)
	t.auditFleet(circuits, &all)
	all.Audit = t.rows
	return all
}

// books are the records of one system.
func (c *circuit) books() Books {
	b := Books{LeakRates: c.leakRates(), Bans: c.bans(), Gaps: c.gaps(), Compared: c.compared(), Book: c.book()}
	b.LeakYears = c.leakYears(b.LeakRates)
	b.Crossings = c.crossings(b.LeakRates)
	b.LeakChecks = c.due(b.Crossings)
	b.Balances = []table.Balance{c.balance(b.Gaps)}
	return b
}

func (b *Books) add(o Books) {
	b.LeakChecks = append(b.LeakChecks, o.LeakChecks...)
	b.LeakRates = append(b.LeakRates, o.LeakRates...)
	b.LeakYears = append(b.LeakYears, o.LeakYears...)
	b.Crossings = append(b.Crossings, o.Crossings...)
	b.Bans = append(b.Bans, o.Bans...)
	b.Gaps = append(b.Gaps, o.Gaps...)
	b.Balances = append(b.Balances, o.Balances...)
	b.Compared = append(b.Compared, o.Compared...)
	b.Book = append(b.Book, o.Book...)
}
