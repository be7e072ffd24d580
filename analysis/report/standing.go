package report

import (
	"slices"
	"strings"

	"rimelog/analysis/drift"
	"rimelog/analysis/report/say"
	"rimelog/pipeline/table"
)

// standing is which of the three lists of the fleet page a system is in.
type standing uint8

const (
	needsVisit standing = iota // it has an open finding
	notJudged                  // nothing about it can be judged
	noFinding                  // judged, and nothing found
)

// key is the standing's name in the page's own script.
func (s standing) key() string { return [...]string{"open", "unjudged", "calm"}[s] }

func (s System) standing() standing {
	if len(s.open()) > 0 {
		return needsVisit
	}
	for _, t := range s.latest() {
		if judged(t) {
			return noFinding
		}
	}
	return notJudged
}

// whyNot is why nothing can be judged, with the notes of the trends.
func (s System) whyNot() string {
	if s.Register.RefrigerantName == "" && len(s.Visits) > 0 {
		return "The register names no refrigerant that is known: nothing can be worked out from the pressures."
	}
	parts := []string{s.tooShort()}
	var notes []string
	latest := s.latest()
	for _, f := range features {
		if t, ok := latest[f.column]; ok && t.Note != "" && !slices.Contains(notes, t.Note) && len(notes) < mostNotes {
			notes = append(notes, t.Note)
			parts = append(parts, f.name+": "+stop(hyphen.ReplaceAllString(t.Note, "$1\u2212$2")))
		}
	}
	return strings.Join(parts, " ")
}

// mostNotes is how many reasons a row of the fleet page gives; its own page has all.
const mostNotes = 2

// howTo is what would let the system be judged.
func (s System) howTo() string {
	if len(s.Visits) == 0 {
		return "Put its logs below uploads/" + s.Register.ID + "/, or name its files in register/channels.csv."
	}
	if s.Register.RefrigerantName == "" {
		return "Write its refrigerant into register/systems.csv, in the line of " + s.Register.ID + "."
	}
	for _, v := range s.Visits {
		if v.Use == table.UseTrend {
			return "Log it again at the next visits, if you can in other weather too."
		}
	}
	return "Log longer: let it settle, then record at least 15 minutes of steady running, or three hunting periods."
}

// verdict is the sentence a system's page begins with.
func (s System) verdict() string {
	switch s.standing() {
	case needsVisit:
		f := s.open()[0]
		return suspicion(f) + ". " + moved(f) + " " + since(f, s.Zone()) + "."
	case notJudged:
		return s.tooShort()
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
			moving = append(moving, lower(f.name)+" "+verb(t)+" ("+say.With(say.Signed(t.Change, 1), "K")+")")
		}
	}
	if len(moving) == 0 {
		return "Within noise: nothing moved more than the visits scatter, over " + say.Count(int(visits), "visit") + "."
	}
	return "No finding: " + strings.Join(moving, ", ") + ", not enough for one."
}
