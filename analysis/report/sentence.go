package report

import (
	"fmt"
	"math"
	"regexp"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"rimelog/analysis/drift"
	"rimelog/analysis/report/say"
	"rimelog/pipeline/table"
)

// capital writes the first letter large.
func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// stop ends a sentence; a line of a register to be pasted, which ends in commas,
// stays as it is.
func stop(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.ContainsAny(s[len(s)-1:], ".?,;") {
		return s
	}
	return s + "."
}

// lower writes the first letter small, as within a sentence.
func lower(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	return string(unicode.ToLower(r)) + s[n:]
}

// suspicion is a finding's headline: it suspects, it never knows.
func suspicion(f table.Finding) string { return capital(f.Kind) + " suspected" }

// moved is how far a finding's feature moved, with its interval.
func moved(f table.Finding) string {
	return featureName(f.Feature) + " " + around(f.Size, f.SizeLo, f.SizeHi)
}

// around writes a change with its interval.
func around(size, lo, hi float64) string {
	if math.IsNaN(lo) || math.IsNaN(hi) {
		return say.With(say.Signed(size, 1), "K") + " (its interval is open)"
	}
	return say.With(say.Signed(size, 1), "K") + " (" + say.Interval(lo, hi, 1, "K") + ")"
}

// hyphen is a minus sign as plain text writes it.
var hyphen = regexp.MustCompile(`(^|[\s(])-(\d)`)

// isoDate is a date as the tables write it.
var isoDate = regexp.MustCompile(`\b\d{4}-\d{2}-\d{2}\b`)

// dated writes the dates in text as the page writes them. It is not for text with
// names of files, which hold dates too.
func dated(s string) string {
	return isoDate.ReplaceAllStringFunc(s, func(text string) string {
		day, err := time.Parse(time.DateOnly, text)
		if err != nil {
			return text
		}
		return say.Day(day, time.UTC)
	})
}

// prose is text from the tables as a sentence of the page.
func prose(s string) string { return stop(capital(hyphen.ReplaceAllString(s, "$1\u2212$2"))) }

// since is the day a finding goes back to.
func since(f table.Finding, zone *time.Location) string {
	if f.Suspected.IsZero() {
		return "raised " + say.Day(f.RaisedOn, zone)
	}
	return "since about " + say.Day(f.Suspected, zone)
}

// nextCheck is what to do on site. Where refrigerant may be lost, it is a direct
// leak check first, whatever else.
func nextCheck(f table.Finding) string {
	const check = "direct leak check recommended"
	loss := strings.Contains(f.Kind, "charge") || strings.Contains(f.Kind, "leak")
	if loss && !strings.Contains(strings.ToLower(f.NextCheck), check) {
		return strings.TrimSpace(capital(check) + ". " + stop(f.NextCheck))
	}
	return prose(f.NextCheck)
}

// course is what a judged trend shows, as a sentence.
func course(t table.Trend, name string, zone *time.Location) string {
	text := fmt.Sprintf("%s %s: %s over %s since %s", name, verb(t), around(t.Change, t.ChangeLo, t.ChangeHi),
		say.Count(int(t.Visits), "visit"), say.Day(t.Since, zone))
	if t.Verdict == drift.Noise && leans(t) {
		text += "; " + chance(t)
	}
	return text + "."
}

// verb says what a judged feature does.
func verb(t table.Trend) string {
	switch {
	case t.Verdict != drift.Noise:
		return "is " + t.Verdict
	case !leans(t):
		return "is within noise"
	case t.Change < 0:
		return "may be falling"
	}
	return "may be rising"
}

// leans tells whether a trend's interval excludes no change. Such a trend may still
// be too uncertain for a verdict: of many looks at a record, one in twenty shows it.
func leans(t table.Trend) bool { return t.ChangeLo > 0 || t.ChangeHi < 0 }

// verdictWords is a trend's verdict in a table.
func verdictWords(t table.Trend) string {
	switch {
	case !judged(t):
		return lackOf(t).words()
	case t.Verdict == drift.Noise && leans(t):
		return verb(t) + "; " + chance(t)
	}
	return t.Verdict
}

// chance is how often noise alone makes such a change: what keeps a trend that
// leans from a verdict. Where noise is not what does, nobody knows how often.
func chance(t table.Trend) string {
	if !(t.Significance > rare) {
		return "not certain"
	}
	return fmt.Sprintf("noise alone does as much once in %.0f times", math.Round(1/t.Significance))
}

// rare is the chance below which noise cannot be what keeps a trend from a verdict.
const rare = 0.001
