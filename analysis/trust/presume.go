package trust

import (
	"cmp"
	"slices"
	"strings"
)

// A Presumption is which refrigerant a machine is judged by while the register's does not fit.
type Presumption struct {
	Named string   // by the register; empty: none that is known
	Fits  []string // what would fit, the presumed one first; empty: the register's stands
}

// String says by what is judged; it is empty where the register's stands.
func (p Presumption) String() string {
	if len(p.Fits) == 0 {
		return ""
	}
	said := "the register says " + p.Named + ", which the visits do not fit"
	if p.Named == "" {
		said = "the register names no refrigerant that is known"
	}
	said += "; until the register is right, visits are judged by " + p.Fits[0] + ", which fits"
	if len(p.Fits) > 1 {
		said += "; would fit as well: " + strings.Join(p.Fits[1:], ", ")
	}
	return said + "; look at the nameplate"
}

// A Presumer goes through the visits with one refrigerant, by the register, in time order.
type Presumer struct {
	named  string
	told   int            // visits
	said   int            // at which another one was said to be likelier
	listed map[string]int // how often each was
	first  map[string]int // how often as the likeliest
	fits   []string
}

// NewPresumer begins with the refrigerant that the register names; empty: none that is known.
func NewPresumer(named string) *Presumer {
	return &Presumer{named: named, listed: map[string]int{}, first: map[string]int{}}
}

// When another refrigerant is presumed than one that the register names, and when it is no more:
// at how many visits at least it was said to be likelier, and at what share of them. A mistake
// of one visit, or a fault that makes a machine look like one with another refrigerant for some
// weeks, is neither.
const (
	fewestSaid = 3
	presumedAt = 0.5
	droppedAt  = 0.25
)

// Hear takes up what a visit says, the refrigerants with which it would be usual, the likeliest
// first, or none where it has no doubt, and gives what is presumed from now on.
func (p *Presumer) Hear(candidates []string) Presumption {
	p.told++
	if len(candidates) > 0 {
		p.said++
		p.first[candidates[0]]++
	}
	for _, c := range candidates {
		p.listed[c]++
	}
	if p.proven() {
		p.fits = p.choose()
	} else {
		p.fits = nil
	}
	return Presumption{p.named, p.fits}
}

// proven tells whether the register's does not fit.
func (p *Presumer) proven() bool {
	share := float64(p.said) / float64(p.told)
	switch {
	case p.named == "":
		return p.said > 0
	case p.fits != nil:
		return share >= droppedAt
	}
	return p.said >= fewestSaid && share >= presumedAt
}

// clearlyMore is how many visits more must list another refrigerant before it takes the place
// of the presumed one: with each, all visits are worked out anew.
const clearlyMore = 3

// choose lists what fits at most visits; the presumed one stays the first while no other fits
// clearly more.
func (p *Presumer) choose() []string {
	var all []string
	for name, n := range p.listed {
		if 2*n >= p.said {
			all = append(all, name)
		}
	}
	slices.SortFunc(all, func(a, b string) int {
		return cmp.Or(cmp.Compare(p.listed[b]+p.first[b], p.listed[a]+p.first[a]), cmp.Compare(a, b))
	})
	if len(p.fits) == 0 || len(all) == 0 {
		return all
	}
	now := p.fits[0]
	if p.listed[all[0]]+p.first[all[0]] >= p.listed[now]+p.first[now]+clearlyMore {
		return all
	}
	return append([]string{now}, slices.DeleteFunc(all, func(s string) bool { return s == now })...)
}

// OtherRefrigerants are what a visit would be usual with, the likeliest first, where it doubts
// the register's refrigerant.
func (f Facts) OtherRefrigerants() []string {
	for _, d := range f.Doubts {
		if d.Rule == "D1" {
			return d.Candidates
		}
	}
	return nil
}
