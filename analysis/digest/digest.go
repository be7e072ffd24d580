// Package digest says what is new since somebody was last told.
//
//  1. A [Fleet] is what a run found: findings, what became of uploads, what is due.
//  2. [Fleet.Of] leaves what concerns one group of systems.
//  3. [Fleet.Since] compares it with what was [Told] before and gives the [Digest], and
//     what is told then.
//  4. [Digest.HTML] and [Digest.Text] write it for people, in their language and units; its
//     JSON, in English and the units of the tables, is for programs.
//
// The opinion: a mail that comes every morning is read by nobody. A finding is told when it
// is new, when it got worse by more than its own interval, when somebody answered it, and
// when it was closed or withdrawn; nothing is told twice, and nothing new is no digest.
package digest

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/drift"
	"rimelog/pipeline/table"
)

// A Fleet is what a run found, as far as digests tell of it.
type Fleet struct {
	AsOf     time.Time // the day it was judged on
	Findings []table.Finding
	Uploads  []table.Upload
	Checks   []table.LeakCheck

	raised map[string]bool // IDs of the findings of all systems; nil where nobody left any out
}

// Of leaves what concerns the systems for which mine is true. Uploads that no system
// claims concern only those who look after all.
func (f Fleet) Of(mine func(system string) bool) Fleet {
	f.raised = f.ids()
	f.Findings = keep(f.Findings, func(x table.Finding) bool { return mine(x.System) })
	f.Checks = keep(f.Checks, func(x table.LeakCheck) bool { return mine(x.System) })
	f.Uploads = keep(f.Uploads, func(x table.Upload) bool { return slices.ContainsFunc(strings.Fields(x.Systems), mine) })
	return f
}

// ids are the findings of all systems.
func (f Fleet) ids() map[string]bool {
	if f.raised != nil {
		return f.raised
	}
	out := map[string]bool{}
	for _, x := range f.Findings {
		out[x.ID] = true
	}
	return out
}

func keep[Row any](rows []Row, want func(Row) bool) (some []Row) {
	for _, r := range rows {
		if want(r) {
			some = append(some, r)
		}
	}
	return some
}

// Told is what a group was told so far.
type Told struct {
	AsOf     string             `json:"as_of"` // of the last digest, YYYY-MM-DD; empty before the first
	Findings map[string]Finding `json:"findings"`
	Uploads  []string           `json:"uploads"` // that were refused, by hash and path
	Checks   []string           `json:"checks"`  // that were due, with the month they were told in
}

// A Finding is a finding as it was told.
type Finding struct {
	State  string  `json:"state"`
	Lo, Hi float64 // K; ends of its interval
}

// A Change is why something is told.
type Change string

// The changes, in the order in which they are told.
const (
	New      Change = "new finding"
	Worse    Change = "worsened"
	Again    Change = "open again"
	Answered Change = "answered"
	Closed   Change = "closed"
	Gone     Change = "withdrawn"
	Due      Change = "check due"
	Refused  Change = "upload refused"
)

var order = []Change{New, Worse, Again, Due, Answered, Closed, Gone, Refused}

// An Item is one thing that is told.
type Item struct {
	Change Change `json:"change"`
	ID     string `json:"finding,omitempty"` // of the finding it tells of
	System string `json:"system"`            // or the path of an upload that no system claims
	Site   string `json:"site"`
	What   string `json:"what"`
	Detail string `json:"detail"`
	Next   string `json:"next"` // what to do
}

// A Digest is what is new for a group, the most pressing first.
type Digest struct {
	Group string `json:"group"`
	AsOf  string `json:"as_of"` // YYYY-MM-DD
	Since string `json:"since"` // of the digest before; empty for the first
	Items []Item `json:"items"`
	// Answers is what became of the findings of the group's systems that somebody
	// answered, by kind: how often the tool was right.
	Answers []drift.Hits `json:"answers"`
}

// Empty tells whether there is nothing new.
func (d Digest) Empty() bool { return len(d.Items) == 0 }

// Since gives what is new for a group that was told this before, and what it is told
// then.
func (f Fleet) Since(group string, before Told) (Digest, Told) {
	now := Told{AsOf: f.AsOf.Format(time.DateOnly), Findings: map[string]Finding{}, Uploads: []string{}, Checks: []string{}}
	d := Digest{Group: group, AsOf: now.AsOf, Since: before.AsOf, Items: []Item{}, Answers: drift.AnsweredOnly(drift.HitRate(f.Findings))}
	for _, x := range f.Findings {
		told, known := before.Findings[x.ID]
		now.Findings[x.ID] = asTold(x)
		change := findingChange(x, told, known)
		if change == "" && known {
			now.Findings[x.ID] = told // so that small steps add up to one that is told
		}
		if change != "" {
			d.Items = append(d.Items, findingItem(x, change))
		}
	}
	d.Items = append(d.Items, f.gone(before)...)
	d.Items = append(d.Items, f.checks(before, &now)...)
	d.Items = append(d.Items, f.uploads(before, &now)...)
	slices.SortStableFunc(d.Items, func(a, b Item) int {
		return cmp.Compare(slices.Index(order, a.Change), slices.Index(order, b.Change))
	})
	return d, now
}

const open = drift.Open

// gone are the findings that were told as open and that no data give any more.
func (f Fleet) gone(before Told) (items []Item) {
	ids := f.ids()
	for _, id := range slices.Sorted(maps.Keys(before.Findings)) {
		system, _, _ := strings.Cut(id, "/")
		kind, known := drift.KindOf(id)
		if ids[id] || before.Findings[id].State != open || !known {
			continue
		}
		items = append(items, Item{Change: Gone, System: system, What: kind,
			Detail: "with the data, the register and the program of today it would not have been raised"})
	}
	return items
}

// Told is what somebody has been told who was told all of it now.
func (f Fleet) Told() Told {
	_, now := f.Since("", Told{})
	return now
}

// findingChange says why a finding is told; empty where it is not.
func findingChange(x table.Finding, told Finding, known bool) Change {
	switch {
	case !known && x.State == open:
		return New
	case !known:
		return "" // it came and went unseen
	case x.State == told.State && x.State == open && worse(x, told):
		return Worse
	case x.State == told.State:
		return ""
	case x.State == open:
		return Again
	case x.State == drift.Answered:
		return Answered
	case x.State == drift.Withdrawn:
		return Gone
	}
	return Closed
}

// asTold is a finding as it is remembered. What has no interval, such as how a machine
// stands at a visit, is remembered without one, and never worsens.
func asTold(x table.Finding) Finding {
	if math.IsNaN(x.SizeLo) || math.IsNaN(x.SizeHi) {
		return Finding{State: x.State}
	}
	return Finding{x.State, x.SizeLo, x.SizeHi}
}

// worse tells whether a finding has moved, away from zero, out of the interval that was
// told.
func worse(x table.Finding, told Finding) bool {
	if math.IsNaN(x.SizeLo) || math.IsNaN(x.SizeHi) {
		return false
	}
	if x.Size < 0 {
		return x.Size < told.Lo
	}
	return x.Size > told.Hi
}

func findingItem(x table.Finding, c Change) Item {
	i := Item{Change: c, ID: x.ID, System: x.System, Site: x.Site, What: x.Kind, Next: x.NextCheck}
	i.Detail = drift.Moved(x)
	switch day := x.Suspected.Format(time.DateOnly); {
	case x.Suspected.IsZero():
	case x.Observed != "":
		i.Detail += ", since the visit of " + day
	default:
		i.Detail += ", suspected since about " + day
	}
	if gone := drift.Gone(x); gone != "" {
		i.Detail += "; " + gone
	}
	if c == Closed || c == Answered || c == Gone {
		i.Detail, i.Next = cmp.Or(x.Reason, x.State), ""
	}
	return i
}

// checks are those due by the end of the month and those never done, each told once a
// month until it is done.
func (f Fleet) checks(before Told, now *Told) (items []Item) {
	month := f.AsOf.Format("2006-01")
	end := time.Date(f.AsOf.Year(), f.AsOf.Month()+1, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range f.Checks {
		when := "due on " + c.DueOn.Format(time.DateOnly)
		switch {
		case c.State == "never done":
			when = "due now"
		case c.DueOn.IsZero() || !c.DueOn.Before(end) || c.State == "answered":
			continue
		}
		key := strings.Join([]string{month, c.System, c.What, c.DueOn.Format(time.DateOnly)}, " ")
		now.Checks = append(now.Checks, key)
		if slices.Contains(before.Checks, key) {
			continue
		}
		items = append(items, Item{Change: Due, System: c.System, Site: c.Site, What: c.What,
			Detail: c.State + ", " + when + ": " + c.Why, Next: c.Rule})
	}
	return items
}

// uploads are those that could not be read or that nobody claims.
func (f Fleet) uploads(before Told, now *Told) (items []Item) {
	for _, u := range f.Uploads {
		if u.Status != "unreadable" && u.Status != "waiting" {
			continue
		}
		key := u.Upload + " " + u.Path
		now.Uploads = append(now.Uploads, key)
		if !slices.Contains(before.Uploads, key) {
			items = append(items, Item{Change: Refused, System: u.Systems, What: u.Path, Detail: u.Status, Next: u.Reason})
		}
	}
	return items
}
