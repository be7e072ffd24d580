package analysis

import (
	"context"
	"slices"

	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// ownDifferences are the headers under which a file's logger wrote superheat or
// subcooling of its own.
func ownDifferences(columns []decided) (headers []string) {
	for _, c := range columns {
		if _, is := trust.DifferenceOf(c.Name); is && c.Channel == "extra" {
			headers = append(headers, c.Name)
		}
	}
	return headers
}

// logged reads the differences of a month that loggers worked out by themselves.
func (s *Stage) logged(ctx context.Context, m monthPlan) ([]trust.Logged, error) {
	if m.extras.Path == "" {
		return nil, nil
	}
	rows, err := read[table.Extra](ctx, s.Dataset, m.extras)
	if err != nil {
		return nil, err
	}
	var out []trust.Logged
	for _, r := range rows { // in time order
		of, is := trust.DifferenceOf(r.Header)
		if !is || r.Number != r.Number {
			continue
		}
		i := slices.IndexFunc(out, func(l trust.Logged) bool { return l.Header == r.Header })
		if i < 0 {
			i = len(out)
			out = append(out, trust.Logged{Header: r.Header, Of: of})
		}
		out[i].Time, out[i].Value = append(out[i].Time, r.Time.UnixMicro()), append(out[i].Value, r.Number)
	}
	return out, nil
}

// extrasOf is the file of extras of a month, if a logger wrote differences of its own
// into it.
func extrasOf(g dataset.Generation, id, month string, sources []source) (f dataset.File) {
	if slices.ContainsFunc(sources, func(s source) bool { return len(s.told.differences) > 0 }) {
		f, _ = g.File(table.Extras().Path(id, month))
	}
	return f
}
