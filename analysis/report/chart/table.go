package chart

import (
	"slices"
	"strings"

	"rimelog/analysis/say"
)

// A Table is the figures behind a chart, as written.
type Table struct {
	Caption string
	Head    []string
	Rows    [][]string
}

// Known leaves out the columns in which nothing is known, and names them in the caption.
func (t Table) Known(l say.Locale) Table {
	out := Table{Caption: t.Caption, Rows: make([][]string, len(t.Rows))}
	var unknown []string
	for i, head := range t.Head {
		if len(t.Rows) > 0 && !slices.ContainsFunc(t.Rows, func(row []string) bool { return row[i] != "" && row[i] != "\u2013" }) {
			unknown = append(unknown, l.Lower(head))
			continue
		}
		out.Head = append(out.Head, head)
		for k, row := range t.Rows {
			out.Rows[k] = append(out.Rows[k], row[i])
		}
	}
	if len(unknown) > 0 {
		out.Caption += ". " + l.Text("Nothing is known of: %s", strings.Join(unknown, ", "))
	}
	return out
}
