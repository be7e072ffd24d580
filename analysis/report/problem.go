package report

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"rimelog/analysis/say"
	"rimelog/analysis/trust"
	"rimelog/pipeline/table"
)

// A problemRow is all problems that one kind of remedy settles.
type problemRow struct {
	Problem, Remedy string
	Effect          say.Text
	Place           string // of the only one; of several, how many
	Systems         string
	Each            []table.Problem // where there are several
}

// problemsLeft are the problems that no file's row has said yet.
type problemsLeft struct{ problems []table.Problem }

func byFile(all []table.Problem) problemsLeft { return problemsLeft{slices.Clone(all)} }

// take returns the problems of a file below uploads/, and leaves the others.
func (l *problemsLeft) take(path string) (out []table.Problem) {
	var rest []table.Problem
	for _, p := range l.problems {
		if p.Place == "uploads/"+path {
			out = append(out, p)
		} else {
			rest = append(rest, p)
		}
	}
	l.problems = rest
	return out
}

// grouped joins like problems: the same but for the system's name and figures.
// What is left out of the results comes first, then what concerns most.
func grouped(l say.Locale, problems []table.Problem) (rows []problemRow) {
	var order []string
	groups := map[string][]table.Problem{}
	for _, p := range problems {
		kind := shape(p)
		if groups[kind] == nil {
			order = append(order, kind)
		}
		groups[kind] = append(groups[kind], p)
	}
	for _, kind := range order {
		rows = append(rows, joined(l, groups[kind]))
	}
	slices.SortStableFunc(rows, func(a, b problemRow) int {
		return cmp.Or(cmp.Compare(effects[a.Effect], effects[b.Effect]), cmp.Compare(len(b.Each), len(a.Each)))
	})
	return rows
}

// effects are the weights of the quality table in words, in order.
var effects = map[say.Text]int{leavesOut: 0, inDoubt: 1}

const (
	leavesOut say.Text = "left out of the results"
	inDoubt   say.Text = "leaves doubt"
)

// figures are what like problems differ in besides the system.
var figures = regexp.MustCompile(`\d+(?:[.,:-]\d+)*`)

// shape is what like problems have in common: the rule they come from, or their words.
func shape(p table.Problem) string {
	if p.Rule != "" {
		return p.Weight + "\x00" + p.Rule
	}
	return p.Weight + "\x00" + figures.ReplaceAllString(nameless(p, p.Problem)+"\x00"+nameless(p, p.Remedy), "#")
}

// nameless is a problem's text with its system's ID left open.
func nameless(p table.Problem, text string) string {
	if p.System == "" {
		return text
	}
	return strings.ReplaceAll(text, p.System, "…")
}

// joined is the row of problems that are alike.
func joined(l say.Locale, all []table.Problem) problemRow {
	p := all[0]
	r := problemRow{Problem: l.Sentence(p.Problem), Remedy: l.Sentence(p.Remedy), Effect: inDoubt, Place: p.Place}
	if p.Weight == "left out" {
		r.Effect = leavesOut
	}
	r.Systems = named(l, all)
	if len(all) > 1 {
		r.Problem, r.Remedy = common(l, all, func(p table.Problem) string { return p.Problem }), common(l, all, func(p table.Problem) string { return p.Remedy })
		if rule, ok := trust.RuleOf(p.Rule); ok {
			r.Problem, r.Remedy = say.Stop(capital(l.Prose(rule.Name))+" ("+rule.ID+"): "+l.Prose(rule.Signature)), ruled(l, all, r.Remedy)
		}
		r.Place, r.Each = l.Count(len(all), "place"), each(l, all)
	}
	return r
}

// ruled is the remedy of all problems of one rule: theirs where they have one in common,
// else where to find each.
func ruled(l say.Locale, all []table.Problem, common string) string {
	for _, p := range all[1:] {
		if figures.ReplaceAllString(nameless(p, p.Remedy), "#") != figures.ReplaceAllString(nameless(all[0], all[0].Remedy), "#") {
			return l.Text("Each has its own remedy.")
		}
	}
	return common
}

// each is the problems in the locale's words.
func each(l say.Locale, all []table.Problem) []table.Problem {
	out := slices.Clone(all)
	for i, p := range out {
		out[i].Problem, out[i].Remedy = l.Prose(p.Problem), l.Prose(p.Remedy)
	}
	return out
}

// common is what a text of all problems has in common, with dots for what differs.
func common(l say.Locale, all []table.Problem, text func(table.Problem) string) string {
	first := nameless(all[0], text(all[0]))
	for _, p := range all[1:] {
		if nameless(p, text(p)) != first {
			first = figures.ReplaceAllString(first, "…")
		}
	}
	return l.Sentence(first)
}

// mostNamed is how many systems a problem's row names; behind it are all.
const mostNamed = 6

// named lists the systems that problems concern.
func named(l say.Locale, all []table.Problem) string {
	var ids []string
	for _, p := range all {
		if p.System != "" && !slices.Contains(ids, p.System) {
			ids = append(ids, p.System)
		}
	}
	if more := len(ids) - mostNamed; more > 0 {
		return l.Text("%s and %s more", strings.Join(ids[:mostNamed], ", "), l.Thousands(int64(more)))
	}
	return strings.Join(ids, ", ")
}
