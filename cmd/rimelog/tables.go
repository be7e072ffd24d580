package main

import (
	"context"
	"flag"
	"fmt"
	"strings"

	"rimelog/pipeline/table"
)

func tablesCommand() command {
	return command{
		name: "tables", takes: "[TABLE...]",
		short: "explains the dataset's tables: every column, its unit, meaning, method and uncertainty",
		long: `Without an operand it lists the tables and how other programs open them; with the names of
some it explains their columns. With -markdown it writes a page to keep beside a notebook. What
it prints comes from the same definitions as the files themselves.

  rimelog tables                         all tables, and how to open them
  rimelog tables visits findings         every column of two of them
  rimelog tables -markdown > TABLES.md   everything, as a page`,
		setup: func(fs *flag.FlagSet) action {
			markdown := fs.Bool("markdown", false, "write Markdown")
			return func(_ context.Context, out *console, operands []string) error {
				tables, err := tablesNamed(operands)
				switch {
				case err != nil:
					return err
				case out.json:
					out.print(tablesAsJSON(tables))
				case *markdown:
					return table.Document(out.out, tables)
				case len(operands) == 0:
					listTables(out, tables)
				default:
					explainTables(out, tables)
				}
				return nil
			}
		},
	}
}

// tablesNamed finds tables by name, all where none is named.
func tablesNamed(names []string) ([]table.Table, error) {
	return pick(table.All(), names, func(t table.Table) string { return t.Name }, "there is no table %q; there are %s")
}

// pick finds things by name, in the order of the names; all where none is named.
// Unknown is the message for a name that nothing has, with the names there are.
func pick[T any](all []T, names []string, nameOf func(T) string, unknown string) ([]T, error) {
	if len(names) == 0 {
		return all, nil
	}
	byName, known := map[string]T{}, []string(nil)
	for _, x := range all {
		byName[nameOf(x)], known = x, append(known, nameOf(x))
	}
	var picked []T
	for _, n := range names {
		x, ok := byName[n]
		if !ok {
			return nil, usagef(unknown, n, strings.Join(known, ", "))
		}
		picked = append(picked, x)
	}
	return picked, nil
}

func listTables(out *console, tables []table.Table) {
	for _, t := range tables {
		fmt.Fprintf(out.out, "%-16s %s\n%-16s %d columns, %s\n", t.Name, t.Doc, "", len(t.Columns), t.Layout())
	}
	fmt.Fprintf(out.out, "\n`rimelog tables NAME` explains a table's columns.\n\n%s", table.Reading)
}

func explainTables(out *console, tables []table.Table) {
	for i, t := range tables {
		if i > 0 {
			fmt.Fprintln(out.out)
		}
		fmt.Fprintf(out.out, "%s: %s\n%s\n", t.Name, t.Doc, t.Layout())
		if keys := t.Keys(); keys != nil {
			fmt.Fprintf(out.out, "from the path: %s\n", strings.Join(keys, ", "))
		}
		fmt.Fprintln(out.out)
		for _, c := range t.Columns {
			fmt.Fprintf(out.out, "  %s  %s\n      %s\n", c.Name, strings.Join(strings.Fields(c.Unit+" "+c.Stored()), " "), c.About())
		}
	}
}

// A tableDoc and its columnDocs are the JSON form of a table's documentation.
type (
	tableDoc struct {
		Name    string      `json:"name"`
		Doc     string      `json:"meaning"`
		Path    string      `json:"path"`
		Keys    []string    `json:"keys"` // columns that stand in the path
		Columns []columnDoc `json:"columns"`
	}
	columnDoc struct {
		Name        string `json:"name"`
		Type        string `json:"type"`
		Null        bool   `json:"null"`
		Unit        string `json:"unit"`
		Doc         string `json:"meaning"`
		Method      string `json:"method"`
		Uncertainty string `json:"uncertainty"`
		Source      string `json:"source"`
	}
)

func tablesAsJSON(tables []table.Table) map[string][]tableDoc {
	var all []tableDoc
	for _, t := range tables {
		j := tableDoc{Name: t.Name, Doc: t.Doc, Path: t.Layout(), Keys: t.Keys()}
		for _, c := range t.Columns {
			j.Columns = append(j.Columns, columnDoc{c.Name, c.Stored(), c.Null, c.Unit, c.Doc, c.Method, c.Uncertainty, c.Source})
		}
		all = append(all, j)
	}
	return map[string][]tableDoc{"tables": all}
}
