package main

import (
	"strings"

	"rimelog/thermo"
)

// A fluid is a refrigerant as a batch needs it, or why there is none.
type fluid struct {
	of         *thermo.Refrigerant
	properties properties
	fault      string
}

// mostNames is how many spellings a batch remembers.
const mostNames = 4096

// fluid finds a refrigerant by the name in a row.
func (b *batch) fluid(name string) fluid {
	if f, ok := b.known[name]; ok {
		return f
	}
	if len(b.known) == mostNames {
		clear(b.known)
	}
	f := b.look(name)
	b.known[strings.Clone(name)] = f
	return f
}

func (b *batch) look(name string) fluid {
	if strings.TrimSpace(name) == "" {
		return fluid{fault: "refrigerant is empty"}
	}
	r, err := thermo.Lookup(name)
	if err != nil {
		return fluid{fault: sentence(err, nil)}
	}
	r = r.WithDatum(b.datum)
	if b.exact {
		return fluid{of: r, properties: equations{r}}
	}
	fast, err := r.Fast()
	if err != nil { // some blends have no fit: the equations answer too
		return fluid{of: r, properties: equations{r}}
	}
	return fluid{of: r, properties: fast}
}

// appendWords appends the blank-separated words of a text.
func appendWords(dst []string, text string) []string {
	for word := range strings.FieldsSeq(text) {
		dst = append(dst, word)
	}
	return dst
}
