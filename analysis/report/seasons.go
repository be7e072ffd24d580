package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/energy"
	"rimelog/analysis/report/chart"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// seasonsPage compares the energy of the fleet.
const seasonsPage = "seasons.html"

// seasonsView is what the page about energy says.
type seasonsView struct {
	AsOf, Lede string
	Groups     []figureView
	NotRanked  []notRanked
	Changes    []changeRow
	Savings    []fleetSaving
	Made       madeView
}

// A notRanked is a reason for which systems that are in a group cannot be compared.
type notRanked struct {
	Why, Count string // how many systems
	Systems    []systemLink
}

// A systemLink is a system and its page.
type systemLink struct{ System, Href string }

// A changeRow is a system's latest comparison of seasons.
type changeRow struct{ System, Title, Href, Season, COP, Interval, Change, Verdict, Note string }

// A fleetSaving is an event of a system.
type fleetSaving struct {
	System, Href string
	savingView
}

// seasons puts the energy of the fleet into words.
func (f Fleet) seasons() (seasonsView, error) {
	v := seasonsView{AsOf: f.say.Day(f.AsOf, f.AsOf.Location()), Made: f.Made.view(f.say)}
	var names []string
	groups := map[string][]table.Ranking{}
	for _, r := range f.Rankings {
		if groups[r.Group] == nil {
			names = append(names, r.Group)
		}
		groups[r.Group] = append(groups[r.Group], r)
	}
	for i, name := range names {
		if err := v.group(f.say, i, name, groups[name]); err != nil {
			return v, err
		}
	}
	for _, s := range f.systems() {
		v.system(f.say, s)
	}
	slices.SortStableFunc(v.Changes, func(a, b changeRow) int { return cmp.Compare(worseFirst(a), worseFirst(b)) })
	v.Lede = v.lede(f.say)
	return v, nil
}

// Compared are the rows with a verdict, Uncompared those without.
func (v seasonsView) Compared() []changeRow   { return v.verdicts(true) }
func (v seasonsView) Uncompared() []changeRow { return v.verdicts(false) }

func (v seasonsView) verdicts(some bool) (out []changeRow) {
	for _, r := range v.Changes {
		if (r.Verdict != energy.NotCompared) == some {
			out = append(out, r)
		}
	}
	return out
}

// Stated are the events with a saving, Unstated those without.
func (v seasonsView) Stated() []fleetSaving   { return v.savings(true) }
func (v seasonsView) Unstated() []fleetSaving { return v.savings(false) }

func (v seasonsView) savings(stated bool) (out []fleetSaving) {
	for _, s := range v.Savings {
		if s.Stated == stated {
			out = append(out, s)
		}
	}
	return out
}

func worseFirst(r changeRow) int {
	return slices.Index([]string{energy.Worse, energy.Better, energy.WithinNoise, energy.NotCompared}, r.Verdict)
}

// leaveOut puts a system to the others that cannot be ranked for the same reason.
func (v *seasonsView) leaveOut(l say.Locale, row table.Ranking) {
	why := l.Prose(row.Why)
	i := slices.IndexFunc(v.NotRanked, func(n notRanked) bool { return n.Why == why })
	if i < 0 {
		i = len(v.NotRanked)
		v.NotRanked = append(v.NotRanked, notRanked{Why: why})
	}
	n := &v.NotRanked[i]
	n.Systems = append(n.Systems, systemLink{row.System, SystemPath(row.System)})
	n.Count = l.Count(len(n.Systems), "system")
}

// group draws the ranking of one group.
func (v *seasonsView) group(l say.Locale, i int, name string, rows []table.Ranking) error {
	r := chart.Ranking{Say: l, ID: fmt.Sprintf("group-%d", i+1), Group: name,
		About: l.Text("At equal outdoor temperatures, over the latest year of seasons. Intervals hold what the instruments may be off. Systems that share a letter cannot be told apart, or differ by 2 % at most: of such pairs one in twenty would be told apart.")}
	for _, row := range rows {
		if row.Why != "" {
			v.leaveOut(l, row)
			continue
		}
		r.Places = append(r.Places, chart.Place{System: row.System, Sets: row.Sets, Percent: row.Percent, Lo: row.Lo, Hi: row.Hi, COP: row.COP, KWh: row.KWh, Gain: row.Gain, Cost: money(l, row.GainCost, row.Currency)})
	}
	if len(r.Places) < 2 {
		return nil
	}
	r.Finding = groupFinding(l, r.Places)
	c, err := r.Draw()
	if err != nil {
		return err
	}
	v.Groups = append(v.Groups, figureView{Chart: c})
	return nil
}

// groupFinding says whether anything can be told apart, and names a wasteful one where it
// stands alone.
func groupFinding(l say.Locale, places []chart.Place) string {
	best, last := places[0], places[len(places)-1]
	if strings.ContainsAny(last.Sets, best.Sets) {
		return l.Text("%s systems cannot be told apart.", l.Word(len(places)))
	}
	var alike []string
	for _, p := range places[:len(places)-1] {
		if strings.ContainsAny(p.Sets, last.Sets) {
			alike = append(alike, p.System)
		}
	}
	if len(alike) > 0 {
		return l.Text("%s stands last, COP %s against the middle, %s, and cannot be told apart from %s; %s is better.", last.System,
			l.With(l.Signed(last.Percent, 1), "%"), l.Interval(last.Lo, last.Hi, 1, "%"), strings.Join(alike, ", "), best.System)
	}
	return l.Text("%s is the wasteful one: COP %s against the middle, %s; %s is the best.", last.System, l.With(l.Signed(last.Percent, 1), "%"), l.Interval(last.Lo, last.Hi, 1, "%"), best.System)
}

// system adds a system's latest comparison and its events.
func (v *seasonsView) system(l say.Locale, s System) {
	seasons := wholes(s.Seasons)
	href := SystemPath(s.Register.ID) + "#energy"
	if n := len(seasons); n > 0 {
		r := seasons[n-1]
		for i := n - 1; i >= 0; i-- {
			if seasons[i].Verdict != energy.NotCompared {
				r = seasons[i]
				break
			}
		}
		row := changeRow{System: s.Register.ID, Title: s.Title(), Href: href, Season: seasonName(l, r.Season), COP: l.Number(r.COP, 2), Interval: copRange(l, r.COPLo, r.COPHi), Verdict: r.Verdict, Note: l.Prose(r.Note), Change: "–"}
		if !math.IsNaN(r.Change) {
			row.Change = l.With(l.Signed(r.Change, 1), "%") + ", " + l.Interval(r.ChangeLo, r.ChangeHi, 1, "%")
		}
		v.Changes = append(v.Changes, row)
	}
	for _, r := range s.Savings {
		v.Savings = append(v.Savings, fleetSaving{s.Register.ID, href, s.saving(r)})
	}
}

// lede says the most that is known.
func (v *seasonsView) lede(l say.Locale) string {
	count := map[string]int{}
	for _, c := range v.Changes {
		count[c.Verdict]++
	}
	switch {
	case len(v.Changes) == 0:
		return l.Text("Nothing is known yet of the fleet’s energy.")
	case count[energy.Worse]+count[energy.Better]+count[energy.WithinNoise] == 0:
		return l.Text("%s with a COP by seasons; none has the same half-year before to hold against.", capital(l.Count(len(v.Changes), "system")))
	}
	return l.Text("Held against the same half-year before, at the same outdoor temperatures: %s worse, %s better, %s within noise.",
		tally(l, count[energy.Worse]), tally(l, count[energy.Better]), tally(l, count[energy.WithinNoise]))
}

func tally(l say.Locale, n int) string {
	if n == 0 {
		return l.Text("none")
	}
	return l.Small(n)
}
