package report

import (
	"regexp"
	"time"

	"rimelog/analysis/report/chart"
	"rimelog/pipeline/table"
)

// What of the latest log was not judged, and why, by the table running: the machine stood
// still, started, thawed its evaporator, or ran without coming to rest.

// leftOut parts a stretch that no window judged by what the machine did in it. Where
// nothing is known of that, it is one shade without a name.
func (s System) leftOut(from, to time.Time) (out []chart.Shade) {
	if to.Sub(from) <= 3*s.logStep()/2 {
		return nil // neighbours
	}
	at := from
	add := func(until time.Time, name string) {
		if !until.After(at) {
			return
		}
		if n := len(out); n > 0 && out[n-1].Name == name {
			out[n-1].To = until
		} else {
			out = append(out, chart.Shade{Span: chart.Span{From: at, To: until}, Grade: "excluded", Name: name})
		}
		at = until
	}
	for _, p := range s.Phases {
		if p.End.After(at) && p.Start.Before(to) {
			add(earlier(p.Start, to), "")
			add(earlier(p.End, to), s.did(p))
		}
	}
	add(to, "")
	return out
}

// logStep is how far apart the samples of the latest log are on the whole.
func (s System) logStep() time.Duration {
	n := len(s.Log.Times) - 1
	if n < 1 {
		return 0
	}
	return s.logSpan().To.Sub(s.logSpan().From) / time.Duration(n)
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// did is what the machine did, where that keeps a stretch from being judged.
func (s System) did(p table.Phase) string {
	if p.State == table.IsRunning && p.Excluded == "" {
		return s.say.Text("not at rest")
	}
	return s.say.Prose(p.State)
}

// leftOutTable lists the stretches of the latest log that no window judged, with the
// reasons.
func (s System) leftOutTable() chart.Table {
	t := chart.Table{Caption: s.say.Text("What of the latest log was not judged, and why"),
		Head: s.say.Texts("From", "Length", "What the machine did", "Why it is not judged")}
	if s.Log == nil || len(s.Log.Times) == 0 || len(s.Phases) == 0 {
		return t
	}
	for _, x := range s.shades() {
		if x.Grade == "excluded" && x.Name != "" {
			t.Rows = append(t.Rows, []string{s.say.Minute(x.From, s.Zone()), s.say.Length(x.To.Sub(x.From)), x.Name, s.why(x)})
		}
	}
	return t
}

// lasting is how long something lasts, as the table running writes it: 3m20s.
var lasting = regexp.MustCompile(`\b(\d+h)?\d+m\d+s\b`)

func (s System) length(text string) string {
	d, err := time.ParseDuration(text)
	if err != nil {
		return text
	}
	return s.say.Length(d)
}

// why is what the table running says of a stretch, in words.
func (s System) why(x chart.Shade) string {
	for _, p := range s.Phases {
		if p.Excluded != "" && p.Start.Before(x.To) && p.End.After(x.From) && s.did(p) == x.Name {
			return s.say.Sentence(lasting.ReplaceAllStringFunc(p.Excluded, s.length))
		}
	}
	return s.say.Text("Temperatures or pressures were moving, or the stretch was too short.")
}
