package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"unicode/utf8"

	"rimelog/analysis/drift"
	"rimelog/analysis/records"
	"rimelog/ingest"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A summary is what a run tells of itself, as text or as one JSON object.
type summary struct {
	Uploads  int            `json:"uploads"`
	ByStatus map[string]int `json:"uploads_by_status"`
	Samples  int64          `json:"samples"`
	Systems  int            `json:"systems"`
	Findings int            `json:"findings"` // open ones
	LeftOut  int            `json:"left_out"`
	Due      map[string]int `json:"due"`       // leak checks and what else rules ask for, by state
	Jobs     map[string]int `json:"jobs"`      // done in this run, by step
	Skipped  map[string]int `json:"unchanged"` // results that were there already, by step
	Laws     lawsJSON       `json:"laws"`
	Kinds    []drift.Hits   `json:"findings_by_kind"` // what became of them: answered, confirmed, refuted ...

	open    []table.Finding
	leftOut []table.Problem
}

// An account tells what became of the uploads, and what is wrong.
type account func(ctx context.Context) ([]table.Upload, []table.Problem, error)

// ranked is the account that the newest ranking of the fleet keeps.
func (ws *workspace) ranked(ctx context.Context) ([]table.Upload, []table.Problem, error) {
	uploads, err := rows[table.Upload](ctx, ws.data, table.Uploads())
	if err != nil {
		return nil, nil, err
	}
	problems, err := rows[table.Problem](ctx, ws.data, table.Quality())
	return uploads, problems, err
}

// accountOf is what ingest knows itself, with what is wrong in the register.
func (ws *workspace) accountOf(in *ingest.Stage) account {
	return func(ctx context.Context) ([]table.Upload, []table.Problem, error) {
		uploads, problems, err := in.Account(ctx)
		if err != nil {
			return nil, nil, err
		}
		var all []table.Problem
		for _, e := range ws.register.Problems {
			all = append(all, table.Problem{Place: e.Place(), System: e.System, Problem: e.What(), Remedy: e.Remedy, Weight: "left out"})
		}
		return uploads, append(all, problems...), nil
	}
}

// summarise reads what the newest generations hold, and the account.
func summarise(ctx context.Context, data *dataset.Dataset, t pipeline.Tally, account account) (summary, error) {
	s := summary{ByStatus: map[string]int{}, Jobs: t.Done, Skipped: t.Skipped}
	if err := s.countSamples(ctx, data); err != nil {
		return s, err
	}
	uploads, problems, err := account(ctx)
	if err != nil {
		return s, err
	}
	s.countUploads(uploads)
	findings, err := rows[table.Finding](ctx, data, table.Findings())
	if err != nil {
		return s, err
	}
	s.sort(findings, problems)
	return s, s.countDue(ctx, data)
}

// countDue counts what is due by the records.
func (s *summary) countDue(ctx context.Context, data *dataset.Dataset) error {
	s.Due = map[string]int{}
	checks, err := rows[table.LeakCheck](ctx, data, table.LeakChecks())
	for _, l := range checks {
		s.Due[l.State]++
	}
	return err
}

// rows reads a fleet table; none where nothing was analysed yet.
func rows[Row any](ctx context.Context, data *dataset.Dataset, t table.Table) ([]Row, error) {
	f, err := data.ReadTable(ctx, t.Path("", ""))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return frame.Rows[Row](f)
}

func (s *summary) countSamples(ctx context.Context, data *dataset.Dataset) error {
	units, err := data.Units(ctx)
	if err != nil {
		return err
	}
	for _, u := range units {
		if u == dataset.FleetUnit || u == dataset.ReportUnit {
			continue
		}
		g, err := data.Newest(ctx, u)
		if err != nil {
			return err
		}
		s.Systems++
		for _, f := range g.Files {
			if f.Table == table.Samples().Name {
				s.Samples += f.Rows
			}
		}
	}
	return nil
}

func (s *summary) countUploads(uploads []table.Upload) {
	var l dataset.Lines
	var v dataset.Values
	for _, u := range uploads {
		s.Uploads++
		s.ByStatus[u.Status]++
		ul, uv := dataset.Accounts(u)
		l, v = l.Add(ul), v.Add(uv)
	}
	s.Laws = laws(l, v)
}

func (s *summary) sort(findings []table.Finding, problems []table.Problem) {
	for _, f := range findings {
		if f.State == "open" {
			s.open = append(s.open, f)
		}
	}
	s.leftOut = once(problems)
	s.Findings, s.LeftOut = len(s.open), len(s.leftOut)
	s.Kinds = drift.HitRate(findings)
}

// once lists what was left out, each thing once: what is said of a system in the same words at
// several places stands at the first, with the number of the others.
func once(problems []table.Problem) (left []table.Problem) {
	type said struct{ system, problem, remedy string }
	at, more := map[said]int{}, map[int]int{}
	for _, p := range problems {
		if p.Weight != "left out" {
			continue
		}
		k := said{p.System, p.Problem, p.Remedy}
		if i, again := at[k]; again && p.System != "" {
			more[i]++
			continue
		}
		at[k] = len(left)
		left = append(left, p)
	}
	for i, n := range more {
		left[i].Problem += fmt.Sprintf("; so at %d more place(s)", n)
	}
	return left
}

// print tells the run to a person: findings first, then what was left out.
func (s *summary) print(out *console, jobs pipeline.Tally, report string) {
	printFindings(out, s.open)
	printAnswers(out, s.Kinds)
	printDue(out, s.Due)
	printLeftOut(out, s.leftOut)
	fmt.Fprintf(out.out, "\n%d uploads, %d samples of %d systems; %s\n", s.Uploads, s.Samples, s.Systems, done(jobs))
	fmt.Fprintln(out.out, linesLaw(s.Laws.Lines.Lines))
	fmt.Fprintln(out.out, valuesLaw(s.Laws.Values.Values))
	if report != "" {
		fmt.Fprintln(out.out, "report: "+report)
	}
}

func printFindings(out *console, open []table.Finding) {
	if len(open) == 0 {
		fmt.Fprintln(out.out, "No open finding.")
		return
	}
	fmt.Fprintf(out.out, "%d open finding(s), most urgent first:\n", len(open))
	system, site, kind := findingWidths(open)
	for _, f := range open {
		fmt.Fprintf(out.out, "%3d  %-*s  %-*s  %-*s  %s since %s\n",
			f.Rank, system, f.System, site, f.Site, kind, f.Kind, drift.Moved(f), f.Suspected.Format("Jan 2006"))
		if gone := drift.Gone(f); gone != "" {
			fmt.Fprintf(out.out, "     %s\n", gone)
		}
		fmt.Fprintf(out.out, "     %s\n", f.NextCheck)
	}
}

// findingWidths are the letters that the longest system, site and kind of findings take.
func findingWidths(open []table.Finding) (system, site, kind int) {
	for _, f := range open {
		system = max(system, utf8.RuneCountInString(f.System))
		site = max(site, utf8.RuneCountInString(f.Site))
		kind = max(kind, utf8.RuneCountInString(string(f.Kind)))
	}
	return system, site, kind
}

// printAnswers says in a line how often findings were right.
func printAnswers(out *console, kinds []drift.Hits) {
	var parts []string
	for _, h := range drift.AnsweredOnly(kinds) {
		parts = append(parts, h.String())
	}
	if len(parts) > 0 {
		fmt.Fprintf(out.out, "\nfindings that people looked into: %s\n", strings.Join(parts, "; "))
	}
}

// printDue says in a line what is pressing of what is due.
func printDue(out *console, due map[string]int) {
	var parts []string
	for _, state := range []string{records.Overdue, records.NeverDone, records.Recommended, records.DueSoon} {
		if n := due[state]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, state))
		}
	}
	if len(parts) > 0 {
		fmt.Fprintf(out.out, "\nleak checks and other duties: %s; see leaks.html in the report\n", strings.Join(parts, ", "))
	}
}

// shown is how many left-out things a run lists; the report lists all.
const shown = 8

func printLeftOut(out *console, left []table.Problem) {
	if len(left) == 0 {
		return
	}
	fmt.Fprintf(out.out, "\n%d thing(s) left out:\n", len(left))
	for _, p := range left[:min(len(left), shown)] {
		fmt.Fprintf(out.out, "  %s: %s\n      -> %s\n", p.Place, p.Problem, p.Remedy)
	}
	if len(left) > shown {
		fmt.Fprintf(out.out, "  and %d more, in the report's data quality section\n", len(left)-shown)
	}
}

func done(t pipeline.Tally) string {
	var parts []string
	for _, step := range steps {
		if n := t.Done[step]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, step))
		}
	}
	if len(parts) == 0 {
		return "no job to do, all is as it was"
	}
	return "jobs done: " + strings.Join(parts, ", ")
}

// steps are the pipeline's steps, in the order of the flow.
var steps = []string{"look", "read", "join", "windows", "visits", "judge", "rank", "records", "page"}
