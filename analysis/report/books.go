package report

import (
	"context"
	"errors"
	"slices"

	"rimelog/analysis/records"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// partBooks parts the fleet's tables into the books of refrigerant that pages show, and
// what the other pages are drawn from.
func partBooks(files []dataset.File) (books, others []dataset.File) {
	books = filesNamed(files, bookTables()...)
	hidden := filesNamed(files, append(qualityTables(), table.LeakRates(), table.AuditTrail())...)
	for _, f := range files {
		same := func(g dataset.File) bool { return g.Path == f.Path }
		if !slices.ContainsFunc(books, same) && !slices.ContainsFunc(hidden, same) {
			others = append(others, f)
		}
	}
	return books, others
}

// bookTables are the books of refrigerant that pages show.
func bookTables() []table.Table {
	return []table.Table{
		table.LeakChecks(), table.LeakYears(), table.Crossings(), table.ServiceBans(), table.RecordGaps(), table.Stock(),
		table.Balances(), table.FleetLosses(), table.ChargesCompared(), table.RecordBook(),
	}
}

// filesNamed are the files of some tables.
func filesNamed(files []dataset.File, tables ...table.Table) (out []dataset.File) {
	for _, f := range files {
		if slices.ContainsFunc(tables, func(t table.Table) bool { return t.Name == f.Table }) {
			out = append(out, f)
		}
	}
	return out
}

// books reads the records of refrigerant that pages show.
func (s *Stage) books(ctx context.Context) (b records.Books, err error) {
	var errs [10]error
	b.LeakChecks, errs[0] = fleetRows[table.LeakCheck](ctx, s, table.LeakChecks())
	b.LeakYears, errs[1] = fleetRows[table.LeakYear](ctx, s, table.LeakYears())
	b.Crossings, errs[2] = fleetRows[table.Crossing](ctx, s, table.Crossings())
	b.Bans, errs[3] = fleetRows[table.ServiceBan](ctx, s, table.ServiceBans())
	b.Gaps, errs[4] = fleetRows[table.RecordGap](ctx, s, table.RecordGaps())
	b.Stock, errs[5] = fleetRows[table.Movement](ctx, s, table.Stock())
	b.Balances, errs[6] = fleetRows[table.Balance](ctx, s, table.Balances())
	b.FleetLoss, errs[7] = fleetRows[table.FleetLoss](ctx, s, table.FleetLosses())
	b.Compared, errs[8] = fleetRows[table.ChargeCompared](ctx, s, table.ChargesCompared())
	b.Book, errs[9] = fleetRows[table.RecordRow](ctx, s, table.RecordBook())
	return b, errors.Join(errs[:]...)
}

// fleetRows reads the rows of a table of the fleet.
func fleetRows[Row any](ctx context.Context, s *Stage, t table.Table) ([]Row, error) {
	return rowsOf[Row](ctx, s.data, filesOf(s.fleet, t))
}
