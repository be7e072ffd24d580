package analysis

import (
	"fmt"
	"slices"
	"time"

	"rimelog/pipeline/table"
)

// slackOfDay is how far behind midnight UTC a day that is still going on, by the clock of a
// site, may reach.
const slackOfDay = 2 * around

// ahead says where visits of a system are later than the day that the fleet is judged on:
// no clock that is right shows a time to come. Without a day given nobody can tell.
func (s *Stage) ahead(id string, visits []table.Visit) []table.Problem {
	if s.AsOf.IsZero() {
		return nil
	}
	i := slices.IndexFunc(visits, func(v table.Visit) bool { return v.Start.After(s.AsOf.Add(slackOfDay)) })
	if i < 0 {
		return nil
	}
	first, last := visits[i].Start, visits[len(visits)-1].Start
	return []table.Problem{{
		Place: "dataset/visits/system=" + id, System: id, Weight: doubt, Visit: first,
		Problem: fmt.Sprintf("its samples reach to %s, which is later than %s, the day that this is judged on: first on %s",
			last.UTC().Format(time.DateOnly), s.AsOf.Format(time.DateOnly), first.UTC().Format(time.DateOnly)),
		Remedy: "unless an earlier day was asked for, the logger's clock was ahead: set it, withdraw the file (rimelog forget) and log again, or export it with the right time",
	}}
}
