package analysis

import (
	"encoding/json"
	"errors"
	"maps"
	"slices"
	"strings"

	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
)

// A monthNotes is a note that a system has for each month, as JSON, by the month's name. As text
// it has a line for each, so that those of closed months go from night to night without being
// read.
type monthNotes map[string]string

// readMonthNotes takes the text apart.
func readMonthNotes(text string) monthNotes {
	out := monthNotes{}
	for line := range strings.Lines(text) {
		if month, said, ok := strings.Cut(strings.TrimSuffix(line, "\n"), " "); ok {
			out[month] = said
		}
	}
	return out
}

// text puts it together again, by month.
func (b monthNotes) text() string {
	var out strings.Builder
	length := 0
	for month, said := range b {
		length += len(month) + len(said) + len(" \n")
	}
	out.Grow(length) // a megabyte after years
	for _, month := range slices.Sorted(maps.Keys(b)) {
		if b[month] != "" {
			out.WriteString(month)
			out.WriteByte(' ')
			out.WriteString(b[month])
			out.WriteByte('\n')
		}
	}
	return out.String()
}

// put notes the facts of a month, if it has any.
func (b monthNotes) put(month string, facts []trust.Facts) error {
	if len(facts) == 0 {
		return nil
	}
	text, err := json.Marshal(facts)
	b[month] = string(text)
	return err
}

// A saidRun is visits in a row that are told alike: who logged them, and how.
type saidRun struct {
	Day     bool        `json:"day,omitempty"`
	Print   string      `json:"print,omitempty"`
	Serials []string    `json:"serials,omitempty"`
	Visits  []saidVisit `json:"visits"`
}

// A saidVisit is when a visit was, and by which rules it is in doubt.
type saidVisit struct {
	Start int64    `json:"start"`
	End   int64    `json:"end"`
	Rules []string `json:"rules,omitempty"`
}

// saidRuns are the facts of a month as verdicts and the quality of logs ask for them: a logger
// that stays has a visit a day and is told alike on each.
func saidRuns(facts []trust.Facts) (runs []saidRun) {
	for _, f := range facts {
		last := len(runs) - 1
		if last < 0 || runs[last].Day != f.Day || runs[last].Print != f.Print || !slices.Equal(runs[last].Serials, f.Serials) {
			runs, last = append(runs, saidRun{Day: f.Day, Print: f.Print, Serials: f.Serials}), last+1
		}
		v := saidVisit{Start: f.Start, End: f.End}
		for _, d := range f.Doubts {
			v.Rules = append(v.Rules, d.Rule)
		}
		runs[last].Visits = append(runs[last].Visits, v)
	}
	return runs
}

// putSaid notes of a month, if it has any facts, what verdicts ask for.
func (b monthNotes) putSaid(month string, facts []trust.Facts) error {
	if len(facts) == 0 {
		return nil
	}
	text, err := json.Marshal(map[string]any{"runs": saidRuns(facts)})
	b[month] = string(text)
	return err
}

// old tells whether a month is noted visit by visit, as it was before there were runs.
func (b monthNotes) old(month string) bool { return strings.HasPrefix(b[month], "[") }

// renew notes by runs what was noted visit by visit.
func (b monthNotes) renew(of dataset.File) error {
	for month := range b {
		if !b.old(month) {
			continue
		}
		facts, err := b.facts(of, month)
		if err = errors.Join(err, b.putSaid(month, facts)); err != nil {
			return err
		}
	}
	return nil
}

// said are the facts of a month as far as putSaid notes them.
func (b monthNotes) said(of dataset.File, month string) (facts []trust.Facts, err error) {
	if b[month] == "" || b.old(month) {
		return b.facts(of, month)
	}
	var note struct {
		Runs []saidRun `json:"runs"`
	}
	err = unmarshal(of, month, b[month], &note)
	for _, r := range note.Runs {
		for _, v := range r.Visits {
			f := trust.Facts{Start: v.Start, End: v.End, Day: r.Day, Print: r.Print, Serials: r.Serials}
			for _, rule := range v.Rules {
				f.Doubts = append(f.Doubts, trust.Doubt{Rule: rule})
			}
			facts = append(facts, f)
		}
	}
	return facts, err
}

// facts are those of a month, from a note of a file.
func (b monthNotes) facts(of dataset.File, month string) (facts []trust.Facts, err error) {
	if text := b[month]; text != "" {
		err = unmarshal(of, month, text, &facts)
	}
	return facts, err
}
