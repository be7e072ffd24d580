package register

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"
)

// A Tariff is what a kilowatt-hour costs and emits for a time: a row of
// tariffs.csv.
type Tariff struct {
	Site     string    // as in systems.csv; empty: every site without rows of its own
	From, To time.Time // first moment it holds, first moment it holds no longer, UTC; zero: open
	Price    float64   // per kWh, in Currency; NaN unknown
	Currency string    // ISO 4217; empty unknown
	CO2e     float64   // kg CO2e per kWh; NaN unknown
	Source   string    // where price and factor are from

	Line int // of tariffs.csv
}

// tariffForm is tariffs.csv.
func tariffForm() form[Tariff] {
	return form[Tariff]{
		name: "tariffs.csv",
		doc:  "one line for each price of electricity and emission factor, with its dates",
		fresh: func(line int) Tariff {
			return Tariff{Price: math.NaN(), CO2e: math.NaN(), Line: line}
		},
		line: func(t *Tariff) int { return t.Line },
		columns: []column[Tariff]{
			textColumn("site", "the place, as in systems.csv; empty: every site without lines of its own", func(t *Tariff) *string { return &t.Site }),
			dateColumn("valid_from", "first day this holds",
				func(t *Tariff, at time.Time, _ bool) { t.From = at },
				func(t *Tariff) string { return moments(t.From, !startsDay(t.From)) }),
			dateColumn("valid_to", "last day of this",
				func(t *Tariff, at time.Time, hasTime bool) { t.To = pastEnd(at, hasTime) },
				func(t *Tariff) string { return writeEnd(t.To) }),
			numberColumn("price_per_kwh", "", "price of a kilowatt-hour of electricity", -10, 1e6, func(t *Tariff) *float64 { return &t.Price }),
			{
				name: "currency", doc: "of the price: three capital letters (ISO 4217)",
				read:  func(t *Tariff, c cell) *fault { return readCurrency(&t.Currency, c.text) },
				write: func(t *Tariff) string { return t.Currency },
			},
			numberColumn("co2e_kg_per_kwh", "kg", "greenhouse gases emitted for a kilowatt-hour, kg CO2e", 0, 5, func(t *Tariff) *float64 { return &t.CO2e }),
			textColumn("source", "where price and factor are from", func(t *Tariff) *string { return &t.Source }),
		},
	}
}

// holds tells whether the row speaks about a time.
func (t Tariff) holds(at time.Time) bool {
	return (t.From.IsZero() || !at.Before(t.From)) && (t.To.IsZero() || at.Before(t.To))
}

// Tariff returns the price and factor that hold for a system at a time: those of
// its site's own lines, else those for every site; of several the one that began
// last. It returns false where no line speaks about that time.
func (r *Register) Tariff(system string, at time.Time) (Tariff, bool) {
	rows := r.tariffRows(system)
	for i := len(rows) - 1; i >= 0; i-- {
		if rows[i].holds(at) {
			return rows[i], true
		}
	}
	return Tariff{}, false
}

// tariffRows lists the lines that may speak about a system, by first day. Lines
// for every site do not count where the site has its own.
func (r *Register) tariffRows(system string) []Tariff {
	s, _ := r.System(system)
	var own, common []Tariff
	for _, t := range r.tariffs {
		switch {
		case t.Site == "":
			common = append(common, t)
		case strings.EqualFold(t.Site, s.Site):
			own = append(own, t)
		}
	}
	if len(own) > 0 {
		return own
	}
	return common
}

func (r *Register) addTariff(t Tariff) { r.tariffs = append(r.tariffs, t) }

func (r *Register) sortTariffs() {
	form := tariffForm()
	slices.SortFunc(r.tariffs, func(a, b Tariff) int {
		return cmp.Or(cmp.Compare(strings.ToLower(a.Site), strings.ToLower(b.Site)), a.From.Compare(b.From),
			cmp.Compare(form.canonical(&a), form.canonical(&b)))
	})
}

// tariffs keeps the rows whose dates are in order.
func (c *checker) tariffs(rows []Tariff) {
	const file = "tariffs.csv"
	for _, t := range rows {
		switch {
		case !t.From.IsZero() && !t.To.IsZero() && !t.From.Before(t.To):
			c.report(file, t.Line, RowError{Column: "valid_to", Value: writeEnd(t.To), RowLost: true,
				Problem: "before valid_from", Remedy: "check both dates"})
			continue
		case math.IsNaN(t.Price) && math.IsNaN(t.CO2e):
			c.report(file, t.Line, RowError{Column: "price_per_kwh", RowLost: true,
				Problem: "neither a price nor an emission factor", Remedy: "write price_per_kwh, co2e_kg_per_kwh, or both"})
			continue
		case !math.IsNaN(t.Price) && t.Currency == "":
			c.report(file, t.Line, RowError{Column: "currency", Problem: "a price without its currency", Remedy: "write three letters, such as EUR or USD"})
			t.Price = math.NaN()
		}
		c.register.addTariff(t)
	}
	c.register.sortTariffs()
}

// EnergyRows is the canonical text of what comparing a system's energy depends
// on: the rows of its analysis, its site, and the tariffs that may speak about it.
func (r *Register) EnergyRows(system string) string {
	lines := []string{r.AnalysisRows(system)}
	form := tariffForm()
	for _, t := range r.tariffRows(system) {
		lines = append(lines, form.canonical(&t))
	}
	return strings.Join(lines, "")
}
