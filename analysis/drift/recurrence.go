package drift

import (
	"cmp"
	"slices"
	"strings"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Recurrences lists the faults that came back: a finding of a kind raised after one of the
// same kind was put right, by an act or as its answer confirms.
func Recurrences(findings []table.Finding) []table.Recurrence {
	sorted := slices.Clone(findings)
	slices.SortStableFunc(sorted, func(a, b table.Finding) int {
		return cmp.Or(cmp.Compare(a.System, b.System), cmp.Compare(a.Kind, b.Kind), a.RaisedOn.Compare(b.RaisedOn))
	})
	out := []table.Recurrence{}
	for i := 1; i < len(sorted); i++ {
		a, b := sorted[i-1], sorted[i]
		if a.System != b.System || a.Kind != b.Kind || !putRight(a) || !b.RaisedOn.After(a.ClearedOn) {
			continue
		}
		out = append(out, table.Recurrence{
			System: a.System, Kind: a.Kind, Finding: a.ID, EndedOn: a.ClearedOn, By: a.Reason, Again: b.ID, RaisedOn: b.RaisedOn,
			Days: int64(b.RaisedOn.Sub(a.ClearedOn).Hours() / 24),
		})
	}
	return out
}

// putRight tells whether somebody put a finding right, and not only later data.
func putRight(f table.Finding) bool {
	if f.ClearedOn.IsZero() {
		return false
	}
	if f.Answer == register.Confirmed.Text() {
		return true
	}
	p, ok := find(f.Kind)
	if !ok {
		return false
	}
	for k := register.Install; k <= register.Decommissioned; k++ {
		if p.closedBy(k) && strings.HasPrefix(f.Reason, k.String()+" on ") {
			return true
		}
	}
	return false
}
