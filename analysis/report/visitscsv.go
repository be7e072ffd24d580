package report

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"rimelog/pipeline/table"
)

// VisitsCSV returns the visit list as a file for spreadsheets: UTF-8 with a byte
// order mark, commas, a point as decimal mark, one row for each open finding.
func (f Fleet) VisitsCSV() ([]byte, error) {
	b := bytes.NewBufferString("\ufeff")
	w := csv.NewWriter(b)
	w.UseCRLF = true
	rows := [][]string{{"rank", "site", "system", "name", "refrigerant", "suspicion", "feature", "size_k", "size_lo_k", "size_hi_k",
		"suspected_since", "next_check", "take_along", "caution", "also_log_there", "checks_due_there"}}
	for _, s := range f.visits().Sites {
		var also []string
		for _, l := range s.Logs {
			also = append(also, l.ID)
		}
		var checks []string
		for _, k := range s.Checks {
			checks = append(checks, k.ID+": "+k.What+", "+k.When)
		}
		for _, c := range s.Calls {
			for _, x := range c.system.open() {
				rows = append(rows, c.row(x, s.Name, strings.Join(also, " "), strings.Join(checks, "; ")))
			}
		}
	}
	if err := w.WriteAll(rows); err != nil {
		return nil, fmt.Errorf("write visits.csv: %w", err)
	}
	return b.Bytes(), nil
}

func (c call) row(f table.Finding, site, also, checks string) []string {
	return []string{strconv.FormatInt(f.Rank, 10), cell(site), cell(c.ID), cell(c.Title), cell(c.Refrigerant), cell(suspicion(f)), cell(featureName(f.Feature)),
		decimal(f.Size), decimal(f.SizeLo), decimal(f.SizeHi), date(f.Suspected), cell(nextCheck(f)), cell(strings.Join(c.Take, "; ")), cell(c.Caution), cell(also), cell(checks)}
}

// cell is text that no spreadsheet takes for a formula.
func cell(s string) string {
	s = strings.ReplaceAll(s, "\u00a0", " ")
	if s != "" && strings.ContainsAny(s[:1], "=+-@\t\r") {
		return "'" + s
	}
	return s
}

func decimal(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', 2, 64)
}

func date(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.DateOnly)
}
