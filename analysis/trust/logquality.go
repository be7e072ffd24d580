package trust

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// By what the quality of logs is told.
const (
	byAll        = "all"
	bySet        = "instrument set"
	byInstrument = "instrument"
	byEngineer   = "engineer"
)

// A Logbook collects how good the logs of a fleet are. The zero Logbook is empty.
type Logbook struct {
	groups map[[2]string]*group
}

// A group is the visits of one set of instruments, instrument or person.
type group struct {
	visits, used, inPart, mistaken int
	ran, judged                    float64 // minutes
	rules                          map[string]int
}

// Add takes in the record of a system.
func (b *Logbook) Add(r Record) {
	if b.groups == nil {
		b.groups = map[[2]string]*group{}
	}
	for i := range r.facts {
		f := &r.facts[i]
		parts := r.visited(f.Start, f.End)
		if len(parts) == 0 {
			continue
		}
		b.count(byAll, "", f, parts)
		if name := f.Fingerprint(); name != "" {
			b.count(bySet, name, f, parts)
		}
		for _, serial := range f.Serials {
			b.count(byInstrument, serial, f, parts)
		}
		if name := parts[0].Engineer; name != "" && !f.Day {
			b.count(byEngineer, name, f, parts)
		}
	}
}

func (b *Logbook) count(by, name string, f *Facts, parts []*Use) {
	g := b.groups[[2]string{by, name}]
	if g == nil {
		g = &group{rules: map[string]int{}}
		b.groups[[2]string{by, name}] = g
	}
	g.visits++
	trend, whole := 0, true
	for _, v := range parts {
		g.ran += math.Max(0, robust.OrZero(v.Logged)-robust.OrZero(v.Off))
		if v.Use == table.UseTrend {
			trend++
			g.judged += robust.OrZero(v.Judged)
		}
		whole = whole && v.Use == table.UseTrend && v.Doubt == ""
	}
	switch {
	case whole:
		g.used++
	case trend > 0:
		g.inPart++
	}
	seen := map[string]bool{}
	for _, d := range f.Doubts {
		if Mistake(d.Rule) && !seen[d.Rule] {
			seen[d.Rule] = true
			g.rules[d.Rule]++
		}
	}
	if len(seen) > 0 {
		g.mistaken++
	}
}

// Rows are the table's rows: all, then by set, instrument and engineer, by name.
func (b *Logbook) Rows() []table.LogQuality {
	out := []table.LogQuality{}
	for key, g := range b.groups {
		out = append(out, b.row(key[0], key[1], g))
	}
	order := []string{byAll, bySet, byInstrument, byEngineer}
	slices.SortFunc(out, func(x, y table.LogQuality) int {
		if d := slices.Index(order, x.By) - slices.Index(order, y.By); d != 0 {
			return d
		}
		return strings.Compare(x.Name, y.Name)
	})
	return out
}

const shareConfidence = 0.95

func (b *Logbook) row(by, name string, g *group) table.LogQuality {
	r := table.LogQuality{
		By: by, Name: name, Visits: int64(g.visits), Used: int64(g.used), InPart: int64(g.inPart), Unused: int64(g.visits - g.used - g.inPart),
		JudgedPct: percent(g.judged, g.ran), Mistaken: int64(g.mistaken), Commonest: g.commonest(),
	}
	r.UsedPct, r.UsedLo, r.UsedHi = shareOf(g.used+g.inPart, g.visits)
	r.MistakePct, r.MistakeLo, r.MistakeHi = shareOf(g.mistaken, g.visits)
	if by != byAll {
		r.Compared = b.compare(by, g)
	}
	return r
}

func shareOf(hits, n int) (share, lo, hi float64) {
	lo, hi = robust.Wilson(float64(hits), float64(n), shareConfidence)
	return percent(float64(hits), float64(n)), 100 * lo, 100 * hi
}

// fewestCompared is below how many visits nobody is compared with others: with fewer,
// one visit more or less changes the answer.
const fewestCompared = 10

// comparedAt is the confidence at which mistakes are called more or fewer; many groups
// are compared at once.
const comparedAt = 0.99

// compare holds the mistakes of a group against those of all others of its kind.
func (b *Logbook) compare(by string, g *group) string {
	visits, mistaken := 0, 0
	for key, x := range b.groups {
		if key[0] == by && x != g {
			visits, mistaken = visits+x.visits, mistaken+x.mistaken
		}
	}
	if g.visits < fewestCompared || visits < fewestCompared {
		return fmt.Sprintf("not compared: fewer than %d visits", fewestCompared)
	}
	lo, hi := robust.ShareDifference(float64(g.mistaken), float64(g.visits), float64(mistaken), float64(visits), comparedAt)
	switch {
	case lo > 0:
		return "more mistakes than the others"
	case hi < 0:
		return "fewer mistakes than the others"
	}
	return "within noise of the others"
}

// mostRules is how many mistakes are named.
const mostRules = 3

// commonest names the commonest mistakes with their visits.
func (g *group) commonest() string {
	rules := make([]string, 0, len(g.rules))
	for id := range g.rules {
		rules = append(rules, id)
	}
	slices.SortFunc(rules, func(a, b string) int {
		if d := g.rules[b] - g.rules[a]; d != 0 {
			return d
		}
		return byNumber(a, b)
	})
	var out []string
	for _, id := range rules[:min(len(rules), mostRules)] {
		out = append(out, fmt.Sprintf("%s: %d", named([]string{id}), g.rules[id]))
	}
	return strings.Join(out, "; ")
}
