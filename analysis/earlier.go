package analysis

import (
	"context"
	"math"
	"slices"
	"strings"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/steady"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// earlierMonths is how many months with visits, before one, tell it how much the machine
// scatters at rest: as many as visits are looked back upon.
const earlierMonths = 4

// earlierOf lists the samples of the last months before one in which somebody came for a
// visit; none where nobody came for one in it.
func earlierOf(g dataset.Generation, id string, m dataset.Month, uploads map[string][]filed) []dataset.File {
	if !visited(uploads[m.Name]) {
		return nil
	}
	var months []string
	for name, part := range uploads {
		if name < m.Name && visited(part) {
			months = append(months, name)
		}
	}
	slices.Sort(months)
	var files []dataset.File
	for _, name := range months[max(0, len(months)-earlierMonths):] {
		if f, ok := g.File(table.Samples().Path(id, name)); ok {
			files = append(files, f)
		}
	}
	return files
}

// visited tells whether an upload of a month is of a visit, by how long it lasts.
func visited(uploads []filed) bool {
	return slices.ContainsFunc(uploads, func(u filed) bool {
		return u.brief.First == math.MinInt64 || u.brief.Last-u.brief.First <= (24*time.Hour).Microseconds()
	})
}

// identities of files in canonical text, for fingerprints.
func identities(files []dataset.File) string {
	var text strings.Builder
	for _, f := range files {
		text.WriteString(f.Path + " " + f.SHA256 + "\n")
	}
	return text.String()
}

// earlier is what visits before a filling's part of a month tell of the machine as it is
// filled.
func (s *Stage) earlier(ctx context.Context, p filling, m monthPlan) (out steady.Earlier, err error) {
	for _, file := range m.earlier {
		times, err := s.Dataset.ReadFile(ctx, file, "time")
		if err != nil {
			return nil, err
		}
		if times = times.Between("time", p.from, p.to); !steady.HasVisits(times.Times("time"), s.Options.steady()) {
			continue
		}
		f, err := s.Dataset.ReadFile(ctx, file, cycle.Needed()...)
		if err != nil {
			return nil, err
		}
		out = out.And(s.learn(p, f.Between("time", p.from, p.to)))
	}
	return out, nil
}

// learn is what the visits in a frame of samples tell of how much the machine scatters.
func (s *Stage) learn(p filling, f *frame.Frame) steady.Earlier {
	circuit, err := cycle.NewCircuit(p.system)
	if err != nil {
		circuit.Refrigerant = nil // the register's problem says so
	}
	columns := cycle.Read(f, nil)
	circuit.Derive(columns, 0, 0)
	return steady.Learn(columns, p.system.Zone, s.Options.steady())
}
