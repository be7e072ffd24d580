package analysis

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	gojson "github.com/goccy/go-json"

	"rimelog/analysis/records"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The steps of the stage. A version is raised by hand when the bytes change that
// a step makes.
var (
	StepWindows = pipeline.Step{Name: "windows", Version: 31}
	StepVisits  = pipeline.Step{Name: "visits", Version: 36}
	StepJudge   = pipeline.Step{Name: "judge", Version: 57}
	StepRank    = pipeline.Step{Name: "rank", Version: 72}
)

// An Account says what became of every upload, for the tables uploads and quality.
type Account func(context.Context) ([]table.Upload, []table.Problem, error)

// A Stage ties the analysis to a workspace.
type Stage struct {
	Dataset  *dataset.Dataset
	Register *register.Register
	Options  Options
	AsOf     time.Time // the day on which findings are judged; zero: that of the newest sample or event
	Account  Account   // nil where nobody knows about uploads
	Rules    records.Rules
	Owns     func(system string) bool // the systems of one of several workers; nil: all
	// Vouched are generations, by unit, of which whoever made them says that they have all
	// results of SystemRounds: what these rest on need not be worked out again.
	Vouched map[string]int
	// Excerpts tells that WriteExcerpts follows SystemRounds.
	Excerpts bool
	// Excerpted gives what WriteExcerpts wrote of a system's generation; it is asked by rising
	// ID, one at a time. Nil: nothing was written.
	Excerpted func(ctx context.Context, system string, generation int) (body []byte, ok bool)

	systems []*systemPlan
	recent  recent
	columns sync.Pool // of *cycle.Columns, to be filled again
	logs    sync.Pool // of *energy.Log, the same
	shared  sharedSources
	kept    atomic.Int64 // bytes for excerpts
	fleet   fleetPlan
	records recordsPlan
}

// NewStage returns the stage of a workspace.
func NewStage(data *dataset.Dataset, reg *register.Register, o Options, asOf time.Time, account Account) *Stage {
	return &Stage{Dataset: data, Register: reg, Options: o, AsOf: asOf, Account: account}
}

// Rounds gives the rounds of the stage, in order.
func (s *Stage) Rounds() []pipeline.Round { return append(s.SystemRounds(), s.FleetRounds()...) }

// SystemRounds are the rounds in which no system needs anything of another: several workers
// may share them.
func (s *Stage) SystemRounds() []pipeline.Round {
	return []pipeline.Round{
		{Name: "windows", Plan: s.planWindows, Commit: s.Dataset.Settle},
		{Name: "visits", Plan: s.planVisits, Commit: s.Dataset.Settle},
		{Name: "meter", Plan: s.planMeter, Commit: s.Dataset.Settle},
		{Name: "energy", Plan: s.planEnergy, Commit: s.Dataset.Settle},
		{Name: "judge", Plan: s.planJudge, Commit: s.commitSystems},
	}
}

// FleetRounds are the rounds on all systems together. They follow SystemRounds, or
// Unfinished where others did those.
func (s *Stage) FleetRounds() []pipeline.Round {
	return []pipeline.Round{
		{Name: "rank", Plan: s.planRank, Commit: s.Dataset.Settle},
		{Name: "records", Plan: s.planRecords, Commit: s.commitFleet},
	}
}

// Unfinished plans the systems and lists those whose newest generation lacks a result of
// SystemRounds.
func (s *Stage) Unfinished(ctx context.Context) (ids []string, of int, err error) {
	if s.systems, err = s.plans(ctx); err != nil {
		return nil, 0, err
	}
	for _, p := range s.systems {
		if !hasAll(p.generation, p.results()) {
			ids = append(ids, p.system.ID)
		}
	}
	return ids, len(s.systems), nil
}

// Committed are the newest generations of the systems that the stage made, by unit.
func (s *Stage) Committed() map[string]int {
	generations := map[string]int{}
	for _, p := range s.systems {
		generations[p.generation.Unit] = p.generation.N
	}
	return generations
}

// hasAll tells whether a generation lists all results.
func hasAll(g dataset.Generation, results []result) bool {
	return !slices.ContainsFunc(results, func(r result) bool {
		f, ok := g.File(r.path)
		return !ok || f.Fingerprint != r.fp
	})
}

// A result is a file that a job of this stage makes.
type result struct {
	step pipeline.Step
	path string
	fp   pipeline.Fingerprint
}

// A systemPlan is one system with what is made of it.
type systemPlan struct {
	system     register.System
	known      bool // it is in the register
	generation dataset.Generation
	came       []string // months in which somebody came for a visit, in order
	windows    []monthPlan
	visits     result
	rest       string // what visits rest on besides their months, as a hash
	judging    string // what decisions rest on besides them
	trends     result
	causes     result
	conditions result
	energy     energyPlan
	made       excerpt // by jobs of this process
	quoted     []byte  // the excerpt of who made it; nil: none
}

// A monthPlan is the windows of one month, with the samples they are made from.
type monthPlan struct {
	result
	running result // what the machine did, by the same job
	month   dataset.Month
	samples []dataset.File // of the month before, the month, and the month after, where there are
	earlier []dataset.File // samples of months with visits before it
	extras  dataset.File   // of the month, where loggers wrote differences of their own; else none
	sources []source
}

func (s *Stage) planWindows(ctx context.Context) (jobs []pipeline.Job, err error) {
	if s.systems, err = s.plans(ctx); err != nil {
		return nil, err
	}
	for _, p := range s.systems {
		for _, m := range p.windows {
			jobs = append(jobs, s.jobOf(p, []result{m.result, m.running}, m.month.Name, size(m.samples), func(ctx context.Context) error { return s.makeWindows(ctx, p, m) }))
		}
	}
	return jobs, nil
}

// job is a job that makes one file of a system.
func (s *Stage) job(p *systemPlan, r result, part string, size int64, do func(context.Context) error) pipeline.Job {
	return pipeline.Job{
		Key: pipeline.Key{Step: r.step.Name, Unit: p.system.ID, Part: part}, Size: size,
		Done: func(ctx context.Context) (bool, error) { return s.Dataset.Done(ctx, p.generation, r.fp, r.path) },
		Do: func(ctx context.Context) error {
			if err := do(ctx); err != nil {
				return fmt.Errorf("%s %s: %w", r.step.Name, strings.TrimSpace(p.system.ID+" "+part), err)
			}
			return nil
		},
	}
}

func size(files []dataset.File) (n int64) {
	for _, f := range files {
		n += f.Bytes
	}
	return n
}

// plans lists the systems that have samples, by ID.
func (s *Stage) plans(ctx context.Context) ([]*systemPlan, error) {
	units, err := s.Dataset.Units(ctx)
	if err != nil {
		return nil, err
	}
	var out []*systemPlan
	for _, unit := range units {
		id, isSystem := strings.CutPrefix(unit, dataset.SystemUnit(""))
		if !isSystem || s.Owns != nil && !s.Owns(id) {
			continue
		}
		p, err := s.plan(ctx, id)
		if err != nil {
			return nil, fmt.Errorf("system %s: %w", id, err)
		}
		out = append(out, p)
	}
	return out, nil
}

func (s *Stage) plan(ctx context.Context, id string) (*systemPlan, error) {
	g, err := s.Dataset.Newest(ctx, dataset.SystemUnit(id))
	if err != nil {
		return nil, err
	}
	p := &systemPlan{generation: g}
	if p.system, p.known = s.Register.System(id); !p.known {
		p.system = register.NewSystem(id)
	}
	p.system.ID = id
	if n, vouched := s.Vouched[g.Unit]; vouched && n == g.N && p.asCommitted() {
		return p, nil
	}
	readings, err := s.readings(ctx, g)
	if err != nil {
		return nil, err
	}
	uploads := byMonth(id, readings)
	p.came = visitedIn(uploads, s.visitGap())
	rows := s.Register.AnalysisRows(id)
	for _, f := range g.Files {
		if f.Table != samplesName {
			continue
		}
		m, err := s.planMonth(p, f, uploads, rows)
		if err != nil {
			return nil, err
		}
		p.windows = append(p.windows, m)
	}
	p.rest = s.digestOf(StepVisits, func(h pipeline.Hasher) {
		h.Add("options", s.Options.steady().Key())
		h.Add("register", rows)
	})
	p.visits = s.resultOf(StepVisits, table.Visits().Path(id, ""), func(h pipeline.Hasher) {
		for _, m := range p.windows {
			h.Add("windows", string(m.fp))
		}
		h.Add("rest", p.rest)
	})
	p.judging = s.digestOf(StepJudge, func(h pipeline.Hasher) {
		h.Add("visits", p.rest)
		h.Add("options", s.Options.drift().Key())
		h.Add("register", s.Register.JudgeRows(id))
	})
	p.trends = s.resultOf(StepJudge, table.Trends().Path(id, ""), func(h pipeline.Hasher) {
		h.Add("visits", string(p.visits.fp))
		h.Add("rest", p.judging)
	})
	p.causes = s.resultOf(StepJudge, table.Causes().Path(id, ""), func(h pipeline.Hasher) { h.Add("trends", string(p.trends.fp)) })
	p.conditions = s.resultOf(StepJudge, table.Conditions().Path(id, ""), func(h pipeline.Hasher) { h.Add("trends", string(p.trends.fp)) })
	p.energy = s.planEnergyOf(p, rows)
	return p, nil
}

func (s *Stage) resultOf(step pipeline.Step, path string, inputs func(pipeline.Hasher)) result {
	h := pipeline.NewHasher(step)
	h.Add("path", path)
	inputs(h)
	return result{step, path, h.Sum()}
}

// digestOf is a hash of what several results of a step are made from.
func (s *Stage) digestOf(step pipeline.Step, inputs func(pipeline.Hasher)) string {
	h := pipeline.NewHasher(step)
	inputs(h)
	return h.Sum().Short()
}

func (s *Stage) planMonth(p *systemPlan, f dataset.File, uploads map[string][]filed, rows string) (m monthPlan, err error) {
	id := p.system.ID
	if m.month, err = monthOf(f); err != nil {
		return m, err
	}
	name := m.month.Name
	samples := table.Samples()
	for _, at := range []int64{m.month.From - 1, m.month.From, m.month.To} {
		if near, ok := p.generation.File(samples.Path(id, dataset.MonthOf(at).Name)); ok {
			m.samples = append(m.samples, near)
		}
	}
	m.sources = s.sources(id, name, uploads)
	m.earlier = earlierOf(p.generation, id, m.month, p.came)
	m.extras = extrasOf(p.generation, id, name, m.sources)
	m.result = s.resultOf(StepWindows, table.Windows().Path(id, name), func(h pipeline.Hasher) {
		h.Add("samples", f.Path+" "+f.SHA256)
		h.Add("day before", edge(uploads, m.month.From-around.Microseconds(), m.month.From))
		h.Add("day after", edge(uploads, m.month.To, m.month.To+around.Microseconds()))
		for _, src := range m.sources {
			h.Add("source", src.key()...)
		}
		h.Add("earlier visits", identities(m.earlier))
		h.Add("extras", m.extras.SHA256)
		h.Add("options", s.Options.steady().Key())
		h.Add("register", rows)
		h.Add("limits", s.Register.LimitRows(id))
	})
	m.running = s.resultOf(StepWindows, table.Running().Path(id, name), func(h pipeline.Hasher) { h.Add("windows", string(m.fp)) })
	return m, nil
}

// monthOf is the month of a file of samples.
func monthOf(f dataset.File) (dataset.Month, error) {
	_, name, _ := strings.Cut(f.Path, "/month=")
	name, _, _ = strings.Cut(name, "/")
	m, err := dataset.ParseMonth(name)
	if err != nil {
		return m, fmt.Errorf("%s: %w", f.Path, err)
	}
	return m, nil
}

func (s *Stage) planVisits(context.Context) (jobs []pipeline.Job, err error) {
	for _, p := range s.systems {
		jobs = append(jobs, s.job(p, p.visits, "", p.size(), func(ctx context.Context) error { return s.makeVisits(ctx, p) }))
	}
	return jobs, nil
}

func (s *Stage) planJudge(context.Context) (jobs []pipeline.Job, err error) {
	for _, p := range s.systems {
		jobs = append(jobs, s.job(p, p.trends, "", p.size(), func(ctx context.Context) error { return s.makeTrends(ctx, p) }))
	}
	return jobs, nil
}

// file returns what a job made, committed or staged.
func (s *Stage) file(ctx context.Context, g dataset.Generation, r result) (dataset.File, error) {
	if f, ok := g.File(r.path); ok && f.Fingerprint == r.fp {
		return f, nil
	}
	f, ok, err := s.Dataset.Staged(ctx, r.fp, r.step, r.path)
	if err != nil || ok {
		return f, err
	}
	newest, err := s.Dataset.Newest(ctx, g.Unit) // another run of the same may have published it
	if err != nil {
		return f, err
	}
	if f, ok := newest.File(r.path); ok && f.Fingerprint == r.fp {
		return f, nil
	}
	return f, fmt.Errorf("%s: what %s made is gone; run again", r.path, r.step.Name)
}

// commitSystems makes the results the newest generation of each system.
func (s *Stage) commitSystems(ctx context.Context) error {
	for _, p := range s.systems {
		if err := s.commit(ctx, &p.generation, p.results()); err != nil {
			return fmt.Errorf("system %s: %w", p.system.ID, err)
		}
	}
	return nil
}

// size is how much was measured: the more, the longer jobs on the whole system take.
func (p *systemPlan) size() (n int64) {
	for _, m := range p.windows {
		n += size(m.samples)
	}
	return n
}

func (p *systemPlan) results() []result {
	out := append([]result{p.visits, p.trends, p.causes, p.conditions}, p.energy.results()...)
	for _, m := range p.windows {
		out = append(out, m.running, m.result)
	}
	return out
}

func (s *Stage) commit(ctx context.Context, g *dataset.Generation, results []result) error {
	var files []dataset.File
	for _, r := range results {
		f, err := s.file(ctx, *g, r)
		if err != nil {
			return err
		}
		files = append(files, f)
	}
	next, err := s.Dataset.Conclude(ctx, g.With(files...))
	if err != nil {
		return err
	}
	*g = next
	return nil
}

// noted reads a note of a file as JSON; an absent one leaves v as it is.
func (s *Stage) noted(ctx context.Context, f dataset.File, name string, v any) error {
	text, ok, err := s.Dataset.Note(ctx, f, name)
	if err != nil || !ok {
		return err
	}
	return unmarshal(f, name, text, v)
}

// unmarshal reads a note of a file as JSON.
func unmarshal(f dataset.File, name, text string, v any) error {
	if err := gojson.Unmarshal([]byte(text), v); err != nil {
		return fmt.Errorf("%s: note %s: %w", f.Path, name, err)
	}
	return nil
}

// notes writes values as JSON notes.
func notes(values map[string]any) (map[string]string, error) {
	out := map[string]string{}
	var errs []error
	for name, v := range values {
		b, err := json.Marshal(v)
		errs = append(errs, err)
		out[name] = string(b)
	}
	return out, errors.Join(errs...)
}

// byPlace is the order of problems in the table.
func byPlace(problems []table.Problem) {
	slices.SortFunc(problems, func(a, b table.Problem) int {
		return strings.Compare(a.System+"\x00"+a.Place+"\x00"+a.Problem, b.System+"\x00"+b.Place+"\x00"+b.Problem)
	})
}
