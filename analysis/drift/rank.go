package drift

import (
	"cmp"
	"math"
	"slices"

	"rimelog/analysis/robust"
	"rimelog/pipeline/table"
)

// Rank orders the findings of a fleet in place and numbers the open ones from 1:
// the most urgent first, then those that are answered or closed, the latest first. How urgent
// is how many times the least effect worth a visit will have been reached a
// quarter of a year from now; lost charge counts double, since it also escapes. Where
// weights are given, what waiting costs comes first (Outlook).
func Rank(findings []table.Finding) {
	slices.SortStableFunc(findings, func(a, b table.Finding) int {
		if (a.State == Open) != (b.State == Open) {
			if a.State == Open {
				return -1
			}
			return 1
		}
		if a.State != Open {
			return cmp.Or(cmp.Or(b.ClearedOn, b.ChangedOn).Compare(cmp.Or(a.ClearedOn, a.ChangedOn)), cmp.Compare(a.ID, b.ID))
		}
		return cmp.Or(cmp.Compare(robust.OrZero(b.Waiting), robust.OrZero(a.Waiting)), cmp.Compare(urgency(b), urgency(a)), cmp.Compare(a.ID, b.ID))
	})
	for i := range findings {
		findings[i].Rank = 0
		if findings[i].State == Open {
			findings[i].Rank = int64(i + 1)
		}
	}
}

func urgency(f table.Finding) float64 {
	if f.Kind == LowFromTheStart {
		return math.Abs(f.Size) / lowBy
	}
	for _, k := range standings() {
		if k.kind == f.Kind {
			return k.urgency
		}
	}
	p, ok := find(f.Kind)
	if !ok {
		return 0
	}
	soon := math.Abs(f.Size+robust.OrZero(f.PerYear)/4) / p.least(f.Feature) // no rate: it came at once
	if f.Kind == ChargeLoss {
		return 2 * soon
	}
	return soon
}
