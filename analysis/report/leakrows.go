package report

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/records"
	"rimelog/analysis/report/say"
	"rimelog/pipeline/table"
)

// kilograms writes a mass: a dash where it is unknown.
func kilograms(kg float64) string { return say.With(say.Number(kg, 2), "kg") }

// tonnes writes tonnes of CO2 equivalent.
func tonnes(t float64) string { return say.With(say.Number(t, 1), "t") }

// pct writes a share.
func pct(p float64) string { return say.With(say.Number(p, 1), "%") }

// A lossRow is one year of the fleet.
type lossRow struct {
	Year, Replaced, Pct, CO2e, Charge, Systems string
	Bar                                        float64 // width of the bar, % of the longest
}

// lossYears is how many years of the fleet the page shows; the table fleet_loss has all.
const lossYears = 6

func lossRows(rows []table.FleetLoss) (out []lossRow) {
	rows = rows[max(0, len(rows)-lossYears):]
	longest := 0.0
	for _, y := range rows {
		if !math.IsNaN(y.Pct) {
			longest = max(longest, y.Pct)
		}
	}
	for _, y := range rows {
		r := lossRow{Year: fmt.Sprint(y.Year), Replaced: kilograms(y.Replaced), Pct: pct(y.Pct), CO2e: tonnes(y.CO2e), Charge: kilograms(y.Charge), Systems: say.Count(int(y.Systems), "system")}
		if y.Partial {
			r.Year += " so far"
		}
		if y.Unknown > 0 {
			r.Systems += fmt.Sprintf(", %d of unknown charge left out", y.Unknown)
		}
		if longest > 0 && y.Pct > 0 {
			r.Bar = math.Round(1000*y.Pct/longest) / 10
		}
		out = append(out, r)
	}
	slices.Reverse(out)
	return out
}

// A crossingRow is one limit that was passed.
type crossingRow struct {
	who
	On, What, Value, Limit, Note, Rule, Standing string
}

func crossingRows(rows []table.Crossing, names map[string]who) (out []crossingRow) {
	newest := slices.SortedStableFunc(slices.Values(rows), func(a, b table.Crossing) int { return b.On.Compare(a.On) })
	for _, c := range newest {
		r := crossingRow{who: nameOf(names, c.System), On: say.Day(c.On, time.UTC), What: capital(c.What), Value: pct(c.Value), Limit: pct(c.Limit), Note: stop(capital(c.Note)), Rule: c.Rule, Standing: c.Standing}
		if !c.Certain {
			r.Note = stop(r.Note) + " Not certain: it depends on what is not exactly known."
		}
		out = append(out, r)
	}
	return out
}

// A leakYearRow is one year of one system with a loss.
type leakYearRow struct {
	who
	Year, Added, Recovered, Replaced, Pct, Limit, Annualizing, Rolling, CO2e, Mark string
}

func leakYearRows(rows []table.LeakYear, names map[string]who) (out []leakYearRow) {
	kept := slices.DeleteFunc(slices.Clone(rows), func(y table.LeakYear) bool { return y.Added == 0 && y.Recovered == 0 })
	slices.SortStableFunc(kept, func(a, b table.LeakYear) int {
		return cmp.Or(cmp.Compare(b.Year, a.Year), cmp.Compare(b.ReplacedPct, a.ReplacedPct))
	})
	for _, y := range kept {
		r := leakYearRow{who: nameOf(names, y.System), Year: fmt.Sprint(y.Year), Added: kilograms(y.Added), Recovered: kilograms(y.Recovered), Replaced: kilograms(y.Replaced),
			Pct: pct(y.ReplacedPct), Limit: pct(y.LossLimit), Annualizing: pct(y.Annualizing), Rolling: pct(y.Rolling), CO2e: tonnes(y.CO2e)}
		if y.Chronic {
			r.Mark = "chronic leaker"
		}
		out = append(out, r)
	}
	return out
}

// A comparedRow is one system's kilograms beside what its logs show.
type comparedRow struct {
	who
	Verdict, Note, Booked, Logs string
	Open                        bool // they disagree
}

func comparedRows(rows []table.ChargeCompared, names map[string]who) (out []comparedRow) {
	for _, c := range rows {
		r := comparedRow{who: nameOf(names, c.System), Verdict: c.Verdict, Note: stop(capital(c.Note)), Booked: kilograms(c.Booked), Logs: kilograms(c.Logs),
			Open: c.Verdict == records.MoreAdded || c.Verdict == records.LessAdded}
		if !math.IsNaN(c.Logs) {
			r.Logs += " (" + say.Number(c.LogsLo, 2) + " to " + say.Number(c.LogsHi, 2) + ")"
		}
		out = append(out, r)
	}
	slices.SortStableFunc(out, func(a, b comparedRow) int {
		switch {
		case a.Open == b.Open:
			return 0
		case a.Open:
			return -1
		}
		return 1
	})
	return out
}

// A banRow is one ban on one refrigerant with the systems it hits.
type banRow struct {
	Refrigerant, GWP, From, State, Banned, Allowed, Rule, Standing string
	Systems                                                        []who
	Doubt                                                          []string
}

func banRows(rows []table.ServiceBan, names map[string]who) (out []banRow) {
	at := map[string]int{}
	for _, b := range rows {
		key := strings.Join([]string{b.Refrigerant, b.From.Format(time.DateOnly), b.Banned, b.Rule}, "\x00")
		i, known := at[key]
		if !known {
			i, at[key] = len(out), len(out)
			state := "from " + say.Day(b.From, time.UTC)
			if b.InForce {
				state = "in force since " + say.Day(b.From, time.UTC)
			}
			out = append(out, banRow{Refrigerant: b.Refrigerant, GWP: say.Number(b.GWP, 0), From: say.Day(b.From, time.UTC), State: state,
				Banned: stop(capital(b.Banned)), Allowed: stop(capital(b.Allowed)), Rule: b.Rule, Standing: b.Standing})
		}
		out[i].Systems = append(out[i].Systems, nameOf(names, b.System))
		if d := stop(capital(b.Doubt)); d != "" && !slices.Contains(out[i].Doubt, d) {
			out[i].Doubt = append(out[i].Doubt, d)
		}
	}
	return out
}

// A gapRow is one system whose record is incomplete.
type gapRow struct {
	who
	Doubtful, Missing []table.RecordGap
}

func gapRows(rows []table.RecordGap, names map[string]who) (out []gapRow) {
	at := map[string]int{}
	for _, g := range rows {
		i, known := at[g.System]
		if !known {
			i, at[g.System] = len(out), len(out)
			out = append(out, gapRow{who: nameOf(names, g.System)})
		}
		if g.Weight == "doubtful" {
			out[i].Doubtful = append(out[i].Doubtful, g)
		} else {
			out[i].Missing = append(out[i].Missing, g)
		}
	}
	slices.SortStableFunc(out, func(a, b gapRow) int { return cmp.Compare(len(b.Doubtful), len(a.Doubtful)) })
	return out
}

func gapsLede(rows []gapRow, all int) string {
	doubtful := 0
	for _, r := range rows {
		doubtful += len(r.Doubtful)
	}
	switch {
	case all == 0:
		return "No system is in the register yet."
	case len(rows) == 0:
		return "No record lacks anything that the rules ask for."
	case doubtful > 0:
		return fmt.Sprintf("Something is missing from the records of %s; %s cannot be so.", of(len(rows), all), say.Count(doubtful, "line"))
	}
	return fmt.Sprintf("Something is missing from the records of %s.", of(len(rows), all))
}

// A stockRow is the movement of one refrigerant in one year.
type stockRow struct {
	Year, Refrigerant, First, New, Recycled, Reclaimed, Unsaid, Recovered, Net, CO2e, Unweighed string
}

// stockYears is how many years with any movement are shown at once.
const stockYears = 3

func stockRows(rows []table.Movement) (newest, older []stockRow) {
	var out []stockRow
	years := map[int64]bool{}
	for _, m := range rows {
		years[m.Year] = true
		out = append(out, stockRow{
			Year: fmt.Sprint(m.Year), Refrigerant: cmp.Or(m.Refrigerant, "unknown"), First: kilograms(m.First), New: kilograms(m.New), Recycled: kilograms(m.Recycled),
			Reclaimed: kilograms(m.Reclaimed), Unsaid: kilograms(m.Unsaid), Recovered: kilograms(m.Recovered), Net: kilograms(m.Net), CO2e: tonnes(m.CO2e), Unweighed: fmt.Sprint(m.Unweighed),
		})
	}
	slices.SortStableFunc(out, func(a, b stockRow) int { return cmp.Compare(b.Year, a.Year) })
	if len(years) <= stockYears {
		return out, nil
	}
	first := fmt.Sprint(slices.Sorted(maps.Keys(years))[len(years)-stockYears])
	n := slices.IndexFunc(out, func(r stockRow) bool { return r.Year < first })
	return out[:n], out[n:]
}

// A balanceRow is the refrigerant of one system.
type balanceRow struct {
	who
	Refrigerant, Charge, By, GWP, CO2e, Tested, First, Added, Recovered, Replaced, Rules string
}

func balanceRows(rows []table.Balance, names map[string]who) (out []balanceRow) {
	for _, b := range rows {
		r := balanceRow{who: nameOf(names, b.System), Refrigerant: cmp.Or(b.Refrigerant, "unknown"), Charge: kilograms(b.Charge), By: b.ChargeBy, GWP: say.Number(b.GWP, 0), CO2e: tonnes(b.CO2e),
			Tested: b.Tested, First: kilograms(b.First), Added: kilograms(b.Added), Recovered: kilograms(b.Recovered), Replaced: kilograms(b.Replaced), Rules: cmp.Or(b.Rules, "none")}
		if b.ChargeLo != b.ChargeHi && !math.IsNaN(b.ChargeLo) {
			r.Charge = say.Number(b.ChargeLo, 2) + " to " + kilograms(b.ChargeHi)
		}
		out = append(out, r)
	}
	return out
}
