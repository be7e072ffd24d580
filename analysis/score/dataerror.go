package score

import (
	"strings"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// DataErrors is which mistakes of those who log were found. A mistake is one rule
// of the trade's list (D1 to D33) in one log; a wrong refrigerant (D1) is one of a
// system.
type DataErrors struct {
	Errors
	ByRule map[string]Errors `json:"by_rule"`
}

// Errors counts mistakes.
type Errors struct {
	Found    int `json:"found"`    // made, and said to be there
	Missed   int `json:"missed"`   // made, and not said
	Invented int `json:"invented"` // said, but not made
}

// signs are the words by which the quality table tells of a mistake. Rules that are
// not listed are not told of yet; rows without such words are about a file's form.
var signs = []struct{ rule, words string }{
	{"D4", "the unit of "},
	{"D15", "clock was not set"},
	{"D31", " cells of "},
}

// A slip is a mistake at its place: a log or a system.
type slip struct{ place, rule string }

// dataErrors holds what the quality table tells against the mistakes that were made;
// nil where no upload was looked at.
func dataErrors(in Input) *DataErrors {
	if len(in.Uploads) == 0 {
		return nil
	}
	made, said := made(in.Truth), said(in.Problems)
	for s := range twiceRead(in) {
		said[s] = true
	}
	d := &DataErrors{ByRule: map[string]Errors{}}
	for s := range made {
		if said[s] {
			d.count(s.rule, Errors{Found: 1})
		} else {
			d.count(s.rule, Errors{Missed: 1})
		}
	}
	for s := range said {
		if !made[s] {
			d.count(s.rule, Errors{Invented: 1})
		}
	}
	return d
}

func (d *DataErrors) count(rule string, e Errors) {
	d.Errors = d.plus(e)
	d.ByRule[rule] = d.ByRule[rule].plus(e)
}

func (e Errors) plus(x Errors) Errors {
	return Errors{e.Found + x.Found, e.Missed + x.Missed, e.Invented + x.Invented}
}

// made lists the mistakes of logs and of systems. Of a log that was uploaded twice
// (D16) the second copy has the mistake, and its other mistakes count once.
func made(f truth.Fleet) map[slip]bool {
	out := map[slip]bool{}
	first := map[string]bool{}
	for _, x := range f.Files {
		again := first[sameLog(x)]
		first[sameLog(x)] = true
		for _, m := range x.Mistakes {
			if (m.ID == twice) == again {
				out[slip{x.Path, m.ID}] = true
			}
		}
	}
	for _, s := range f.Slips {
		if s.Table == "systems" && s.Field == "refrigerant" {
			out[slip{s.System, "D1"}] = true
		}
	}
	return out
}

// sameLog is what two uploads of one log have in common.
func sameLog(f truth.File) string { return f.System + " " + f.Kit + " " + f.Start.String() }

// said lists what the quality table tells.
func said(problems []table.Problem) map[slip]bool {
	out := map[slip]bool{}
	for _, p := range problems {
		path, isUpload := strings.CutPrefix(p.Place, "uploads/")
		if !isUpload {
			continue
		}
		path, _, _ = strings.Cut(path, ":")
		for _, k := range signs {
			if strings.Contains(p.Problem, k.words) {
				out[slip{path, k.rule}] = true
			}
		}
	}
	return out
}

// twiceRead lists the copies of a log of which nothing was stored twice: the same
// bytes are one upload, and other copies are counted as duplicates.
func twiceRead(in Input) map[slip]bool {
	stored := map[string]int64{}
	for _, u := range in.Uploads {
		stored[u.Path] = u.Stored
	}
	out := map[slip]bool{}
	first := map[string]string{}
	for _, x := range in.Truth.Files {
		if x.Logger == "" { // no log
			continue
		}
		one, again := first[sameLog(x)]
		if !again {
			first[sameLog(x)] = x.Path
			continue
		}
		if stored[one] == 0 || stored[x.Path] == 0 {
			out[slip{x.Path, twice}] = true
		}
	}
	return out
}
