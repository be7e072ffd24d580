package report

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"rimelog/analysis/records"
	"rimelog/analysis/say"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// methodPage says how all figures come about.
const methodPage = "method.html"

// methodView is what the page about method says: equations, rules, steps, and every
// column of every table.
type methodView struct {
	AsOf     string
	Chapters []chapter
	Passages []ruleRow
	RuleSets []Input // used on this fleet, by the hash of their files
	Steps    []stepRow
	Tables   []tableView
	Columns  int // of all tables
}

// A stepRow is a step and the tables it makes.
type stepRow struct{ Name, Tables string }

// A tableView is a table of the dataset with its columns.
type tableView struct {
	Name, Doc, Path, Keys string
	Columns               []columnView
}

// A columnView is a column, with a dash for what there is nothing to say about.
type columnView struct{ Name, Type, Unit, Meaning, Method, Uncertainty, Source string }

// Method returns the page about method.
func (w *Writer) Method(f Fleet) ([]byte, error) {
	v := f.in(w.say).method()
	return w.write(methodPage, page{Title: w.say.Text("Method, %s", v.AsOf), Method: &v, Made: f.Made.view(w.say)})
}

func (f Fleet) method() methodView {
	v := methodView{
		AsOf: f.say.Day(f.AsOf, f.AsOf.Location()), Chapters: equations(),
		Passages: ruleRows(f.say, f.Records), RuleSets: f.RuleSets, Steps: stepRows(f.Made),
	}
	for _, t := range table.All() {
		v.Tables = append(v.Tables, tableViewOf(f.say, t))
		v.Columns += len(t.Columns)
	}
	return v
}

// tableViewOf is a table as its tags describe it, in the reader's language.
func tableViewOf(l say.Locale, t table.Table) tableView {
	dash := func(s string) string { return cmp.Or(s, "–") }
	told := func(s string) string { return dash(l.Meaning(s)) }
	v := tableView{Name: t.Name, Doc: capital(l.Meaning(t.Doc)), Path: t.Layout(), Keys: strings.Join(t.Keys(), ", ")}
	for _, c := range t.Columns {
		v.Columns = append(v.Columns, columnView{c.Name, c.Stored(), told(c.Unit), told(c.Doc), told(c.Method), dash(c.Uncertainty), told(c.Source)})
	}
	return v
}

// stepRows are the steps by name, each with the tables it makes.
func stepRows(m Made) (out []stepRow) {
	for _, s := range m.Steps {
		out = append(out, stepRow{fmt.Sprintf("%s %d", s.Name, s.Version), strings.Join(m.Tables[s], ", ")})
	}
	slices.SortFunc(out, func(a, b stepRow) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

// methodJob plans the page about method. It shows no figure of a system: of their files
// it needs only by which steps they were made.
func (s *Stage) methodJob(w *Writer, units []unit) pipeline.Job {
	all := slices.Clone(s.fleet.Files)
	for _, u := range units {
		all = append(all, u.files.Files...)
	}
	by := made(all)
	by.Inputs, by.Tables = made(s.fleet.Files).Inputs, tablesBy(all)
	for _, step := range s.Reading {
		if what, ok := readingMakes[step.Name]; ok && len(all) > 0 {
			by.Steps, by.Tables[step] = append(by.Steps, step), []string{w.say.Text(what)}
		}
	}
	rows := stepRows(by)
	h := pipeline.NewHasher(Page)
	h.Add("page", w.Hash())
	h.Add("equations", fmt.Sprintf("%+v", equations()))
	h.Add("tables", fmt.Sprintf("%+v", table.All()))
	h.Add("steps", fmt.Sprintf("%+v", rows))
	h.Add("as of", s.fleet.Inputs[asOfInput])
	size := addFiles(h, s.fleet.Files)
	return s.job("fleet/method", methodPage, h.Sum(), size, func(ctx context.Context) ([]byte, error) {
		f := Fleet{Made: by}
		var err error
		if f.Records, err = s.books(ctx); err != nil {
			return nil, err
		}
		if f.RuleSets, err = s.ruleSets(ctx); err != nil {
			return nil, err
		}
		f.AsOf = s.asOf(f)
		f.Made.AsOf = f.AsOf
		return w.Method(f)
	})
}

// readingMakes is what those steps make that fill no table of their own.
var readingMakes = map[string]say.Text{"look": "what each upload is", "read": "each upload's part of samples, extras and refusals"}

// tablesBy are the tables that each step made, by name.
func tablesBy(files []dataset.File) map[pipeline.Step][]string {
	out := map[pipeline.Step][]string{}
	for _, f := range files {
		if step, ok := stepOf(f); ok && !slices.Contains(out[step], f.Table) {
			out[step] = append(out[step], f.Table)
		}
	}
	for _, names := range out {
		slices.Sort(names)
	}
	return out
}

// ruleSets are the rule sets that figures of the records rest on, by their hashes.
func (s *Stage) ruleSets(ctx context.Context) (out []Input, err error) {
	rows, err := fleetRows[table.AuditRow](ctx, s, table.AuditTrail())
	for _, r := range rows {
		if id, ok := strings.CutPrefix(r.Source, records.RulesFolder); ok {
			if in := (Input{id, r.SHA256}); !slices.Contains(out, in) {
				out = append(out, in)
			}
		}
	}
	slices.SortFunc(out, func(a, b Input) int { return cmp.Or(cmp.Compare(a.Name, b.Name), cmp.Compare(a.SHA256, b.SHA256)) })
	return out, err
}
