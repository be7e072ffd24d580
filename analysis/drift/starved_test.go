package drift

import (
	"math"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// suspected is a row of a decision about an evaporator that starves.
func suspected(on time.Time, kind, feature string, p float64) table.Cause {
	return table.Cause{DecidedOn: on, Kind: kind, Feature: feature, Probability: p, Odds: 20, Sure: 15, Size: 6, Noise: 0.4, Suspected: on, Since: on, Lost: math.NaN()}
}

// What the evaporator alone shows is no loss of charge behind a valve that controls (NIST SP
// 1087: it holds superheat until it is fully open, and subcooling falls before): the finding
// says that it is unclear and what would settle it. Behind a fixed opening it is one
// (Breuker & Braun 1998).
func TestWhatTheEvaporatorAloneShowsIsUnclear(t *testing.T) {
	on := time.Date(2024, 5, 2, 10, 0, 0, 0, time.UTC)
	decision := func(day int, rows ...table.Cause) []table.Cause {
		for i := range rows {
			rows[i].DecidedOn = on.AddDate(0, 0, day)
		}
		if c, ok := starved(rows); ok {
			rows = append(rows, c)
		}
		return rows
	}
	kindsOf := func(s register.System, causes ...[]table.Cause) (kinds []string) {
		var all []table.Cause
		for _, c := range causes {
			all = append(all, c...)
		}
		for _, f := range Findings(s, nil, nil, nil, all, on.AddDate(1, 0, 0), Options{}) {
			kinds = append(kinds, f.Kind+" "+f.State)
		}
		return kinds
	}
	unsure := []table.Cause{suspected(on, ChargeLoss, Superheat, 0.6), suspected(on, Restriction, Superheat, 0.3)}
	told := []table.Cause{suspected(on, ChargeLoss, Superheat, 0.05), suspected(on, Restriction, Superheat, 0.85)}
	fixed := system()
	fixed.Expansion = register.Capillary
	unknown := system()
	unknown.Expansion = register.ExpansionUnknown
	leaks := []table.Cause{suspected(on, ChargeLoss, Subcooling, 0.85)}
	leaks[0].Size = -4
	for _, tc := range []struct {
		name   string
		system register.System
		causes [][]table.Cause
		want   []string
	}{
		{"valve, superheat alone", system(), [][]table.Cause{decision(0, unsure...)}, []string{Starved + " " + Open}},
		{"fixed opening", fixed, [][]table.Cause{decision(0, unsure...)}, []string{ChargeLoss + " " + Open}},
		{"device not in the register", unknown, [][]table.Cause{decision(0, unsure...)}, []string{Starved + " " + Open}},
		{"restriction told apart", system(), [][]table.Cause{decision(0, told...)}, []string{Restriction + " " + Open}},
		{"told apart later", system(), [][]table.Cause{decision(0, unsure...), decision(40, told...)}, []string{Starved + " " + ClosedByData, Restriction + " " + Open}},
		{"subcooling", system(), [][]table.Cause{decision(0, leaks...)}, []string{ChargeLoss + " " + Open}},
	} {
		got := kindsOf(tc.system, tc.causes...)
		if len(got) != len(tc.want) {
			t.Errorf("%s: findings %q, want %q", tc.name, got, tc.want)
			continue
		}
		for i := range got {
			if got[i] != tc.want[i] {
				t.Errorf("%s: findings %q, want %q", tc.name, got, tc.want)
			}
		}
	}
}

// A blocked line widens the evaporator's difference as dirt on its coil does: as long as the two
// are hardly told apart no dirt is named, and once one is, it is.
func TestDirtIsNamedOnceTheEvaporatorIsFed(t *testing.T) {
	for _, c := range []struct {
		dirt, blocked float64
		want          int
	}{{0.54, 0.37, 0}, {0.54, 0.1, 1}, {0.85, 0.05, 1}} {
		var causes []table.Cause
		for k := range 3 {
			on := time.Date(2024, time.Month(3+k), 1, 10, 0, 0, 0, time.UTC)
			causes = append(causes, suspected(on, EvaporatorFouling, EvaporatorTD, c.dirt), suspected(on, Restriction, Superheat, c.blocked))
		}
		if got := Findings(system(), nil, nil, nil, causes, future, Options{}); len(got) != c.want {
			t.Errorf("dirt %.2f beside a blocked line %.2f: %d findings, want %d", c.dirt, c.blocked, len(got), c.want)
		}
	}
}
