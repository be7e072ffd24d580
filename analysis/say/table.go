package say

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// tables knows English sentences of the dataset's tables again. What differs from row
// to row, figures and names, is %s in a key, and may itself be a text of the tables.
type tables struct {
	whole    map[string]string
	patterns []pattern
}

// A pattern is a text with places, and its translation.
type pattern struct {
	form    *regexp.Regexp
	words   string // the longest stretch of its own words: what is looked for first
	meaning string
}

func newTables(texts map[string]string) tables {
	t := tables{whole: texts}
	for key, meaning := range texts {
		if hasPlaces(key) {
			t.patterns = append(t.patterns, newPattern(key, meaning))
		}
	}
	slices.SortFunc(t.patterns, func(a, b pattern) int {
		return cmp.Or(cmp.Compare(len(b.words), len(a.words)), cmp.Compare(len(b.form.String()), len(a.form.String())), cmp.Compare(a.form.String(), b.form.String()))
	})
	return t
}

// newPattern reads a key with places: %s for anything, %d for a figure.
func newPattern(key, meaning string) pattern {
	p := pattern{meaning: meaning}
	for _, part := range place.Split(key, -1) {
		if len(part) > len(p.words) {
			p.words = part
		}
	}
	form := regexp.QuoteMeta(key)
	form = strings.ReplaceAll(strings.ReplaceAll(form, "%s", "(.+?)"), "%d", `([-+\x{2212}]?\d+(?:\.\d+)?)`)
	p.form = regexp.MustCompile("^" + form + "$")
	return p
}

// place is where something stands in a text, by its order or by its number.
var place = regexp.MustCompile(`%(?:\[(\d)\])?[sd]`)

// Prose is a text of the tables in the locale's units and language. What the catalogue
// does not know stays as it is.
func (l Locale) Prose(s string) string {
	if l.units.InchPound {
		s = l.converted(s)
	}
	if l.language == nil {
		return s
	}
	return l.decimals(l.language.tables.meaning(s))
}

// Meaning is what the dictionary of the dataset says of a table or a column, or a unit
// with a word in it, in the locale's language. What the catalogue lacks stays English.
func (l Locale) Meaning(s string) string {
	if l.language == nil {
		return s
	}
	return cmp.Or(l.language.Dictionary[s], s)
}

// joints part sentences into texts that the catalogue may have, the widest first.
var joints = []string{". ", "; ", ": ", ", "}

// meaning is the translation of a text: as a whole, by its pattern, or part by part.
func (t tables) meaning(s string) string {
	if out, ok := t.known(s); ok {
		return out
	}
	if rest, ok := strings.CutSuffix(s, "."); ok {
		return t.meaning(rest) + "."
	}
	if n := len(s); n > 2 && s[0] == '"' && s[n-1] == '"' {
		return `"` + t.meaning(s[1:n-1]) + `"`
	}
	for _, joint := range joints {
		if a, b, ok := strings.Cut(s, joint); ok {
			return t.meaning(a) + joint + t.meaning(b)
		}
	}
	return s
}

// known finds a text, also one that begins a sentence and therefore with a capital: as a
// whole before by a pattern.
func (t tables) known(s string) (string, bool) {
	if s == "" {
		return s, true
	}
	small := lower(s)
	for _, find := range []func(string) (string, bool){t.asWhole, t.byPattern} {
		if out, ok := find(s); ok {
			return out, true
		}
		if out, ok := find(small); ok && small != s {
			return Capital(out), true
		}
	}
	return s, false
}

func (t tables) asWhole(s string) (string, bool) {
	out, ok := t.whole[s]
	return out, ok && !hasPlaces(s)
}

func (t tables) byPattern(s string) (string, bool) {
	for _, p := range t.patterns {
		if !strings.Contains(s, p.words) {
			continue
		}
		if m := p.form.FindStringSubmatch(s); m != nil && !slices.ContainsFunc(m[1:], parted) {
			return p.fill(m[1:], t), true
		}
	}
	return s, false
}

// parted tells whether a text is several sentences or parts of one, which are looked up one
// by one.
func parted(s string) bool {
	return slices.ContainsFunc(joints[:3], func(joint string) bool { return strings.Contains(s, joint) })
}

// fill puts what differs into the translation: as it is where it is a figure or a name,
// translated where the catalogue knows it.
func (p pattern) fill(parts []string, t tables) string {
	next := 0
	return place.ReplaceAllStringFunc(p.meaning, func(text string) string {
		i := next
		if m := place.FindStringSubmatch(text); m[1] != "" {
			i = int(m[1][0] - '1')
		}
		next++
		if i >= len(parts) {
			return text
		}
		return t.meaning(parts[i])
	})
}

// point is a figure with a decimal point; a passage of law has a point too.
var point = regexp.MustCompile(`CFR \d+\.\d+(?: and \d+\.\d+)?|(?:^|[\s(+\x{2212}±-])\d+\.\d+(?:$|[\s)%,;:.])`)

// decimals writes the decimal marks of a text as the language does. Two figures may share
// the sign between them, which the first of two passes gives to one of them.
func (l Locale) decimals(s string) string {
	mark := func(figure string) string {
		if strings.HasPrefix(figure, "CFR") {
			return figure
		}
		return strings.Replace(figure, ".", l.language.Decimal, 1)
	}
	return point.ReplaceAllStringFunc(point.ReplaceAllStringFunc(s, mark), mark)
}

// measure is a figure or a range with its unit, and the range that may follow in
// brackets without one.
var measure = regexp.MustCompile(`([-\x{2212}]?\d+(?:\.\d+)?)(?: to ([-\x{2212}]?\d+(?:\.\d+)?))?([ \x{a0}])(K|°C|kg)\b(?: \(([-\x{2212}]?\d+(?:\.\d+)?) to ([-\x{2212}]?\d+(?:\.\d+)?)\))?( per K)?`)

// measured are the units that texts of the tables write.
var measured = map[string]Quantity{"K": Difference, "°C": Temperature, "kg": Mass}

// converted writes the figures of a text in the reader's units, with as many digits.
func (l Locale) converted(s string) string {
	return measure.ReplaceAllStringFunc(s, func(text string) string {
		m := measure.FindStringSubmatch(text)
		if m[7] != "" { // K per K is °F per °F
			return strings.ReplaceAll(text, "K", l.Unit(Difference))
		}
		q := measured[m[4]]
		out := l.again(q, m[1])
		if m[2] != "" {
			out += " to " + l.again(q, m[2])
		}
		out += m[3] + l.Unit(q)
		if m[5] != "" {
			out += " (" + l.again(q, m[5]) + " to " + l.again(q, m[6]) + ")"
		}
		return out
	})
}

// again is a written figure in the reader's unit.
func (l Locale) again(q Quantity, figure string) string {
	v, err := strconv.ParseFloat(strings.Replace(figure, "\u2212", "-", 1), 64)
	if err != nil {
		return figure
	}
	_, digits, _ := strings.Cut(figure, ".")
	return Locale{}.Number(l.In(q, v), len(digits))
}
