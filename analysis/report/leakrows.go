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
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// kilograms writes a mass: a dash where it is unknown.
func kilograms(l say.Locale, kg float64) string { return l.Figure(say.Mass, kg, 2) }

// tonnes writes tonnes of CO2 equivalent.
func tonnes(l say.Locale, t float64) string { return l.With(l.Number(t, 1), "t") }

// pct writes a share.
func pct(l say.Locale, p float64) string { return l.With(l.Number(p, 1), "%") }

// A lossRow is one year of the fleet.
type lossRow struct {
	Year, Replaced, Pct, CO2e, Charge, Systems string
	Bar                                        float64 // width of the bar, % of the longest
}

// lossYears is how many years of the fleet the page shows; the table fleet_loss has all.
const lossYears = 6

func lossRows(l say.Locale, rows []table.FleetLoss) (out []lossRow) {
	rows = rows[max(0, len(rows)-lossYears):]
	longest := 0.0
	for _, y := range rows {
		if !math.IsNaN(y.Pct) {
			longest = max(longest, y.Pct)
		}
	}
	for _, y := range rows {
		r := lossRow{Year: fmt.Sprint(y.Year), Replaced: kilograms(l, y.Replaced), Pct: pct(l, y.Pct), CO2e: tonnes(l, y.CO2e), Charge: kilograms(l, y.Charge), Systems: l.Count(int(y.Systems), "system")}
		if y.Partial {
			r.Year = l.Text("%s so far", r.Year)
		}
		if y.Unknown > 0 {
			r.Systems = l.Text("%s, %s of unknown charge left out", r.Systems, fmt.Sprint(y.Unknown))
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

func crossingRows(l say.Locale, rows []table.Crossing, names map[string]who) (out []crossingRow) {
	newest := slices.SortedStableFunc(slices.Values(rows), func(a, b table.Crossing) int { return b.On.Compare(a.On) })
	for _, c := range newest {
		r := crossingRow{who: nameOf(names, c.System), On: l.Day(c.On, time.UTC), What: capital(l.Prose(c.What)), Value: pct(l, c.Value), Limit: pct(l, c.Limit), Note: l.Sentence(c.Note), Rule: l.Prose(c.Rule), Standing: c.Standing}
		if !c.Certain {
			r.Note = say.Stop(r.Note) + " " + l.Text("Not certain: it depends on what is not exactly known.")
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

func leakYearRows(l say.Locale, rows []table.LeakYear, names map[string]who) (out []leakYearRow) {
	kept := slices.DeleteFunc(slices.Clone(rows), func(y table.LeakYear) bool { return y.Added == 0 && y.Recovered == 0 })
	slices.SortStableFunc(kept, func(a, b table.LeakYear) int {
		return cmp.Or(cmp.Compare(b.Year, a.Year), cmp.Compare(b.ReplacedPct, a.ReplacedPct))
	})
	for _, y := range kept {
		r := leakYearRow{who: nameOf(names, y.System), Year: fmt.Sprint(y.Year), Added: kilograms(l, y.Added), Recovered: kilograms(l, y.Recovered), Replaced: kilograms(l, y.Replaced),
			Pct: pct(l, y.ReplacedPct), Limit: pct(l, y.LossLimit), Annualizing: pct(l, y.Annualizing), Rolling: pct(l, y.Rolling), CO2e: tonnes(l, y.CO2e)}
		if y.Chronic {
			r.Mark = l.Text("chronic leaker")
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

func comparedRows(l say.Locale, rows []table.ChargeCompared, names map[string]who) (out []comparedRow) {
	for _, c := range rows {
		r := comparedRow{who: nameOf(names, c.System), Verdict: c.Verdict, Note: l.Sentence(c.Note), Booked: kilograms(l, c.Booked), Logs: kilograms(l, c.Logs),
			Open: c.Verdict == records.MoreAdded || c.Verdict == records.LessAdded}
		if !math.IsNaN(c.Logs) {
			r.Logs += " (" + l.Range(l.In(say.Mass, c.LogsLo), l.In(say.Mass, c.LogsHi), 2, "") + ")"
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

func banRows(l say.Locale, rows []table.ServiceBan, names map[string]who) (out []banRow) {
	at := map[string]int{}
	for _, b := range rows {
		key := strings.Join([]string{b.Refrigerant, b.From.Format(time.DateOnly), b.Banned, b.Rule}, "\x00")
		i, known := at[key]
		if !known {
			i, at[key] = len(out), len(out)
			state := l.Text("from %s", l.Day(b.From, time.UTC))
			if b.InForce {
				state = l.Text("in force since %s", l.Day(b.From, time.UTC))
			}
			out = append(out, banRow{Refrigerant: b.Refrigerant, GWP: l.Number(b.GWP, 0), From: l.Day(b.From, time.UTC), State: state,
				Banned: l.Sentence(b.Banned), Allowed: l.Sentence(b.Allowed), Rule: l.Prose(b.Rule), Standing: b.Standing})
		}
		out[i].Systems = append(out[i].Systems, nameOf(names, b.System))
		if d := l.Sentence(b.Doubt); d != "" && !slices.Contains(out[i].Doubt, d) {
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

func gapRows(l say.Locale, rows []table.RecordGap, names map[string]who) (out []gapRow) {
	at := map[string]int{}
	for _, g := range rows {
		g.Problem, g.Remedy, g.Rule = l.Prose(g.Problem), l.Prose(g.Remedy), l.Prose(g.Rule)
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

func gapsLede(l say.Locale, rows []gapRow, all int) string {
	doubtful := 0
	for _, r := range rows {
		doubtful += len(r.Doubtful)
	}
	switch {
	case all == 0:
		return l.Text("No system is in the register yet.")
	case len(rows) == 0:
		return l.Text("No record lacks anything that the rules ask for.")
	case doubtful > 0:
		return l.Text("Something is missing from the records of %s; %s cannot be so.", of(l, len(rows), all), l.Count(doubtful, "line"))
	}
	return l.Text("Something is missing from the records of %s.", of(l, len(rows), all))
}

// A stockRow is the movement of one refrigerant in one year.
type stockRow struct {
	Year, Refrigerant, First, New, Recycled, Reclaimed, Unsaid, Recovered, Net, CO2e, Unweighed string
}

// stockYears is how many years with any movement are shown at once.
const stockYears = 3

func stockRows(l say.Locale, rows []table.Movement) (newest, older []stockRow) {
	var out []stockRow
	years := map[int64]bool{}
	for _, m := range rows {
		years[m.Year] = true
		out = append(out, stockRow{
			Year: fmt.Sprint(m.Year), Refrigerant: cmp.Or(m.Refrigerant, l.Text("unknown")), First: kilograms(l, m.First), New: kilograms(l, m.New), Recycled: kilograms(l, m.Recycled),
			Reclaimed: kilograms(l, m.Reclaimed), Unsaid: kilograms(l, m.Unsaid), Recovered: kilograms(l, m.Recovered), Net: kilograms(l, m.Net), CO2e: tonnes(l, m.CO2e), Unweighed: fmt.Sprint(m.Unweighed),
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

func balanceRows(l say.Locale, rows []table.Balance, names map[string]who) (out []balanceRow) {
	for _, b := range rows {
		r := balanceRow{who: nameOf(names, b.System), Refrigerant: cmp.Or(b.Refrigerant, l.Text("unknown")), Charge: kilograms(l, b.Charge), By: l.Prose(b.ChargeBy), GWP: l.Number(b.GWP, 0), CO2e: tonnes(l, b.CO2e),
			Tested: l.Prose(b.Tested), First: kilograms(l, b.First), Added: kilograms(l, b.Added), Recovered: kilograms(l, b.Recovered), Replaced: kilograms(l, b.Replaced), Rules: cmp.Or(b.Rules, l.Text("none"))}
		if b.ChargeLo != b.ChargeHi && !math.IsNaN(b.ChargeLo) {
			r.Charge = l.Range(l.In(say.Mass, b.ChargeLo), l.In(say.Mass, b.ChargeHi), 2, l.Unit(say.Mass))
		}
		out = append(out, r)
	}
	return out
}
