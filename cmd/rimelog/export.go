package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline/export"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// An exporting is what `rimelog export` was asked for.
type exporting struct {
	systems, sites string // lists, separated by commas
	from, to       string // days
	format         string
	customer       bool // a customer's package
	folder         string
}

func exportCommand() command {
	return command{
		name: "export", takes: "[TABLE...]",
		short: "copies tables out, as CSV, a spreadsheet or Parquet, for some systems or a period",
		long: `Copies the named tables (all but samples, extras and refusals if none is named) into a folder.
Rows of tables by system get the system as first column. Of tables of the whole fleet, a
selection of systems leaves out every row that names another system. Days are UTC; -to is the
last day copied.

  rimelog export -format xlsx                               results of all systems, one workbook
  rimelog export samples -system Cold-1 -from 2025-03-01    what one system measured since March
  rimelog export -customer -site "Tindrow fish market"      everything of one customer, and nothing else

A customer's package has the results as a workbook, every table as Parquet and as CSV (samples only as Parquet),
and a page that explains the columns. Text that a spreadsheet would take for a formula begins with an apostrophe.`,
		setup: func(fs *flag.FlagSet) action {
			var w where
			var e exporting
			w.flags(fs)
			fs.StringVar(&e.systems, "system", "", "only these `IDs`, separated by commas")
			fs.StringVar(&e.sites, "site", "", "only the systems at these `sites` of the register, separated by commas")
			fs.StringVar(&e.from, "from", "", "only rows from this `day` on (YYYY-MM-DD)")
			fs.StringVar(&e.to, "to", "", "only rows up to the end of this `day` (YYYY-MM-DD)")
			fs.StringVar(&e.format, "format", "csv", "`kind` of file: csv, xlsx or parquet")
			fs.BoolVar(&e.customer, "customer", false, "make a customer's package; needs -system or -site")
			fs.StringVar(&e.folder, "out", "export", "the `folder` to copy into; files of the same names are replaced")
			return func(ctx context.Context, out *console, operands []string) error {
				ws, err := w.open(ctx)
				if err != nil {
					return err
				}
				return e.run(ctx, out, ws, operands)
			}
		},
	}
}

func (e exporting) run(ctx context.Context, out *console, ws *workspace, names []string) error {
	sel, err := e.selection(ws)
	if err != nil {
		return err
	}
	tables, err := e.wanted(names)
	if err != nil {
		return err
	}
	if err := e.check(sel, ws.folder); err != nil {
		return err
	}
	if err := os.MkdirAll(e.folder, 0o755); err != nil {
		return err
	}
	dir, err := store.OpenDir(e.folder)
	if err != nil {
		return err
	}
	c := copier{ws: ws, to: dir, selection: sel, tables: tables, withheld: []string{}}
	if err := c.run(ctx, e); err != nil {
		return err
	}
	c.tell(out, e.folder)
	return nil
}

func (e exporting) check(sel export.Selection, workspace string) error {
	switch {
	case e.customer && sel.Systems == nil:
		return usagef("-customer needs -system or -site: whose package is it to be?")
	case !slices.Contains([]string{"csv", "xlsx", "parquet"}, e.format):
		return usagef("-format %q: want csv, xlsx or parquet", e.format)
	}
	for _, own := range []string{"dataset", "register", "report", "uploads", "run"} {
		if within(filepath.Join(workspace, own), e.folder) {
			return usagef("-out %s: this folder is the workspace's own; choose another", e.folder)
		}
	}
	return nil
}

func within(folder, path string) bool {
	a, errA := filepath.Abs(folder)
	b, errB := filepath.Abs(path)
	rel, err := filepath.Rel(a, b)
	return errors.Join(errA, errB, err) == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator))
}

// bulky tables are copied only when they are named, or into a customer's package.
var bulky = []string{"samples", "extras", "refusals"}

func (e exporting) wanted(names []string) ([]table.Table, error) {
	tables, err := tablesNamed(names)
	if len(names) == 0 && !e.customer {
		tables = slices.DeleteFunc(tables, func(t table.Table) bool { return slices.Contains(bulky, t.Name) })
	}
	return tables, err
}

func (e exporting) selection(ws *workspace) (s export.Selection, err error) {
	if s.From, err = day("from", e.from); err != nil {
		return s, err
	}
	if s.To, err = day("to", e.to); err != nil {
		return s, err
	}
	if !s.To.IsZero() {
		s.To = s.To.AddDate(0, 0, 1)
	}
	if !s.From.IsZero() && !s.To.IsZero() && !s.From.Before(s.To) {
		return s, usagef("-from %s is after -to %s", e.from, e.to)
	}
	s.Systems, err = e.chosen(ws)
	return s, err
}

// chosen are the IDs that -system and -site name; nil where neither is given.
func (e exporting) chosen(ws *workspace) (ids []string, err error) {
	for _, name := range list(e.systems) {
		s, ok := ws.register.System(name)
		if !ok {
			return nil, usagef("-system %s: register/systems.csv has no such system", name)
		}
		ids = append(ids, s.ID)
	}
	for _, site := range list(e.sites) {
		before := len(ids)
		for _, s := range ws.register.Systems {
			if strings.EqualFold(s.Site, site) {
				ids = append(ids, s.ID)
			}
		}
		if len(ids) == before {
			return nil, usagef("-site %q: no system of register/systems.csv is there", site)
		}
	}
	slices.Sort(ids)
	return slices.Compact(ids), nil
}

func list(text string) (items []string) {
	for _, s := range strings.Split(text, ",") {
		if s = strings.TrimSpace(s); s != "" {
			items = append(items, s)
		}
	}
	return items
}

// A copier writes files of selected rows and remembers them.
type copier struct {
	ws        *workspace
	to        store.Store
	selection export.Selection
	tables    []table.Table
	made      []string
	withheld  []string // tables of which nothing may be copied
}

func (c *copier) run(ctx context.Context, e exporting) error {
	c.tables = slices.DeleteFunc(c.tables, func(t table.Table) bool {
		if c.selection.Allows(t) {
			return false
		}
		c.withheld = append(c.withheld, t.Name)
		return true
	})
	if e.customer {
		return c.customer(ctx)
	}
	if e.format == "xlsx" {
		return c.workbook(ctx, "tables.xlsx", c.tables)
	}
	for _, t := range c.tables {
		if err := c.table(ctx, t.Name+"."+e.format, t, e.format); err != nil {
			return err
		}
	}
	return nil
}

// customer writes a customer's package.
func (c *copier) customer(ctx context.Context) error {
	results := slices.DeleteFunc(slices.Clone(c.tables), func(t table.Table) bool { return slices.Contains(bulky, t.Name) })
	if err := c.workbook(ctx, "results.xlsx", results); err != nil {
		return err
	}
	for _, t := range results {
		if err := c.table(ctx, "csv/"+t.Name+".csv", t, "csv"); err != nil {
			return err
		}
	}
	for _, t := range c.tables {
		if err := c.table(ctx, "parquet/"+t.Name+".parquet", t, "parquet"); err != nil {
			return err
		}
	}
	return c.put(ctx, "README.md", func(w io.Writer) error { return c.readme(w) })
}

func (c *copier) table(ctx context.Context, name string, t table.Table, format string) error {
	write := export.CSV
	if format == "parquet" {
		write = export.Parquet
	}
	return c.put(ctx, name, func(w io.Writer) error {
		return write(w, export.Columns(t), c.selection.Rows(ctx, c.ws.data, t))
	})
}

func (c *copier) workbook(ctx context.Context, name string, tables []table.Table) error {
	b, err := export.NewWorkbook()
	if err != nil {
		return err
	}
	for _, t := range tables {
		if err := b.Add(export.Columns(t), c.selection.Rows(ctx, c.ws.data, t)); err != nil {
			return errors.Join(err, b.Close())
		}
	}
	return errors.Join(c.put(ctx, name, b.Write), b.Close())
}

func (c *copier) put(ctx context.Context, name string, write func(io.Writer) error) error {
	c.made = append(c.made, name)
	return c.to.Put(ctx, name, write)
}

func (c *copier) readme(w io.Writer) error {
	var systems []string
	for _, id := range c.selection.Systems {
		s, _ := c.ws.register.System(id)
		systems = append(systems, "- "+strings.Join(slices.DeleteFunc([]string{id, s.Name, s.Site}, func(s string) bool { return s == "" }), ", "))
	}
	fmt.Fprintf(w, `# Measurements and results

Systems:

%s

Period: %s

results.xlsx has the results for a spreadsheet, its last sheet explains the columns; csv/ has the
same, a file for each table; parquet/ has every table, logged samples included, for programs.
Times are UTC. Rows that concern other systems too are left out.

%s
# The columns

`, strings.Join(systems, "\n"), period(c.selection), caution)
	var tables []table.Table
	for _, t := range c.tables {
		tables = append(tables, export.Columns(t))
	}
	return table.Document(w, tables)
}

func period(s export.Selection) string {
	from, to := "the beginning", "the newest"
	if !s.From.IsZero() {
		from = s.From.Format(time.DateOnly)
	}
	if !s.To.IsZero() {
		to = s.To.AddDate(0, 0, -1).Format(time.DateOnly)
	}
	return from + " to " + to
}

func (c *copier) tell(out *console, folder string) {
	if out.json {
		out.print(map[string]any{"folder": folder, "files": c.made, "withheld": c.withheld})
		return
	}
	for _, name := range c.made {
		fmt.Fprintln(out.out, "made", filepath.Join(folder, filepath.FromSlash(name)))
	}
	if len(c.withheld) > 0 {
		fmt.Fprintf(out.out, "not copied, since no row of theirs says whose it is: %s\n", strings.Join(c.withheld, ", "))
	}
}
