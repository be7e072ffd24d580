package report

import (
	"fmt"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

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

// stop ends a sentence.
func stop(s string) string {
	s = strings.TrimSpace(s)
	if s == "" || strings.HasSuffix(s, ".") || strings.HasSuffix(s, "?") {
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
	return fmt.Sprintf("%s %s (%s)", featureName(f.Feature), say.With(say.Signed(f.Size, 1), "K"),
		say.Interval(f.SizeLo, f.SizeHi, 1, "K"))
}

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
	return stop(capital(f.NextCheck))
}

// course is what a trend shows, as a sentence.
func course(t table.Trend, name string, zone *time.Location) string {
	change := say.With(say.Signed(t.Change, 1), "K") + " (" + say.Interval(t.ChangeLo, t.ChangeHi, 1, "K") + ") over " +
		say.Count(int(t.Visits), "visit") + " since " + say.Day(t.Since, zone) + "."
	switch t.Verdict {
	case falling, rising:
		return name + " is " + t.Verdict + ": " + change
	case withinNoise:
		return name + " is within noise: " + change
	}
	return strings.TrimSpace(name + ": too short to judge a trend. " + stop(capital(t.Note)))
}

// tooShort says that there is no trend, and what there is instead.
func (s System) tooShort() string {
	judgedVisits, spots := 0, 0
	var longest time.Duration
	for _, v := range s.Visits {
		longest = max(longest, v.End.Sub(v.Start))
		switch v.Use {
		case useTrend:
			judgedVisits++
		case useSpot:
			spots++
		}
	}
	switch {
	case len(s.Visits) == 0:
		return "No log has been read."
	case judgedVisits == 0 && spots == 0:
		return "No reading can be used: " + say.Count(len(s.Visits), "visit") + ", none of them fit to be judged."
	case judgedVisits == 0:
		return "Too short to judge a trend: " + say.Count(spots, "spot reading") + ", the longest log " + say.Length(longest) + "."
	}
	return "Too short to judge a trend: " + say.Count(judgedVisits, "judged visit") + "."
}
