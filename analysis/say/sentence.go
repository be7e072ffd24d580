package say

import (
	"regexp"
	"strings"
	"time"

	"rimelog/thermo/units"
)

// hyphen is a minus sign as plain text writes it.
var hyphen = regexp.MustCompile(`(^|[\s(])-(\d)`)

// isoDate is a date as the tables write it.
var isoDate = regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`)

// Sentence is text of the tables as a sentence of the locale: it begins with a capital,
// ends with a stop, and has minus signs for hyphens.
func (l Locale) Sentence(s string) string { return Sentence(l.Prose(s)) }

// Sentence makes a sentence of a text that is in the reader's language.
func Sentence(s string) string { return Stop(Capital(Minus(s))) }

// Minus writes minus signs for the hyphens before figures.
func Minus(s string) string { return hyphen.ReplaceAllString(s, "$1\u2212$2") }

// Stop ends a sentence; a line of a register to be pasted, which ends in commas,
// stays as it is.
func Stop(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".?,;") {
		return s
	}
	return s + "."
}

// Dated writes the dates in a text as the locale does. It is not for text with names of
// files, which hold dates too.
func (l Locale) Dated(s string) string {
	return isoDate.ReplaceAllStringFunc(s, func(text string) string {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil {
			return text
		}
		return l.Day(day, time.UTC)
	})
}

// figured is a figure with the word after it.
var figured = regexp.MustCompile(`(\d) ([^\s,.;:)]+)`)

// Unparted keeps the figures in a name that users wrote, such as that of a machine, on one
// line with the units after them.
func Unparted(name string) string {
	return figured.ReplaceAllStringFunc(name, func(text string) string {
		figure, unit, _ := strings.Cut(text, " ")
		if _, err := units.Parse(unit); err != nil {
			return text
		}
		return figure + nbsp + unit
	})
}
