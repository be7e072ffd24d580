package analysis

import (
	"context"
	"runtime"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"

	"rimelog/analysis/drift"
	"rimelog/analysis/energy"
	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// A gathered is what the tables of the fleet take from its systems, in the systems' order.
type gathered struct {
	findings []table.Finding // of each system by itself, not ranked yet
	peers    *peerage
	book     trust.Logbook
	verdicts [][]table.UploadVerdict // of each system
	problems []table.Problem
	compared []energy.Entry
	judged   map[string][]time.Time // visits that trends are judged by
}

// A testimony is what one system says for the tables of the fleet.
type testimony struct {
	findings []table.Finding
	record   drift.Record
	seen     table.Coverage
	log      trust.Record
	verdicts []table.UploadVerdict
	problems []table.Problem
	compared energy.Entry
	judged   []time.Time
}

// heardTogether is how many systems are heard before what they say is taken: it bounds what
// lives at a time.
const heardTogether = 32

// gather hears every system, as many at a time as there are processors.
func (s *Stage) gather(ctx context.Context, p fleetPlan) (*gathered, error) {
	g := &gathered{
		findings: []table.Finding{}, judged: map[string][]time.Time{},
		peers: &peerage{taught: map[string][]table.Prior{}, seen: map[string]table.Coverage{}},
	}
	stored := storedOf(p.uploads)
	for some := range slices.Chunk(s.systems, heardTogether) {
		s.quote(ctx, some)
		said, err := allOf(some, func(sys *systemPlan) (testimony, error) { return s.hear(ctx, sys, p.asOf, stored) })
		if err != nil {
			return nil, err
		}
		for i, sys := range some {
			g.take(sys.system.ID, said[i])
		}
	}
	return g, nil
}

func (g *gathered) take(id string, t testimony) {
	g.findings = append(g.findings, t.findings...)
	g.peers.records = append(g.peers.records, t.record)
	g.peers.seen[id] = t.seen
	g.book.Add(t.log)
	g.verdicts = append(g.verdicts, t.verdicts)
	g.problems = append(g.problems, t.problems...)
	g.compared = append(g.compared, t.compared)
	g.judged[id] = t.judged
}

// hear asks a system what it says on a day. Of its uploads' values these shares are stored.
func (s *Stage) hear(ctx context.Context, p *systemPlan, asOf time.Time, stored map[string]float64) (t testimony, err error) {
	r, err := s.resultsOf(ctx, p)
	if err != nil {
		return t, err
	}
	id, o := p.system.ID, s.Options.drift()
	events, answers := s.repaired(id), s.Register.Answers(id)
	t.findings = append(
		drift.Findings(p.system, events, answers, r.trends, r.causes, asOf, o),
		drift.Present(p.system, s.Register.Limits(id), answers, r.conditions, signsOf(r.days), asOf, o)...)
	t.record, t.seen = drift.NewRecord(p.system, events, r.visits, o), drift.Seen(p.system, r.visits, asOf, o)
	t.compared, t.judged = s.compared(p, r.seasons, r.days), judgedIn(r.visits)
	facts, err := reviewed(r.ofVisits)
	if err != nil {
		return t, err
	}
	t.log = trust.NewRecord(usesOf(r.visits), facts)
	if t.verdicts, err = s.verdictsOf(ctx, p, t.log, stored); err != nil {
		return t, err
	}
	t.problems, err = s.problemsOf(ctx, p, r)
	t.problems = append(t.problems, s.ahead(id, r.visits)...)
	return t, err
}

// systemResults are the results of a system that the fleet's tables rest on.
type systemResults struct {
	trends           []table.Trend
	causes           []table.Cause
	conditions       []table.Condition
	visits           []table.Visit
	seasons          []table.Season
	days             []table.EnergyDay
	ofVisits, ofDays noted
}

// resultsOf takes them from the system's excerpt, or else reads them, the rows of each file once.
func (s *Stage) resultsOf(ctx context.Context, p *systemPlan) (systemResults, error) {
	if len(p.quoted) > 0 {
		r, ok := p.excerpted(p.quoted)
		if p.quoted = nil; ok {
			return r, nil
		}
	}
	return s.readResults(ctx, p)
}

func (s *Stage) readResults(ctx context.Context, p *systemPlan) (r systemResults, err error) {
	err = firstOf(
		func() error { return gatherRows(ctx, s, p, p.trends, &r.trends, nil) },
		func() error { return gatherRows(ctx, s, p, p.causes, &r.causes, nil) },
		func() error { return gatherRows(ctx, s, p, p.conditions, &r.conditions, nil) },
		func() error { return gatherRows(ctx, s, p, p.energy.seasons, &r.seasons, nil) },
		func() error { return gatherRows(ctx, s, p, p.visits, &r.visits, nil) },
		func() error { return gatherRows(ctx, s, p, p.energy.days, &r.days, nil) },
		func() (err error) {
			r.ofVisits, err = s.notedOf(ctx, p, p.visits, ofVisitsNoted...)
			return err
		},
		func() (err error) { r.ofDays, err = s.notedOf(ctx, p, p.energy.days, ofDaysNoted...); return err },
	)
	return r, err
}

// A noted is what a step says of its file, by the names of notes.
type noted struct {
	file  dataset.File
	texts map[string]string
}

// notedOf is what the job that made a result says of it.
func (s *Stage) notedOf(ctx context.Context, p *systemPlan, r result, names ...string) (noted, error) {
	f, err := s.file(ctx, p.generation, r)
	if err != nil {
		return noted{}, err
	}
	texts, err := s.Dataset.Notes(ctx, f, func(name string) bool { return slices.Contains(names, name) })
	return noted{f, texts}, err
}

// into reads a note as JSON; an absent one leaves v as it is.
func (n noted) into(name string, v any) error {
	text, ok := n.texts[name]
	if !ok {
		return nil
	}
	return unmarshal(n.file, name, text, v)
}

// allOf does something with each of several, as many at a time as there are processors.
func allOf[In, Out any](list []In, do func(In) (Out, error)) ([]Out, error) {
	out := make([]Out, len(list))
	var all errgroup.Group
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i, in := range list {
		all.Go(func() (err error) { out[i], err = do(in); return err })
	}
	return out, all.Wait()
}
