package report

import (
	"math"
	"strings"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// capital writes the first letter large.
func capital(s string) string { return say.Capital(s) }

// suspicion is a finding's headline: it suspects, it never knows; of what a visit showed
// it says what that was.
func suspicion(l say.Locale, f table.Finding) string {
	if f.Observed != "" && f.Kind != drift.LiquidReturn || f.Kind == drift.LowFromTheStart {
		return capital(l.Prose(f.Kind))
	}
	return l.Text("%s suspected", capital(l.Prose(f.Kind)))
}

// moved is how far a finding's feature moved, with its interval; of how a machine stands,
// what the latest visit showed.
func moved(l say.Locale, f table.Finding) string {
	if f.Observed != "" {
		return capital(say.Minus(l.Prose(f.Observed)))
	}
	return featureName(l, f.Feature) + " " + around(l, f.Feature, f.Size, f.SizeLo, f.SizeHi)
}

// gone is how much of a system's charge a finding says has gone, with its interval; empty where
// that cannot be told.
func gone(l say.Locale, f table.Finding) string {
	if !drift.TellsLost(f) {
		return ""
	}
	return l.Text("about %s of the charge gone (%s)", l.With(l.Number(f.Lost, 0), "%"), l.Range(f.LostLo, f.LostHi, 0, "%"))
}

// going is how much charge a finding says goes a year, in mass where the charge is known; empty
// where that cannot be told.
func going(l say.Locale, f table.Finding) string {
	mass := func(kg float64) float64 { return l.In(say.Mass, kg) }
	text := ""
	switch {
	case f.LossKG > 0:
		text = l.Text("%s a year (%s)", l.With(l.Number(mass(f.LossKG), 2), l.Unit(say.Mass)), l.Range(mass(f.LossKGLo), mass(f.LossKGHi), 2, ""))
	case f.LossPct > 0:
		text = l.Text("%s a year (%s)", l.With(l.Number(f.LossPct, 0), "%"), l.Range(f.LossPctLo, f.LossPctHi, 0, ""))
	}
	if f.LossCO2e > 0 {
		text += l.Text(", which are %s (%s)", l.With(l.Number(f.LossCO2e, 2), "t CO2e"), l.Range(f.LossCO2eLo, f.LossCO2eHi, 2, ""))
	}
	return text
}

// around writes a feature's change with its interval.
func around(l say.Locale, feature string, size, lo, hi float64) string {
	m := measured(feature)
	if math.IsNaN(lo) || math.IsNaN(hi) {
		return l.Text("%s (its interval is open)", m.change(l, size))
	}
	return m.change(l, size) + " (" + l.With(m.between(l, lo, hi), l.Unit(m.of)) + ")"
}

// since is the day a finding goes back to.
func since(l say.Locale, f table.Finding, zone *time.Location) string {
	if f.Suspected.IsZero() {
		return l.Text("raised %s", l.Day(f.RaisedOn, zone))
	}
	if f.Observed != "" {
		return l.Text("since the visit of %s", l.Day(f.Suspected, zone))
	}
	return l.Text("since about %s", l.Day(f.Suspected, zone))
}

// nextCheck is what to do on site. Where refrigerant may be lost, it is a direct
// leak check first, whatever else.
func nextCheck(l say.Locale, f table.Finding) string {
	const check = "direct leak check recommended"
	if f.Kind == drift.ChargeLoss && !strings.Contains(strings.ToLower(f.NextCheck), check) {
		return strings.TrimSpace(capital(l.Prose(check)) + ". " + l.Sentence(f.NextCheck))
	}
	return l.Sentence(f.NextCheck)
}

// course is what a judged trend shows, as a sentence.
func course(l say.Locale, t table.Trend, name string, zone *time.Location) string {
	text := l.Text("%s %s: %s over %s since %s", name, verb(l, t), around(l, t.Feature, t.Change, t.ChangeLo, t.ChangeHi),
		l.Count(int(t.Visits), "visit"), l.Day(t.Since, zone))
	if t.Verdict == drift.Noise && leans(t) {
		text += "; " + chance(l, t)
	}
	return text + "."
}

// verb says what a judged feature does.
func verb(l say.Locale, t table.Trend) string {
	switch {
	case t.Verdict != drift.Noise:
		return l.Text(map[string]say.Text{drift.Falling: "is falling", drift.Rising: "is rising"}[t.Verdict])
	case !leans(t):
		return l.Text("is within noise")
	case t.Change < 0:
		return l.Text("may be falling")
	}
	return l.Text("may be rising")
}

// leans tells whether a trend's interval excludes no change. Such a trend may still
// be too uncertain for a verdict: of many looks at a record, one in twenty shows it.
func leans(t table.Trend) bool { return t.ChangeLo > 0 || t.ChangeHi < 0 }

// verdictWords is a trend's verdict in a table.
func verdictWords(l say.Locale, t table.Trend) string {
	switch {
	case !judged(t):
		return lackOf(t).words(l)
	case t.Verdict == drift.Noise && leans(t):
		return verb(l, t) + "; " + chance(l, t)
	}
	return l.Prose(t.Verdict)
}

// chance is how often noise alone makes such a change: what keeps a trend that
// leans from a verdict. Where noise is not what does, nobody knows how often.
func chance(l say.Locale, t table.Trend) string {
	if !(t.Significance > rare) {
		return l.Text("not certain")
	}
	return l.Text("noise alone does as much once in %s times", l.Number(1/t.Significance, 0))
}

// rare is the chance below which noise cannot be what keeps a trend from a verdict.
const rare = 0.001
