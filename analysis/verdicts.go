package analysis

import (
	"cmp"
	"context"
	"maps"
	"math"
	"slices"

	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// verdicts say what became of each upload, and how good the logs of each set of
// instruments and each engineer are.
func (s *Stage) verdicts(ctx context.Context, uploads []table.Upload) ([]table.UploadVerdict, []table.LogQuality, error) {
	stored := map[string]float64{}
	for _, u := range uploads {
		stored[u.Upload] = trust.Stored(u)
	}
	out := []table.UploadVerdict{}
	var book trust.Logbook
	told := map[string]bool{}
	for _, p := range s.systems {
		visits, facts, err := s.visited(ctx, p)
		if err != nil {
			return nil, nil, err
		}
		record := trust.NewRecord(visits, facts)
		book.Add(record)
		readings, err := s.readings(ctx, p.generation)
		if err != nil {
			return nil, nil, err
		}
		for _, r := range readings {
			d := trust.Delivery{Upload: r.Upload, Path: r.Path, System: p.system.ID, First: r.first, Last: r.last, Stored: math.NaN()}
			if share, known := stored[r.Upload]; known {
				d.Stored = share
			}
			out = append(out, trust.Verdict(d, record))
			told[r.Upload] = true
		}
	}
	for _, u := range uploads {
		if !told[u.Upload] {
			out = append(out, trust.Unread(u))
		}
	}
	slices.SortFunc(out, func(a, b table.UploadVerdict) int {
		return cmp.Or(cmp.Compare(a.System, b.System), cmp.Compare(a.Path, b.Path), cmp.Compare(a.Upload, b.Upload))
	})
	return out, book.Rows(), nil
}

// visited are the visits of a system and what the rules know of them.
func (s *Stage) visited(ctx context.Context, p *systemPlan) (visits []trust.Use, facts []trust.Facts, err error) {
	f, err := s.file(ctx, p.generation, p.visits)
	if err != nil {
		return nil, nil, err
	}
	if visits, err = read[trust.Use](ctx, s.Dataset, f); err != nil {
		return nil, nil, err
	}
	facts, err = s.said(ctx, f)
	return visits, facts, err
}

// said are all visits that were reviewed, by start, without their measures.
func (s *Stage) said(ctx context.Context, visits dataset.File) (facts []trust.Facts, err error) {
	text, _, err := s.Dataset.Note(ctx, visits, noteSaid)
	if err != nil {
		return nil, err
	}
	months := readMonthNotes(text)
	for _, month := range slices.Sorted(maps.Keys(months)) {
		more, err := months.facts(visits, month)
		if err != nil {
			return nil, err
		}
		facts = append(facts, more...)
	}
	return facts, nil
}
