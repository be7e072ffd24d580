package report

import (
	"context"
	"encoding/base64"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// restated reads the visits that trends rest on otherwise than table visits shows them.
func (s *Stage) restated(ctx context.Context, u unit) (out []table.Restated, err error) {
	for _, f := range filesOf(u.files, table.Trends()) {
		note, ok, err := s.data.Note(ctx, f, table.NoteRestated)
		if err != nil || !ok {
			return out, err
		}
		packed, err := base64.StdEncoding.DecodeString(note)
		if err == nil {
			out, _, err = frame.Unpack[table.Restated](packed)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: note %s: %w", f.Path, table.NoteRestated, err)
		}
	}
	return out, nil
}

// asJudged are the visits as slow change is judged by them: where a visit does not fit the
// register's refrigerant, by one that it fits.
func (s System) asJudged() []table.Visit {
	switch {
	case s.judged != nil:
		return s.judged
	case len(s.Restated) == 0:
		return s.Visits
	}
	anew, out := s.Restated, slices.Clone(s.Visits) // both in order of time
	for i := range out {
		if len(anew) > 0 && anew[0].Is(out[i]) {
			out[i], anew = anew[0].Over(out[i]), anew[1:]
		}
	}
	return out
}

// presumption is a part of a note that says by which refrigerant a machine is judged.
var presumption = regexp.MustCompile(`^(the register (names no refrigerant that is known$|says .*, which the visits do not fit$)|until the register is right|would fit as well: |look at the nameplate$)`)

// besides is what a note says besides by which refrigerant visits are judged, which the page says once.
func (s System) besides(note string) string {
	if len(s.Restated) == 0 {
		return note
	}
	return strings.Join(slices.DeleteFunc(strings.Split(note, "; "), presumption.MatchString), "; ")
}

// presumed says by which refrigerant visits are judged, where it is not the register's word
// alone; nothing where it is.
func (s System) presumed() string {
	var by []string
	count := map[string]int{}
	for _, r := range s.Restated {
		if count[r.Refrigerant]++; count[r.Refrigerant] == 1 {
			by = append(by, r.Refrigerant)
		}
	}
	if len(by) == 0 {
		return ""
	}
	for i, name := range by {
		by[i] = name + " (" + s.say.Count(count[name], "visit") + ")"
	}
	fits := strings.Join(by, ", ")
	if s.Register.RefrigerantName == "" {
		return s.say.Text("The register names no refrigerant that is known. How the machine changes is shown and judged by one that the visits fit: %s. What else follows from pressures is not shown. Look at the nameplate.", fits)
	}
	return s.say.Text("Visits do not fit the refrigerant that the register names. How the machine changes is shown and judged by what they are usual with: %s. What else follows from their pressures is not shown. Look at the nameplate.", fits)
}
