package analysis

import (
	"cmp"
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
// visit; none where nobody came for one in it. came are all months in which somebody did.
func earlierOf(g dataset.Generation, id string, m dataset.Month, came []string) (files []dataset.File) {
	n, visited := slices.BinarySearch(came, m.Name)
	if !visited {
		return nil
	}
	for _, name := range came[max(0, n-earlierMonths):n] {
		if f, ok := g.File(table.Samples().Path(id, name)); ok {
			files = append(files, f)
		}
	}
	return files
}

// visitGap is how far apart samples are that belong to different visits.
func (s *Stage) visitGap() time.Duration {
	o := s.Options.steady()
	o.EnsureDefaults()
	return o.VisitGap
}

// visitedIn are the months of uploads in which somebody came for a visit, in order.
func visitedIn(uploads map[string][]filed, gap time.Duration) (months []string) {
	for name, of := range uploads {
		if visited(of, gap) {
			months = append(months, name)
		}
	}
	slices.Sort(months)
	return months
}

// visited tells whether an upload of a month is of a visit: by how long those last together
// that follow each other without a gap, as the daily files of a logger that stays do.
func visited(uploads []filed, gap time.Duration) bool {
	inOrder := slices.SortedFunc(slices.Values(uploads), func(a, b filed) int { return cmp.Compare(a.brief.First, b.brief.First) })
	for len(inOrder) > 0 {
		from, to := inOrder[0].brief.First, inOrder[0].brief.Last
		if from == math.MinInt64 {
			return true // nobody knows when
		}
		for inOrder = inOrder[1:]; len(inOrder) > 0 && inOrder[0].brief.First-to <= gap.Microseconds(); inOrder = inOrder[1:] {
			to = max(to, inOrder[0].brief.Last)
		}
		if to-from <= (24 * time.Hour).Microseconds() {
			return true
		}
	}
	return false
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
