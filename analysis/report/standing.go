package report

import (
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// standing is which of the three lists of the fleet page a system is in.
type standing uint8

const (
	needsVisit standing = iota // it has an open finding
	notJudged                  // nothing about it can be judged, or not its charge
	noFinding                  // judged, and nothing found
)

// hidesCharge tells whether a receiver hides the charge: however steady the rest is, such a
// machine may have lost all of its reserve.
func hidesCharge(latest map[string]table.Trend) bool {
	t, ok := latest[drift.Subcooling]
	return ok && !judged(t) && lackOf(t).cause == receiver
}

// key is the standing's name in the page's own script.
func (s standing) key() string { return [...]string{"open", "unjudged", "calm"}[s] }

func (s System) standing() standing {
	if len(s.open()) > 0 {
		return needsVisit
	}
	latest := s.latest()
	if hidesCharge(latest) {
		return notJudged
	}
	for _, t := range latest {
		if judged(t) {
			return noFinding
		}
	}
	return notJudged
}

// verdict is the sentence a system's page begins with.
func (s System) verdict() string {
	switch s.standing() {
	case needsVisit:
		f := s.open()[0]
		head := suspicion(s.say, f)
		if gone := gone(s.say, f); gone != "" {
			head += ": " + gone
		}
		return head + ". " + moved(s.say, f) + " " + since(s.say, f, s.Zone()) + "."
	case notJudged:
		return s.obstacle().why
	}
	return s.calm()
}

// calm sums up what was judged and found unchanged, or moving without a finding.
func (s System) calm() string {
	var moving []string
	var visits int64
	latest := s.latest()
	for _, f := range features {
		t, ok := latest[f.column]
		if !ok || !judged(t) {
			continue
		}
		visits = max(visits, t.Visits)
		if t.Verdict != drift.Noise || leans(t) {
			moving = append(moving, s.say.Text("%s %s (%s)", s.say.Lower(s.say.Text(f.name)), verb(s.say, t), s.say.Change(say.Difference, t.Change, 1)))
		}
	}
	if len(moving) == 0 {
		return s.say.Text("Within noise: nothing moved more than the visits scatter, over %s.", s.say.Count(int(visits), "visit"))
	}
	return s.say.Text("%s: too small or too uncertain for a finding.", capital(strings.Join(moving, ", ")))
}
