package thermo

import (
	_ "embed"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
)

//go:embed refrigerants.txt
var refrigerantList string

// GWPSet names a published set of global warming potentials, 100 years.
type GWPSet uint8

// The sets. Their sources are in refrigerants.txt.
const (
	GWPAR4    GWPSet = iota // IPCC AR4, as in Regulation (EU) 517/2014
	GWPAR5                  // IPCC AR5
	GWPEU2024               // Regulation (EU) 2024/573
	gwpSets
)

// String is the set's short name.
func (s GWPSet) String() string {
	return [...]string{"AR4", "AR5", "EU 2024/573"}[s]
}

// Component is one part of a refrigerant by mass.
type Component struct {
	Name         string
	MassFraction float64
}

// entry is one line of the registry.
type entry struct {
	name, class string
	parts       []Component
	gwp         [gwpSets]float64 // pure only; negative when unknown
	core        *core
}

// catalogue is the registry, read once and then read-only.
type catalogue struct {
	byName map[string]*entry // canonical name
	byKey  map[string]*entry // normalised name
	names  []string
}

// registry parses the embedded list at first use. The list is part of the
// program and covered by tests, so an error in it cannot reach a user.
var registry = sync.OnceValue(func() *catalogue {
	c := &catalogue{byName: map[string]*entry{}, byKey: map[string]*entry{}}
	for line := range strings.Lines(refrigerantList) {
		e, err := parseEntry(strings.Fields(line))
		if err != nil || e == nil {
			continue
		}
		e.core = newCore(e)
		c.byName[e.name] = e
		c.byKey[normalise(e.name)] = e
		c.names = append(c.names, e.name)
	}
	slices.SortFunc(c.names, naturally)
	return c
})

// parseEntry reads one line; a comment gives nil.
func parseEntry(w []string) (*entry, error) {
	if len(w) == 0 || w[0] == "#" {
		return nil, nil
	}
	if len(w) < 7 {
		return nil, fmt.Errorf("registry line %q is too short", strings.Join(w, " "))
	}
	e := &entry{name: w[1], class: w[2]}
	if w[0] == "pure" {
		e.parts = []Component{{e.name, 1}}
		for i := range e.gwp {
			g, err := strconv.ParseFloat(w[3+i], 64)
			if w[3+i] == "-" {
				g, err = -1, nil
			}
			if err != nil {
				return nil, err
			}
			e.gwp[i] = g
		}
		return e, nil
	}
	for i := 3; i+1 < len(w); i += 2 {
		percent, err := strconv.ParseFloat(w[i+1], 64)
		if err != nil {
			return nil, err
		}
		e.parts = append(e.parts, Component{w[i], percent / 100})
	}
	return e, nil
}

// naturally orders names by number first: R32 before R134a before R1234yf.
func naturally(a, b string) int {
	na, ra := leadingNumber(a)
	nb, rb := leadingNumber(b)
	if na != nb {
		return na - nb
	}
	return strings.Compare(ra, rb)
}

// leadingNumber splits "R134a" into 134 and "a"; RC318 and RE170 sort by their
// digits too.
func leadingNumber(name string) (int, string) {
	s := strings.TrimLeft(name, "RCE")
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	n, _ := strconv.Atoi(s[:i])
	return n, s[i:] + name
}
