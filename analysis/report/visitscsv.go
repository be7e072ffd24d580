package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// VisitsCSV returns the visit list as a file for spreadsheets: UTF-8 with a byte
// order mark, one row for each open finding; commas and a decimal point or, in a
// language with a decimal comma, semicolons. The head names the unit of each size.
func (w *Writer) VisitsCSV(f Fleet) ([]byte, error) { return f.in(w.say).visitsCSV() }

func (f Fleet) visitsCSV() ([]byte, error) {
	b := bytes.NewBufferString("\ufeff")
	w := csv.NewWriter(b)
	w.UseCRLF, w.Comma = true, f.say.Separator()
	unit := "_" + map[bool]string{false: "k", true: "f"}[f.say.Units().InchPound]
	rows := [][]string{{"rank", "site", "system", "name", "refrigerant", "suspicion", "feature", "size" + unit, "size_lo" + unit, "size_hi" + unit,
		"suspected_since", "next_check", "take_along", "caution", "also_log_there", "checks_due_there", "area", "checks_due_nearby"}}
	for _, s := range f.visits().Sites {
		var also []string
		for _, l := range s.Logs {
			also = append(also, l.ID)
		}
		checks, nearby := checkCells(s.Checks), []string{}
		for _, n := range s.Nearby {
			nearby = append(nearby, checkCells(n.Checks)...)
		}
		for _, c := range s.Calls {
			for _, x := range c.system.open() {
				rows = append(rows, c.row(f.say, x, s.Name, strings.Join(also, " "), strings.Join(checks, "; "), s.Area, strings.Join(nearby, "; ")))
			}
		}
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, fmt.Errorf("write visits.csv: %w", err)
	}
	return b.Bytes(), nil
}

// checkCells are checks as a cell of the file writes them.
func checkCells(checks []checkRow) (out []string) {
	for _, k := range checks {
		out = append(out, k.ID+": "+k.What+", "+k.When)
	}
	return out
}

func (c call) row(l say.Locale, f table.Finding, site, also, checks, area, nearby string) []string {
	feature, size, lo, hi := featureName(l, f.Feature), f.Size, f.SizeLo, f.SizeHi
	if measured(f.Feature).of != say.Difference { // no column is of its unit
		feature, size, lo, hi = moved(l, f), math.NaN(), math.NaN(), math.NaN()
	}
	return []string{strconv.FormatInt(f.Rank, 10), cell(site), cell(c.ID), cell(c.Title), cell(c.Refrigerant), cell(suspicion(l, f)), cell(feature),
		l.Plain(say.Difference, size, 2), l.Plain(say.Difference, lo, 2), l.Plain(say.Difference, hi, 2), date(f.Suspected), cell(nextCheck(l, f)), cell(strings.Join(c.Take, "; ")), cell(c.Caution), cell(also), cell(checks), cell(area), cell(nearby)}
}

// cell is text that no spreadsheet takes for a formula.
func cell(s string) string {
	s = strings.ReplaceAll(s, "\u00a0", " ")
	if s != "" && strings.ContainsAny(s[:1], "=+-@\t\r") {
		return "'" + s
	}
	return s
}

func date(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.DateOnly)
}
