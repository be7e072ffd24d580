package report

import (
	"cmp"
	"html/template"
	"regexp"
	"slices"
	"strings"

	"rimelog/analysis/say"
	"rimelog/analysis/trust"
	"rimelog/pipeline/table"
)

// qualityPage says what the results rest on, and what would settle what they do not.
const qualityPage = "quality.html"

// qualityTables are those that only this page shows.
func qualityTables() []table.Table {
	return []table.Table{table.UploadVerdicts(), table.LogQualities()}
}

// qualityView is what the page about data quality says.
type qualityView struct {
	AsOf, Lede   string
	Data         dataView
	Coverage     []coverageRow
	CoverageHead template.HTML // the years above the calendar
	Period       string
	Pastes       []paste
	Doubtful     []verdictRow // uploads that are not used, or not all of them
	MoreDoubtful string       // how many more there are than the page holds; empty for none
	Mistakes     []mistakeRow
	Groups       []logGroup
	Made         madeView
}

// A paste is the lines that settle open questions, for one file of the register.
type paste struct {
	File  string
	Lines []string
}

// A verdictRow is an upload that is not used, or not all of it.
type verdictRow struct{ Path, System, Href, Verdict, Reasons, Shares, Engineer string }

// A mistakeRow is how often one mistake of those who log was met.
type mistakeRow struct {
	Rule, Name, Seen string
	Uploads          int
}

// A logGroup is the quality of logs by one thing: instrument sets, instruments, engineers.
type logGroup struct {
	Title say.Text
	Name  say.Text
	Rows  []logRowView
	Fold  bool
}

// A logRowView is one set, instrument or person.
type logRowView struct{ Name, Visits, Used, Judged, Mistakes, Commonest, Compared string }

// Quality returns the page about data quality.
func (w *Writer) Quality(f Fleet) ([]byte, error) {
	v := f.in(w.say).quality()
	return w.write(qualityPage, page{Title: w.say.Text("Data quality, %s", v.AsOf), Quality: &v, Made: v.Made})
}

func (f Fleet) quality() qualityView {
	v := qualityView{AsOf: f.say.Day(f.AsOf, f.AsOf.Location()), Data: f.data(), Pastes: pastes(f.Quality),
		Mistakes: f.mistakes(), Groups: f.logGroups(), Made: f.Made.view(f.say)}
	f.verdicts(&v)
	f.coverage(&v)
	v.Lede = f.qualityLede()
	return v
}

// qualityLede counts the uploads by their verdict.
func (f Fleet) qualityLede() string {
	count := map[string]int{}
	for _, u := range f.Verdicts {
		count[u.Verdict]++
	}
	if len(f.Verdicts) == 0 {
		return f.say.Text("No upload has been judged yet.")
	}
	n := func(verdict string) string { return f.say.Thousands(int64(count[verdict])) }
	if count[table.UploadInPart] == 0 {
		return f.say.Text("%s of %s are used, %s are not.", n(table.UploadUsed), f.say.Count(len(f.Verdicts), "upload"), n(table.UploadUnused))
	}
	if count[table.UploadUnused] == 1 {
		return f.say.Text("%s of %s are used, %s in part, one is not.", n(table.UploadUsed), f.say.Count(len(f.Verdicts), "upload"), n(table.UploadInPart))
	}
	return f.say.Text("%s of %s are used, %s in part, %s are not.", n(table.UploadUsed), f.say.Count(len(f.Verdicts), "upload"), n(table.UploadInPart), n(table.UploadUnused))
}

// pasted is the register's file and line in a remedy.
var pasted = regexp.MustCompile(`register/([a-z]+\.csv): (.*,.*,.*)$`)

// pastes collects the lines that remedies propose, by file of the register.
func pastes(problems []table.Problem) (out []paste) {
	at := map[string]int{}
	for _, p := range problems {
		m := pasted.FindStringSubmatch(p.Remedy)
		if m == nil {
			continue
		}
		i, ok := at[m[1]]
		if !ok {
			i = len(out)
			at[m[1]] = i
			out = append(out, paste{File: "register/" + m[1]})
		}
		for _, line := range lines(m[2]) {
			if !slices.Contains(out[i].Lines, line) {
				out[i].Lines = append(out[i].Lines, line)
			}
		}
	}
	return out
}

// lines parts the lines that a remedy joins by "and": each has the columns of a register.
func lines(text string) (out []string) {
	for _, part := range strings.Split(text, " and ") {
		if n := len(out); n > 0 && strings.Count(part, ",") < 3 {
			out[n-1] += " and " + part
			continue
		}
		out = append(out, part)
	}
	return out
}

// mostVerdicts is how many uploads the page lists; all are in the table upload_verdicts.
const mostVerdicts = 300

// verdicts lists the uploads that are not used, then those used in part.
func (f Fleet) verdicts(v *qualityView) {
	names := f.names()
	var list []table.UploadVerdict
	for _, u := range f.Verdicts {
		if u.Verdict != table.UploadUsed {
			list = append(list, u)
		}
	}
	slices.SortStableFunc(list, func(a, b table.UploadVerdict) int {
		return cmp.Or(-cmp.Compare(boolRank(a.Verdict == table.UploadUnused), boolRank(b.Verdict == table.UploadUnused)), cmp.Compare(a.System, b.System), cmp.Compare(a.Path, b.Path))
	})
	if more := len(list) - mostVerdicts; more > 0 {
		v.MoreDoubtful = f.say.Thousands(int64(more))
		list = list[:mostVerdicts]
	}
	for _, u := range list {
		v.Doubtful = append(v.Doubtful, verdictRow{Path: u.Path, System: u.System, Href: nameOf(names, u.System).Href, Verdict: f.say.Prose(u.Verdict),
			Reasons: f.say.Sentence(u.Reasons), Shares: f.shares(u), Engineer: u.Engineer})
	}
}

// boolRank orders what is true after what is not.
func boolRank(b bool) int {
	if b {
		return 1
	}
	return 0
}

// shares says where an upload's time went.
func (f Fleet) shares(u table.UploadVerdict) string {
	var parts []string
	for _, p := range []struct {
		pct  float64
		text say.Text
	}{
		{u.JudgedPct, "%s judged"}, {u.ShownPct, "%s shown only"}, {u.MovingPct, "%s unsteady"}, {u.LeftPct, "%s left out"}, {u.OffPct, "%s standing still"},
	} {
		if p.pct >= 0.5 {
			parts = append(parts, f.say.Text(p.text, f.say.With(f.say.Number(p.pct, 0), "%")))
		}
	}
	return strings.Join(parts, ", ")
}

// mistakes counts the uploads that each rule speaks of, the commonest first.
func (f Fleet) mistakes() (out []mistakeRow) {
	count := map[string]int{}
	for _, u := range f.Verdicts {
		for _, id := range strings.Fields(u.Rules) {
			count[id]++
		}
	}
	for _, r := range trust.Rules() {
		if n := count[r.ID]; n > 0 {
			out = append(out, mistakeRow{Rule: r.ID, Name: f.say.Prose(capital(r.Name)), Seen: f.say.Sentence(r.Signature), Uploads: n})
		}
	}
	slices.SortStableFunc(out, func(a, b mistakeRow) int { return cmp.Compare(b.Uploads, a.Uploads) })
	return out
}

// logGroups is how good logs are by set, engineer and instrument, in the order of names:
// it serves training, and is no ranking.
func (f Fleet) logGroups() (out []logGroup) {
	for _, g := range []struct {
		by string
		logGroup
	}{
		{"engineer", logGroup{Title: "By engineer", Name: "Engineer"}},
		{"instrument set", logGroup{Title: "By instrument set", Name: "Instrument set"}},
		{"instrument", logGroup{Title: "By instrument", Name: "Instrument", Fold: true}},
	} {
		for _, q := range f.LogQuality {
			if q.By == g.by {
				g.Rows = append(g.Rows, f.logRow(q))
			}
		}
		slices.SortStableFunc(g.Rows, func(a, b logRowView) int { return cmp.Compare(a.Name, b.Name) })
		if len(g.Rows) > 0 {
			out = append(out, g.logGroup)
		}
	}
	return out
}

func (f Fleet) logRow(q table.LogQuality) logRowView {
	share := func(pct, lo, hi float64) string {
		return f.say.Text("%s (%s)", f.say.With(f.say.Number(pct, 0), "%"), f.say.Range(lo, hi, 0, ""))
	}
	return logRowView{Name: q.Name, Visits: f.say.Thousands(q.Visits), Used: share(q.UsedPct, q.UsedLo, q.UsedHi), Judged: f.say.With(f.say.Number(q.JudgedPct, 0), "%"),
		Mistakes: share(q.MistakePct, q.MistakeLo, q.MistakeHi), Commonest: f.say.Prose(q.Commonest), Compared: f.say.Prose(q.Compared)}
}
