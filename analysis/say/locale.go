package say

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// A Text is an English text of the report, and the key of its translations. Figures
// and names stand in it as %s, or as %[1]s where a text needs another order; in a text
// with such places, a percent sign is written %%. Every constant of this type is in
// the catalogue: a test collects them, and holds each language's file against them.
type Text string

// A Thing is what is counted, in English and in the singular: "visit".
type Thing string

// A Locale is how pages speak: their language, with its way to write figures and
// dates, and the units of their readers. Page builders are given one; the zero value
// is English with SI units, pressures as gauges show them at sea level.
type Locale struct {
	language *Language // nil for English
	units    Units
}

// New returns the locale of a language, "en" or one of Languages, and of units.
func New(tag string, u Units) (Locale, error) {
	l, err := Load(tag)
	return Locale{l, u}, err
}

// Tag is the language as a page's lang attribute names it.
func (l Locale) Tag() string {
	if l.language == nil {
		return english
	}
	return l.language.Tag
}

// Text is a text in the locale's language, with its places filled.
func (l Locale) Text(t Text, args ...string) string {
	switch {
	case l.language != nil:
		return l.language.text(string(t), args)
	case len(args) == 0:
		return string(t)
	}
	return fmt.Sprintf(string(t), operands(args)...)
}

// Texts are texts without places, in the locale's language.
func (l Locale) Texts(all ...Text) []string {
	out := make([]string, len(all))
	for i, t := range all {
		out[i] = l.Text(t)
	}
	return out
}

// Count writes a number of things: "1 visit", "11 visits".
func (l Locale) Count(n int, thing Thing) string {
	switch {
	case l.language != nil:
		return l.language.count(n, string(thing))
	case n == 1:
		return "1" + nbsp + string(thing)
	}
	return l.Thousands(int64(n)) + nbsp + several(string(thing))
}

// several is the English plural of a thing.
func several(thing string) string {
	if rest, ok := strings.CutSuffix(thing, "y"); ok && !strings.HasSuffix(rest, "a") {
		return rest + "ies"
	}
	if strings.HasSuffix(thing, "ch") {
		return thing + "es"
	}
	return thing + "s"
}

// Lower writes a text as it stands within a sentence: in English with its first letter
// small. Other languages have their texts as they stand there.
func (l Locale) Lower(s string) string {
	if l.language != nil {
		return s
	}
	return lower(s)
}

func lower(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(r)) + s[n:]
}

// Capital writes the first letter large.
func Capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

func operands(args []string) []any {
	out := make([]any, len(args))
	for i, a := range args {
		out[i] = a
	}
	return out
}

// Hash tells locales apart that write the same figures differently: their language with
// all its texts, and their units.
func (l Locale) Hash() string {
	text := fmt.Sprintf("%s %+v", l.Tag(), l.units)
	if l.language != nil {
		text += l.language.digest
	}
	return text
}
