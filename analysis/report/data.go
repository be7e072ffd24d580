package report

import (
	"strings"

	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// dataView is what was left out of the results, and where every line went.
type dataView struct {
	Lede     string
	Files    []fileRow
	Problems []problemRow
	Lines    law
	Values   law
}

// A fileRow is an upload that is not or not wholly in the results.
type fileRow struct{ Path, Status, Systems, Lost, Reason string }

// A law is an equation of the accounting.
type law struct {
	Total  term
	Terms  []term
	Holds  bool
	Excess string // how far it is off, where it does not hold
}

type term struct{ Figure, Name string }

func (f Fleet) data() dataView {
	var sum table.Upload
	var d dataView
	rest := byFile(f.Quality)
	for _, u := range f.Uploads {
		add(&sum, u)
		if r, ok := left(f.say, u); ok {
			r.explain(f.say, rest.take(u.Path))
			d.Files = append(d.Files, r)
		}
	}
	d.Problems = grouped(f.say, rest.problems)
	d.Lines = newLaw(f.say, sum.Lines, "lines", []int64{sum.Data, sum.Header, sum.Preamble, sum.Footer, sum.Blank, sum.Quarantined, sum.Waiting},
		"data", "header", "preamble", "footer", "blank", "quarantined", "waiting")
	d.Values = newLaw(f.say, sum.Values, "values read", []int64{sum.Stored, sum.Duplicates, sum.Refused, sum.Missing},
		"stored", "duplicates", "refused", "missing markers")
	d.Lede = d.lede(f.say, len(f.Uploads))
	return d
}

func (d dataView) lede(l say.Locale, uploads int) string {
	s := l.Text("%s seen.", l.Count(uploads, "file")) + " "
	if len(d.Files) == 0 && len(d.Problems) == 0 {
		return s + l.Text("Nothing was left out.")
	}
	if n := len(d.Files); n == 1 {
		s += l.Text("1 is not wholly in the results.") + " "
	} else if n > 1 {
		s += l.Text("%s are not wholly in the results.", l.Word(n)) + " "
	}
	if n := len(d.Problems); n > 0 {
		s += l.Text("%s to settle besides.", l.Count(n, "problem"))
	}
	return strings.TrimSpace(s)
}

// left says what of an upload is not in the results. Other versions of a file and
// files that were taken away are no problem: what they held is kept.
func left(l say.Locale, u table.Upload) (fileRow, bool) {
	r := fileRow{Path: u.Path, Status: l.Prose(u.Status), Systems: u.Systems, Reason: u.Reason}
	switch {
	case u.Status == "waiting" || u.Status == "unreadable":
		r.Lost = l.Text("all %s", l.Count(int(u.Lines), "line"))
	case u.Quarantined > 0 || u.Refused > 0:
		r.Lost = l.Count(int(u.Quarantined), "line") + ", " + l.Count(int(u.Refused), "value")
	default:
		return fileRow{}, false
	}
	return r, true
}

// explain takes over what the problems of a file say.
func (r *fileRow) explain(l say.Locale, problems []table.Problem) {
	var said []string
	for _, p := range problems {
		said = append(said, l.Sentence(p.Problem)+" "+l.Sentence(p.Remedy))
	}
	switch {
	case len(said) > 0:
		r.Reason = strings.Join(said, " ")
	case r.Reason == "":
		r.Reason = l.Text("The reasons are on the system's page, by line.")
	default:
		r.Reason = l.Sentence(r.Reason)
	}
}

func add(sum *table.Upload, u table.Upload) {
	for _, p := range []struct {
		to *int64
		n  int64
	}{
		{&sum.Lines, u.Lines}, {&sum.Data, u.Data}, {&sum.Header, u.Header}, {&sum.Preamble, u.Preamble}, {&sum.Footer, u.Footer},
		{&sum.Blank, u.Blank}, {&sum.Quarantined, u.Quarantined}, {&sum.Waiting, u.Waiting},
		{&sum.Values, u.Values}, {&sum.Stored, u.Stored}, {&sum.Duplicates, u.Duplicates}, {&sum.Refused, u.Refused}, {&sum.Missing, u.Missing},
	} {
		*p.to += p.n
	}
}

func newLaw(l say.Locale, total int64, name say.Text, parts []int64, names ...say.Text) law {
	out := law{Total: term{l.Thousands(total), l.Text(name)}}
	rest := total
	for i, n := range parts {
		out.Terms = append(out.Terms, term{l.Thousands(n), l.Text(names[i])})
		rest -= n
	}
	out.Holds = rest == 0
	if !out.Holds {
		out.Excess = l.Text("%s %s are in no place", l.Thousands(rest), l.Text(name))
	}
	return out
}
