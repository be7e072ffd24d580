package energy

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// An Entry is a system as it enters the comparison.
type Entry struct {
	System  register.System
	Seasons []table.Season
	KWh     float64 // electricity of a year; NaN unknown
	Tariff  register.Tariff
}

// String names what the members of a group share.
func (k Kin) String() string {
	return strings.Join([]string{k.Kind.String(), k.Refrigerant, k.Mode, "by " + k.Route.String(), "boundary: " + k.Boundary.String()}, ", ")
}

// RankingRows compares systems of one kind, refrigerant, mode, route and boundary,
// over the latest year of seasons of each. A system alone in its group has no row.
func RankingRows(entries []Entry, o Options) []table.Ranking {
	o.EnsureDefaults()
	groups := map[Kin][]candidate{}
	var kins []Kin
	for _, e := range entries {
		for _, c := range candidates(e, o.binning()) {
			if groups[c.kin] == nil {
				kins = append(kins, c.kin)
			}
			groups[c.kin] = append(groups[c.kin], c)
		}
	}
	slices.SortFunc(kins, func(a, b Kin) int { return cmp.Compare(a.String(), b.String()) })
	rows := []table.Ranking{}
	for _, k := range kins {
		if len(groups[k]) > 1 {
			rows = append(rows, rankRows(k, groups[k], o)...)
		}
	}
	return rows
}

// A candidate is a system in one group.
type candidate struct {
	kin    Kin
	member Member
	cop    float64
	entry  Entry
}

// candidates are the groups that a system belongs to: one for each mode, route and
// boundary of its seasons.
func candidates(e Entry, b Binning) []candidate {
	var out []candidate
	for _, s := range e.Seasons {
		if s.What != WholeSeason {
			continue
		}
		k := Kin{e.System.Kind, e.System.RefrigerantName, s.Mode, routeNamed(s.Route), boundaryNamed(s.Boundary)}
		at := slices.IndexFunc(out, func(c candidate) bool { return c.kin == k })
		if at < 0 {
			out, at = append(out, candidate{kin: k, entry: e}), len(out)
		}
		out[at].latest(e.Seasons, s)
	}
	for i := range out {
		out[i].member.System = e.System.ID
	}
	return out
}

// latest takes the bins of the two newest seasons of the sort: a year.
func (c *candidate) latest(rows []table.Season, newest table.Season) {
	var year []table.Season
	for _, r := range rows {
		same := r.Mode == newest.Mode && r.Route == newest.Route && r.Boundary == newest.Boundary
		if same && !r.From.After(newest.From) && newest.To.Sub(r.From).Hours() < 24*lossDays+24 {
			year = append(year, r)
		}
	}
	c.cop, c.member.U = newest.COP, newest.U/newest.COP
	c.member.Bins = merge(BinsOf(year))
}

// merge pools bins of the same range, by their hours.
func merge(bins []Bin) []Bin {
	var out []Bin
	for _, b := range bins {
		at := slices.IndexFunc(out, func(x Bin) bool { return x.From == b.From })
		if at < 0 {
			out = append(out, b)
			continue
		}
		a := &out[at]
		x := b.Hours / (a.Hours + b.Hours)
		a.COP, a.SE = a.COP+x*(b.COP-a.COP), math.Hypot((1-x)*a.SE, x*b.SE)
		a.Windows, a.Days, a.Hours = a.Windows+b.Windows, a.Days+b.Days, a.Hours+b.Hours
	}
	return out
}

func rankRows(k Kin, group []candidate, o Options) []table.Ranking {
	var members []Member
	for _, c := range group {
		members = append(members, c.member)
	}
	var rows []table.Ranking
	nan := math.NaN()
	for i, p := range Rank(k, members, o.binning()) {
		c := group[i]
		row := table.Ranking{
			Group: k.String(), System: p.System, Rank: int64(p.Rank), Sets: p.Sets, Percent: nan, Lo: nan, Hi: nan, COP: c.cop, KWh: c.entry.KWh,
			Gain: nan, GainKWh: nan, GainCost: nan, Currency: c.entry.Tariff.Currency, Bins: int64(p.Bins), Why: p.Why,
		}
		if p.Why == "" {
			row.Percent, row.Lo, row.Hi = p.Percent.Value, p.Percent.Lo, p.Percent.Hi
		}
		if row.Percent < 0 {
			row.Gain = -row.Percent // the same heat with a COP of the middle takes COP over the middle's of the electricity
			row.GainKWh = row.Gain / 100 * row.KWh
			row.GainCost = row.GainKWh * c.entry.Tariff.Price
		}
		rows = append(rows, row)
	}
	slices.SortStableFunc(rows, func(a, b table.Ranking) int {
		last := func(r table.Ranking) int64 { return (r.Rank + 1e9 - 1) % 1e9 } // those not ranked come last
		return cmp.Or(cmp.Compare(last(a), last(b)), cmp.Compare(a.System, b.System))
	})
	return rows
}
