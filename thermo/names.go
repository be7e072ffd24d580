package thermo

import (
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"
)

// Names lists all refrigerants by canonical name, in natural order.
func Names() []string { return slices.Clone(registry().names) }

// Lookup finds a refrigerant by name. Case, blanks, dots, hyphens and brackets
// do not matter, "R" may be missing, composition prefixes (HFC, HFO, HC ...)
// and common chemical names are understood: "r-134a", "R 448 A", "HFO-1234yf",
// "propane". A name that leaves the isomer open ("R1234ze") is refused.
//
// The error is an *UnknownError with the nearest names.
func Lookup(name string) (*Refrigerant, error) {
	c := registry()
	key := normalise(name)
	if alias, ok := chemicalNames[key]; ok {
		key = normalise(alias)
	}
	if e, ok := c.byKey[key]; ok {
		return &Refrigerant{entry: e}, nil
	}
	if isomers := c.isomers(key); len(isomers) > 0 {
		return nil, &UnknownError{Name: name, Ambiguous: true, Nearest: isomers}
	}
	return nil, &UnknownError{Name: name, Nearest: c.nearest(key, 4)}
}

// chemicalNames are common names of single-component refrigerants.
var chemicalNames = map[string]string{
	"ammonia": "R717", "nh3": "R717", "water": "R718", "h2o": "R718",
	"carbondioxide": "R744", "co2": "R744",
	"methane": "R50", "ethane": "R170", "propane": "R290", "butane": "R600", "nbutane": "R600",
	"isobutane": "R600a", "pentane": "R601", "npentane": "R601", "isopentane": "R601a",
	"ethylene": "R1150", "ethene": "R1150", "propylene": "R1270", "propene": "R1270",
	"dimethylether": "RE170", "dme": "RE170",
}

// normalise folds a name to lower-case letters and digits without its prefix.
func normalise(name string) string {
	s := strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		}
		return -1
	}, name)
	for _, prefix := range []string{"refrigerant", "hcfo", "hcfc", "hfc", "hfo", "cfc", "pfc", "fc", "hc", "r"} {
		if rest, ok := strings.CutPrefix(s, prefix); ok && startsNumber(rest) {
			return rest
		}
	}
	return s
}

// startsNumber reports whether s begins like the number part of a
// designation: a digit, or C or E and a digit.
func startsNumber(s string) bool {
	s = strings.TrimLeft(s, "ce")
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

// isomers lists the refrigerants that key names without saying which isomer.
func (c *catalogue) isomers(key string) []string {
	var found []string
	for _, name := range c.names {
		stem, _, ok := strings.Cut(name, "(")
		if ok && normalise(stem) == key {
			found = append(found, name)
		}
	}
	return found
}

// nearest lists the n known names with the least edit distance to key.
func (c *catalogue) nearest(key string, n int) []string {
	names := slices.Clone(c.names)
	slices.SortStableFunc(names, func(a, b string) int {
		return levenshtein.ComputeDistance(key, normalise(a)) - levenshtein.ComputeDistance(key, normalise(b))
	})
	return names[:n]
}
