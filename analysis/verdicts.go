package analysis

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"

	"rimelog/analysis/trust"
	"rimelog/pipeline/table"
)

// verdictsOf say what became of a system's uploads, of whose values these shares are stored.
func (s *Stage) verdictsOf(ctx context.Context, p *systemPlan, log trust.Record, stored map[string]float64) (out []table.UploadVerdict, err error) {
	readings, err := s.readings(ctx, p.generation)
	out = make([]table.UploadVerdict, 0, len(readings))
	for _, r := range readings {
		if !r.samples(p.system.ID) {
			continue // nothing of it stands in a visit
		}
		d := trust.Delivery{Upload: r.Upload, Path: r.Path, System: p.system.ID, First: r.first, Last: r.last, Stored: math.NaN()}
		if share, known := stored[r.Upload]; known {
			d.Stored = share
		}
		out = append(out, trust.Verdict(d, log))
	}
	return out, err
}

// storedOf is the share of each upload's values that is stored.
func storedOf(uploads []table.Upload) map[string]float64 {
	stored := map[string]float64{}
	for _, u := range uploads {
		stored[u.Upload] = trust.Stored(u)
	}
	return stored
}

// verdicts are those of all uploads: also of those that no system has samples of.
func verdicts(ofSystems [][]table.UploadVerdict, uploads []table.Upload) []table.UploadVerdict {
	out, told := slices.Concat(ofSystems...), make(map[string]bool, len(uploads))
	for i := range out {
		told[out[i].Upload] = true
	}
	for _, u := range uploads {
		if !told[u.Upload] {
			out = append(out, trust.Unread(u))
		}
	}
	return inOrder(out, func(a, b *table.UploadVerdict) int {
		return cmp.Or(cmp.Compare(a.System, b.System), cmp.Compare(a.Path, b.Path), cmp.Compare(a.Upload, b.Upload))
	})
}

// inOrder puts rows in order by their places: they are long to move.
func inOrder[Row any](rows []Row, order func(a, b *Row) int) []Row {
	places := make([]*Row, len(rows))
	for i := range rows {
		places[i] = &rows[i]
	}
	slices.SortFunc(places, order)
	out := make([]Row, len(rows))
	for i, p := range places {
		out[i] = *p
	}
	return out
}

// usesOf are visits as verdicts ask for them.
func usesOf(visits []table.Visit) []trust.Use {
	out := make([]trust.Use, len(visits))
	for i := range visits {
		v := &visits[i]
		out[i] = trust.Use{
			Start: v.Start, End: v.End, Use: v.Use, Reason: v.Reason, Judged: v.Judged, Logged: v.Logged, Off: v.Off, LeftOut: v.LeftOut,
			Fingerprint: v.Fingerprint, Engineer: v.Engineer, Doubt: v.Doubt,
		}
	}
	return out
}

// reviewed are all visits that were reviewed, by start: of each what noteSaid has.
func reviewed(ofVisits noted) (facts []trust.Facts, err error) {
	months := readMonthNotes(ofVisits.texts[noteSaid])
	for _, month := range slices.Sorted(maps.Keys(months)) {
		more, err := months.said(ofVisits.file, month)
		if err != nil {
			return nil, err
		}
		facts = append(facts, more...)
	}
	return facts, nil
}
