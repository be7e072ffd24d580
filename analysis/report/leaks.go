package report

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/records"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// The page of leaks and records, and the files beside it.
const (
	leaksPage    = "leaks.html"
	calendarFile = "leak-checks.ics"
	bookFile     = "record-book.csv"
)

// leaksView is what the page of leaks and records says: what is due first, then what
// leaks, then what the records lack, then the figures behind it.
type leaksView struct {
	AsOf, Lede, Say string
	Due             []dueGroup
	Scale           string // days that half the wire stands for
	Loss            []lossRow
	Crossings       []crossingRow
	Years           []leakYearRow
	Compared        []comparedRow
	Incomparable    []comparedRow
	Bans            []banRow
	Gaps            []gapRow
	GapsLede        string
	Stock, OldStock []stockRow // the newest years with any movement, and those before
	Balances        []balanceRow
	Rules           []ruleRow
	Made            madeView
}

// A who names a system for a row, with the way to its page.
type who struct{ ID, Title, Site, Area, Href string }

// A dueGroup is one list of what is due.
type dueGroup struct {
	Key, Title, About string
	Fold              bool // folded, as it asks for nothing now
	Rows              []dueRow
}

// A dueRow is one thing that is due.
type dueRow struct {
	who
	What, When, Days string
	Wire             template.HTML
	Why, Doubt, Told string
	Rule, Standing   string
}

// names are the systems by ID, for rows of the fleet's tables.
func (f Fleet) names() map[string]who {
	out := map[string]who{}
	for _, s := range f.Systems {
		out[s.Register.ID] = who{s.Register.ID, s.Title(), s.Register.Site, s.Register.Area, SystemPath(s.Register.ID)}
	}
	return out
}

// nameOf is a system by ID, also one that has no page.
func nameOf(names map[string]who, id string) who {
	if w, ok := names[id]; ok {
		return w
	}
	return who{ID: id, Title: id}
}

func (f Fleet) leaks() leaksView {
	b, names := f.Records, f.names()
	v := leaksView{
		AsOf: f.say.Day(f.AsOf, f.AsOf.Location()), Due: f.dueGroups(names), Scale: f.say.Number(dueScale, 0),
		Loss: lossRows(f.say, b.FleetLoss), Crossings: crossingRows(f.say, b.Crossings, names), Years: leakYearRows(f.say, b.LeakYears, names),
		Bans: banRows(f.say, b.Bans, names), Gaps: gapRows(f.say, b.Gaps, names), Balances: balanceRows(f.say, b.Balances, names),
		Rules: ruleRows(f.say, b), Made: f.Made.view(f.say),
	}
	for _, r := range comparedRows(f.say, b.Compared, names) {
		if r.Verdict == records.NotComparable {
			v.Incomparable = append(v.Incomparable, r)
		} else {
			v.Compared = append(v.Compared, r)
		}
	}
	v.Stock, v.OldStock = stockRows(f.say, b.Stock)
	v.GapsLede = gapsLede(f.say, v.Gaps, len(b.Balances))
	v.Lede, v.Say = dueLede(f.say, b.LeakChecks), recordsLede(f.say, b)
	return v
}

// dueScale is how many days half a wire stands for.
const dueScale = 180

// dueGroups parts what is due by how pressing it is.
func (f Fleet) dueGroups(names map[string]who) []dueGroup {
	groups := []dueGroup{
		{Key: "open", Title: f.say.Text("Now"), About: f.say.Text("Overdue, never done, or recommended by the logs.")},
		{Key: "soon", Title: f.say.Text("Soon"), About: f.say.Text("To be done before the day in the first column is over.")},
		{Key: "unjudged", Title: f.say.Text("Not known"), About: f.say.Text("Whether and when it is due depends on what the register does not say.")},
		{Key: "calm", Title: f.say.Text("Later"), About: f.say.Text("In time until the day in the first column."), Fold: true},
		{Key: "calm", Title: f.say.Text("Answered"), About: f.say.Text("Recommended by the logs, and answered by a direct check."), Fold: true},
	}
	at := map[string]int{records.Overdue: 0, records.NeverDone: 0, records.Recommended: 0, records.DueSoon: 1, records.NotKnown: 2, records.Planned: 3, records.Answered: 4}
	for _, l := range f.Records.LeakChecks {
		g := &groups[at[l.State]]
		g.Rows = append(g.Rows, f.dueRow(l, names))
	}
	return slices.DeleteFunc(groups, func(g dueGroup) bool { return len(g.Rows) == 0 })
}

func (f Fleet) dueRow(l table.LeakCheck, names map[string]who) dueRow {
	r := dueRow{who: nameOf(names, l.System), What: capital(f.say.Prose(l.What)), Why: f.say.Sentence(l.Why), Doubt: f.say.Sentence(l.Doubt),
		Told: f.say.Prose(l.Told), Rule: f.say.Prose(l.Rule), Standing: l.Standing}
	if l.Finding != "" { // since when stands in the first column
		r.What = f.say.Text("Direct leak check recommended")
		if _, shown, found := strings.Cut(l.Why, ": "); found {
			r.Why = f.say.Sentence(shown)
		}
		if l.Told == "" && l.State == records.Recommended {
			r.Told = f.say.Text("nobody, by the records")
		}
	} else {
		r.What += ", " + f.say.Prose(l.State)
	}
	switch {
	case l.State == records.Answered:
		r.When = f.say.Day(l.LastOn, time.UTC)
	case l.Finding != "":
		r.When = f.say.Text("since %s", f.say.Day(l.OpensOn, time.UTC))
	case !l.DueOn.IsZero():
		days := l.DueOn.Sub(calendarDay(f.AsOf)).Hours() / 24
		r.When, r.Days, r.Wire = f.say.Day(l.DueOn, time.UTC), inDays(f.say, days), dueWire(days)
		if !l.OpensOn.IsZero() {
			r.When = f.say.Text("%s to %s", f.say.Day(l.OpensOn, time.UTC), r.When)
		}
	}
	return r
}

func calendarDay(t time.Time) time.Time {
	y, m, d := t.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// inDays says how far a day lies ahead or behind.
func inDays(l say.Locale, days float64) string {
	switch n := int(math.Round(days)); {
	case n == 0:
		return l.Text("today")
	case n < 0:
		return l.Text("%s over", l.Count(-n, "day"))
	default:
		return l.Text("in %s", l.Count(n, "day"))
	}
}

// dueWire draws how far a day lies from the day of the report, which is the upright line:
// to the left what is over, to the right what is left. What reaches further ends in an
// arrow.
func dueWire(days float64) template.HTML {
	at := func(v float64) float64 {
		return math.Round(10*(wireWidth/2+max(-1, min(1, v/dueScale))*(wireWidth/2-3))) / 10
	}
	class := "wire noise"
	if days < 0 {
		class = "wire"
	}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="%s" viewBox="0 0 %g %g" width="%g" height="%g" aria-hidden="true" focusable="false">`, class, wireWidth, wireHeight, wireWidth, wireHeight)
	fmt.Fprintf(&b, `<path class="stem" d="M%g 11H%g"/><path class="tick" d="M%g 3V19"/>`, wireWidth/2, at(days), at(days))
	if math.Abs(days) > dueScale {
		x, d := at(days), math.Copysign(5, days)
		fmt.Fprintf(&b, `<path class="beyond" d="M%g 5L%g 11L%g 17"/>`, x-d, x, x-d)
	}
	b.WriteString("</svg>")
	return template.HTML(b.String())
}

// dueLede is the page's first sentence: how much there is to do.
func dueLede(l say.Locale, rows []table.LeakCheck) string {
	n := map[string]int{}
	for _, l := range rows {
		n[l.State]++
	}
	var parts []string
	for _, p := range []struct {
		state     string
		one, many say.Text
	}{
		{records.Overdue, "one is overdue", "%s are overdue"}, {records.NeverDone, "one was never done", "%s were never done"},
		{records.Recommended, "one is recommended by the logs", "%s are recommended by the logs"}, {records.DueSoon, "one is due soon", "%s are due soon"},
	} {
		if k := n[p.state]; k == 1 {
			parts = append(parts, l.Text(p.one))
		} else if k > 1 {
			parts = append(parts, l.Text(p.many, l.Small(k)))
		}
	}
	if len(parts) == 0 {
		return l.Text("No check is due.")
	}
	text := parts[len(parts)-1]
	if last := len(parts) - 1; last > 0 {
		text = l.Text("%s and %s", strings.Join(parts[:last], ", "), text)
	}
	return l.Text("Of the checks, %s.", text)
}

// recordsLede says in short what the rest of the page holds.
func recordsLede(l say.Locale, b records.Books) string {
	var parts []string
	incomplete := 0
	for _, x := range b.Balances {
		if !x.Complete {
			incomplete++
		}
	}
	switch {
	case incomplete > 0:
		parts = append(parts, l.Text("The records of %s are incomplete.", of(l, incomplete, len(b.Balances))))
	case len(b.Balances) > 0:
		parts = append(parts, l.Text("The records are complete."))
	}
	if n := len(b.FleetLoss); n > 0 {
		y := b.FleetLoss[n-1]
		if y.Partial && n > 1 {
			y = b.FleetLoss[n-2]
		}
		if !math.IsNaN(y.Pct) {
			parts = append(parts, l.Text("In %s the fleet lost %s of its charge.", fmt.Sprint(y.Year), l.With(l.Number(y.Pct, 1), "%")))
		}
	}
	return strings.Join(parts, " ")
}

// leaksInShort is what the fleet page says of leaks and records; nothing where no books
// are kept.
func (f Fleet) leaksInShort() string {
	if len(f.Records.Balances) == 0 {
		return ""
	}
	return f.say.Lower(dueLede(f.say, f.Records.LeakChecks)) + " " + recordsLede(f.say, f.Records)
}

// of says how many of how many systems.
func of(l say.Locale, n, all int) string {
	if n == all {
		return l.Text("all %s", l.Count(all, "system"))
	}
	return l.Text("%s of %s", fmt.Sprint(n), l.Count(all, "system"))
}

// A ruleRow is one passage that the page rests on.
type ruleRow struct{ Jurisdiction, Rule, Standing string }

// ruleRows are the passages behind the page's rows, each once.
func ruleRows(l say.Locale, b records.Books) (out []ruleRow) {
	add := func(jurisdiction, rule, standing string) {
		if r := (ruleRow{jurisdiction, l.Prose(rule), l.Prose(standing)}); rule != "" && !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	for _, c := range b.LeakChecks {
		add(c.Jurisdiction, c.Rule, c.Standing)
	}
	for _, c := range b.Crossings {
		add(c.Jurisdiction, c.Rule, c.Standing)
	}
	for _, x := range b.Bans {
		add(x.Jurisdiction, x.Rule, x.Standing)
	}
	slices.SortFunc(out, func(a, b ruleRow) int {
		return cmp.Or(cmp.Compare(a.Jurisdiction, b.Jurisdiction), cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Standing, b.Standing))
	})
	return out
}
