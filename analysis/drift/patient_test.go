package drift

import (
	"testing"
	"time"

	"rimelog/pipeline/table"
)

// Where a logger stays, a cause is raised only where the machine follows its lines, nothing
// outshines it, its season was seen before, and all of its interval is a change; visits ask for
// nothing of that.
func TestWhereALoggerStaysMoreIsAsked(t *testing.T) {
	first := time.Date(2024, 6, 3, 0, 0, 0, 0, time.UTC)
	week, sure := 7*24*time.Hour, table.Cause{Odds: 20, Sure: 20, SizeLo: 2, SizeHi: 3}
	of := func(kind string, change func(*table.Cause)) table.Cause {
		c := sure
		c.Kind = kind
		if change != nil {
			change(&c)
		}
		return c
	}
	beside := func(kind string, odds, probability float64) table.Cause {
		return table.Cause{Kind: kind, Odds: odds, Sure: odds, Probability: probability}
	}
	gone := func(c *table.Cause) { c.SizeLo = -0.1 }
	for _, c := range []struct {
		name   string
		cause  table.Cause
		beside table.Cause
		weeks  int // since the first decision
		want   bool
	}{
		{"gas", of(Gas, nil), beside(Unclear, 3, 0.5), 60, true},
		{"gas beside what nothing explains", of(Gas, nil), beside(Unclear, 3, 0.95), 60, false},
		{"wear beside what nothing explains", of(Wear, nil), beside(Unclear, 3, 1), 60, false},
		{"a loss beside what nothing explains", of(ChargeLoss, nil), beside(Unclear, 3, 0.95), 60, true},
		{"dirt on a condenser beside what nothing explains", of(CondenserFouling, nil), beside(Unclear, 3, 0.95), 60, true},
		{"a loss beside much more of a dirty condenser", of(ChargeLoss, nil), beside(CondenserFouling, 300, 0.9), 60, false},
		{"a loss beside more of a dirty condenser", of(ChargeLoss, nil), beside(CondenserFouling, 100, 0.9), 60, true},
		{"a loss beside much more of a dirty evaporator", of(ChargeLoss, nil), beside(EvaporatorFouling, 300, 0.9), 60, true},
		{"too much charge beside more of a loss", of(Overcharge, nil), beside(ChargeLoss, 30, 0.9), 60, false},
		{"too much charge beside less of a loss", of(Overcharge, nil), beside(ChargeLoss, 10, 0.2), 60, true},
		{"dirt in a season never seen", of(CondenserFouling, nil), beside(Unclear, 0, 0.1), 30, false},
		{"much dirt in a season never seen", of(CondenserFouling, func(c *table.Cause) { c.Odds, c.Sure = 40, 35 }), beside(Unclear, 0, 0.1), 30, true},
		{"a loss in a season never seen", of(ChargeLoss, nil), beside(Unclear, 0, 0.1), 30, true},
		{"what came at once in a season never seen", of(Gas, func(c *table.Cause) { c.Sudden = true }), beside(Unclear, 0, 0.1), 30, true},
		{"perhaps no change", of(Wear, gone), beside(Unclear, 0, 0.1), 60, false},
		{"little dirt on an evaporator", of(EvaporatorFouling, func(c *table.Cause) { c.SizeLo = 0.5 }), beside(Unclear, 0, 0.1), 60, false},
		{"dirt on an evaporator", of(EvaporatorFouling, nil), beside(Unclear, 0, 0.1), 60, true},
	} {
		on := first.Add(time.Duration(c.weeks) * week)
		c.cause.DecidedOn = on
		d := decision{on: on, causes: []table.Cause{c.cause, c.beside}}
		for apart, want := range map[time.Duration]bool{week: c.want, 30 * 24 * time.Hour: true} {
			w := walk{first: first, last: on.Add(-apart)}
			if got := w.patient(c.cause, d); got != want {
				t.Errorf("%s, %v after the decision before: %v, want %v", c.name, apart, got, want)
			}
		}
	}
}
