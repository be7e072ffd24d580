package analysis

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strconv"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/energy"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A fleetPlan is the tables of the fleet, with what they are made from.
type fleetPlan struct {
	generation                     dataset.Generation
	asOf                           time.Time
	uploads                        []table.Upload
	problems                       []table.Problem
	findingsTo, uploadsTo, quality result
	verdicts, logs                 result
	priors, baselines              result
	peers, instruments             result
	recurrences, coverage, steps   result
	ranking                        result

	newest time.Time              // sample of all systems
	judged map[string][]time.Time // visits that trends are judged by, of each system; nil until they are gathered
}

func (p fleetPlan) results() []result {
	return []result{p.findingsTo, p.uploadsTo, p.verdicts, p.quality, p.logs, p.ranking, p.priors, p.baselines, p.peers, p.instruments, p.recurrences, p.coverage, p.steps}
}

// planRank plans one job: to order the fleet.
func (s *Stage) planRank(ctx context.Context) ([]pipeline.Job, error) {
	var p fleetPlan
	var err error
	if p.generation, err = s.Dataset.Newest(ctx, dataset.FleetUnit); err != nil {
		return nil, err
	}
	if p.newest, err = s.newestSample(ctx); err != nil {
		return nil, err
	}
	p.asOf = s.asOf(p.newest)
	if s.Account != nil {
		if p.uploads, p.problems, err = s.Account(ctx); err != nil {
			return nil, err
		}
	}
	if err := s.address(&p); err != nil {
		return nil, err
	}
	p.ranking = s.planRanking()
	s.fleet = p
	return []pipeline.Job{{
		Key:  pipeline.Key{Step: StepRank.Name, Unit: dataset.FleetUnit},
		Done: func(ctx context.Context) (bool, error) { return s.ranked(ctx, p) },
		Do:   func(ctx context.Context) error { return s.rank(ctx, p) },
	}}, nil
}

// address gives the fleet's tables their fingerprints.
func (s *Stage) address(p *fleetPlan) error {
	account := sha256.Sum256(frame.Pack(frame.Pack(nil, p.uploads), p.problems))
	from := s.digestOf(StepRank, func(h pipeline.Hasher) {
		for _, sys := range s.systems {
			h.Add("system", sys.system.ID)
			h.Add("trends", string(sys.trends.fp))
			h.Add("energy", string(sys.energy.days.fp)) // its data errors stand in quality
		}
		h.Add("account", hex.EncodeToString(account[:]))
		h.Add("options", s.Options.drift().Key())
		h.Add("register", s.Register.FleetRows())
		h.Add("as of", p.asOf.Format(time.DateOnly))
	})
	for to, t := range map[*result]table.Table{
		&p.findingsTo: table.Findings(), &p.uploadsTo: table.Uploads(), &p.quality: table.Quality(),
		&p.verdicts: table.UploadVerdicts(), &p.priors: table.Priors(), &p.baselines: table.Baselines(),
		&p.peers: table.PeersCompared(), &p.instruments: table.InstrumentsCompared(), &p.recurrences: table.Recurrences(), &p.coverage: table.Coverages(), &p.steps: table.StepsSeen(), &p.logs: table.LogQualities(),
	} {
		*to = s.resultOf(StepRank, t.Path("", ""), func(h pipeline.Hasher) { h.Add("from", from) })
	}
	return nil
}

func (s *Stage) ranked(ctx context.Context, p fleetPlan) (bool, error) {
	for _, r := range p.results() {
		done, err := s.Dataset.Done(ctx, p.generation, r.fp, r.path)
		if err != nil || !done {
			return false, err
		}
	}
	return true, nil
}

// rank makes the tables of the fleet.
func (s *Stage) rank(ctx context.Context, p fleetPlan) error {
	g, err := s.gather(ctx, p)
	if err != nil {
		return err
	}
	s.fleet.judged = g.judged
	findings := append(g.findings, s.unlogged(p.asOf)...)
	findings = append(findings, s.undated(g.peers, p.asOf)...)
	s.outlook(findings)
	drift.Rank(findings)
	baselines, priors := g.peers.baselines(findings, p.asOf)
	return firstOf(
		func() error { return s.compareFleet(ctx, p, g.peers, findings, baselines, priors) },
		func() error { return stageRows(ctx, s.Dataset, p.priors, table.Priors(), priors) },
		func() error { return stageRows(ctx, s.Dataset, p.baselines, table.Baselines(), baselines) },
		func() error {
			return stageRows(ctx, s.Dataset, p.verdicts, table.UploadVerdicts(), verdicts(g.verdicts, p.uploads))
		},
		func() error { return stageRows(ctx, s.Dataset, p.logs, table.LogQualities(), g.book.Rows()) },
		func() error {
			return stageRows(ctx, s.Dataset, p.ranking, table.Rankings(), energy.RankingRows(g.compared, s.Options.energy()))
		},
		func() error { return stageRows(ctx, s.Dataset, p.findingsTo, table.Findings(), findings) },
		func() error { return stageRows(ctx, s.Dataset, p.uploadsTo, table.Uploads(), p.uploads) },
		func() error {
			return stageRows(ctx, s.Dataset, p.quality, table.Quality(), s.problems(p.problems, g.problems))
		},
	)
}

func firstOf(steps ...func() error) error {
	for _, do := range steps {
		if err := do(); err != nil {
			return err
		}
	}
	return nil
}

func stageRows[Row any](ctx context.Context, d *dataset.Dataset, r result, t table.Table, rows []Row) error {
	f, err := frame.FromRows(t, rows)
	if err != nil {
		return err
	}
	_, err = d.StageFrame(ctx, r.fp, r.step, r.path, f, nil)
	return err
}

// The weights of a problem, as they stand in the table.
const (
	leftOut = "left out"
	doubt   = "doubt"
)

// problems adds what the register and the analysis found to what is wrong with
// uploads.
func (s *Stage) problems(ofUploads, ofSystems []table.Problem) []table.Problem {
	out := slices.Clone(ofUploads)
	for _, e := range s.Register.Problems {
		out = append(out, table.Problem{Place: e.Place(), System: e.System, Problem: e.What(), Remedy: e.Remedy, Weight: leftOut})
	}
	out = append(append(out, s.unheard()...), ofSystems...)
	byPlace(out)
	return out
}

// toldOfRefrigerant tells whether the register says already that a system's refrigerant is none that
// is known, with its line and what was written there.
func (s *Stage) toldOfRefrigerant(id string) bool {
	return slices.ContainsFunc(s.Register.Problems, func(e *register.RowError) bool {
		return e.System == id && e.File == "register/systems.csv" && e.Column == "refrigerant"
	})
}

// problemsOf is what is wrong with a system, as its results tell.
func (s *Stage) problemsOf(ctx context.Context, p *systemPlan, r systemResults) ([]table.Problem, error) {
	id := p.system.ID
	if !p.known {
		return []table.Problem{{
			Place: "register/systems.csv", System: id, Weight: leftOut,
			Problem: "there are samples of a system that is not in the register",
			Remedy:  fmt.Sprintf("write a line for %s with its refrigerant", id),
		}}, nil
	}
	doubted, err := doubted(id, r.ofVisits)
	if err != nil {
		return nil, err
	}
	if p.system.RefrigerantName == "" && s.toldOfRefrigerant(id) {
		return doubted, nil
	}
	if p.system.RefrigerantName == "" {
		return append([]table.Problem{{
			Place: "register/systems.csv", System: id, Weight: leftOut,
			Problem: "the refrigerant is not known: superheat, subcooling and all else that follows from pressures are not shown; slow change is judged by a refrigerant that the visits fit, where there is one",
			Remedy:  fmt.Sprintf("write the refrigerant into the line of %s", id),
		}}, doubted...), nil
	}
	var out []table.Problem
	for _, l := range s.lacks(ctx, p) {
		out = append(out, table.Problem{
			Place: "dataset/samples/system=" + id, System: id, Weight: doubt,
			Problem: fmt.Sprintf("%s could not be worked out for %d rows, first on %s: %s", l.Quantity, l.Rows, time.UnixMicro(l.First).UTC().Format(time.DateOnly), l.Reason),
			Remedy:  "look at the channel's unit, pressure reference and refrigerant in the register",
		})
	}
	out = append(out, doubted...)
	wrong, err := energyProblems(id, r.ofDays)
	if err != nil {
		return nil, err
	}
	out = append(out, wrong...)
	var few sparse
	if err := r.ofVisits.into(noteSparse, &few); err != nil {
		return nil, err
	}
	if problem, ok := few.problem(id); ok {
		out = append(out, problem)
	}
	var visits []unused
	if err := r.ofVisits.into(noteUnused, &visits); err != nil {
		return nil, err
	}
	for _, v := range visits {
		out = append(out, table.Problem{
			Place: "register/events.csv", System: id, Weight: doubt,
			Problem: fmt.Sprintf("the visit of %s is not used for trends: %s", v.Start.Format(time.DateOnly), v.Reason),
			Remedy:  "write the time of day of the event",
			Visit:   v.Start,
		})
	}
	return out, nil
}

// lacks sums the lacks of all months by quantity; the first reason stands for all.
func (s *Stage) lacks(ctx context.Context, p *systemPlan) []lack {
	var out []lack
	at := map[string]int{}
	for _, m := range p.windows {
		f, _ := p.generation.File(m.path)
		var month []lack
		if s.noted(ctx, f, noteLacks, &month) != nil {
			continue
		}
		for _, l := range month {
			if i, seen := at[l.Quantity]; seen {
				out[i].Rows += l.Rows
				continue
			}
			at[l.Quantity] = len(out)
			out = append(out, l)
		}
	}
	return out
}

// commitFleet makes the tables of the fleet and of the records the newest ones, in one step.
func (s *Stage) commitFleet(ctx context.Context) error {
	g := s.fleet.generation
	g.Inputs = map[string]string{"as of": s.fleet.asOf.Format(time.DateOnly)}
	for _, p := range s.systems {
		g.Inputs[dataset.SystemUnit(p.system.ID)] = strconv.Itoa(p.generation.N)
	}
	return s.commit(ctx, &g, slices.Concat(s.fleet.results(), s.records.results()))
}
