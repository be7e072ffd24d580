package drift

import (
	"math"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// fouled is a decision of some day with a condenser that stands by so much more off its air.
func fouled(day int, size float64) (table.Trend, table.Cause) {
	on := time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, day)
	c := table.Cause{
		DecidedOn: on, Kind: CondenserFouling, Feature: CondenserTD, Probability: 0.9, Odds: 30, Sure: 20, Since: on.AddDate(-1, 0, 0), Suspected: on,
		Visits: 40, Size: size, SizeLo: size - 0.1, SizeHi: size + 0.1, Noise: 0.1, Lost: math.NaN(), LossPct: math.NaN(),
	}
	return table.Trend{DecidedOn: on, Feature: CondenserTD}, c
}

// states are those of the findings of decisions so many days apart, at each of which the
// condenser's difference is up by so much.
func states(apart int, sizes ...float64) (out []string) {
	var trends []table.Trend
	var causes []table.Cause
	for i, size := range sizes {
		t, c := fouled(i*apart, size)
		trends, causes = append(trends, t), append(causes, c)
	}
	last := trends[len(trends)-1].DecidedOn
	for _, f := range Findings(register.NewSystem("CR-01"), nil, nil, trends, causes, last, Options{}) {
		out = append(out, f.State)
	}
	return out
}

// Where a logger stays a finding waits for the next week, since one wild week is soon over;
// where people come by the month the first clear visit is told at once.
func TestAWildWeekRaisesNothing(t *testing.T) {
	if got := states(7, 0.1, 3, 0.1, 0.1); len(got) > 0 {
		t.Errorf("one wild week: %v, want nothing", got)
	}
	if got := states(7, 0.1, 3, 3); !slices.Equal(got, []string{Open}) {
		t.Errorf("two weeks: %v, want one open finding", got)
	}
	if got := states(30, 0.1, 3); !slices.Equal(got, []string{Open}) {
		t.Errorf("a visit by the month: %v, want one open finding", got)
	}
}

// A difference that is back where it was has nothing to look at any more.
func TestWhatMovedBackIsClosed(t *testing.T) {
	if got := states(30, 3, 3, 0.1, 0.1, 0.1); !slices.Equal(got, []string{ClosedByData}) {
		t.Errorf("back for three visits: %v, want closed by data", got)
	}
	if got := states(30, 3, 3, 1, 1, 1); !slices.Equal(got, []string{Open}) {
		t.Errorf("a third of it is left: %v, want open", got)
	}
}
