package drift

import (
	"fmt"
	"slices"
	"strings"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Hits is what became of the findings of one kind in a fleet: the tool's own hit rate.
type Hits struct {
	Kind         string `json:"kind"`
	Raised       int    `json:"raised"` // all that were ever raised
	Open         int    `json:"open"`
	Answered     int    `json:"answered"` // that somebody looked into and said what was there
	Confirmed    int    `json:"confirmed"`
	OtherCause   int    `json:"other_cause"`
	Refuted      int    `json:"refuted"` // nothing was found
	ClosedByData int    `json:"closed_by_data"`
	Withdrawn    int    `json:"withdrawn"`
}

// HitRate counts the findings of a fleet by kind, in the order of the kinds; kinds without
// a finding are left out.
func HitRate(findings []table.Finding) []Hits {
	out := []Hits{}
	for _, kind := range everyKind() {
		h := Hits{Kind: kind}
		for _, f := range findings {
			if f.Kind == kind {
				h.count(f)
			}
		}
		if h != (Hits{Kind: kind}) {
			out = append(out, h)
		}
	}
	return out
}

func (h *Hits) count(f table.Finding) {
	switch f.State {
	case Withdrawn:
		h.Withdrawn++
		return
	case Open:
		h.Open++
	case ClosedByData:
		h.ClosedByData++
	}
	h.Raised++
	switch f.Answer {
	case register.Confirmed.Text():
		h.Confirmed++
	case register.OtherCause.Text():
		h.OtherCause++
	case register.NothingFound.Text():
		h.Refuted++
	default:
		return
	}
	h.Answered++
}

// String is the counts in words: "charge loss: 4 answered, 3 confirmed, 1 refuted".
func (h Hits) String() string {
	parts := []string{fmt.Sprintf("%s: %d answered", h.Kind, h.Answered)}
	for _, c := range []struct {
		n    int
		what string
	}{{h.Confirmed, "confirmed"}, {h.OtherCause, "with another cause"}, {h.Refuted, "refuted"}} {
		if c.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", c.n, c.what))
		}
	}
	return strings.Join(parts, ", ")
}

// AnsweredOnly leaves the kinds that somebody answered.
func AnsweredOnly(hits []Hits) []Hits {
	return slices.DeleteFunc(slices.Clone(hits), func(h Hits) bool { return h.Answered == 0 })
}
