package report

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"sync"

	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Page is the step that draws pages. Raise its version when a page's bytes change
// for the same figures by anything but the templates, style, script and chart
// engine: their hash is part of every page's fingerprint.
var Page = pipeline.Step{Name: "page", Version: 31}

// Stage draws the report from what the analysis committed: one job for each
// system, those of the fleet as a whole, one for each file that pages share.
type Stage struct {
	data     *dataset.Dataset
	register *register.Register
	options  Options
	Since    int             // the fleet's generation to compare with; 0: that of the report before
	Reading  []pipeline.Step // by which uploads become samples, for the page about method; may be empty
	// Owns tells which pages are this worker's: a system's by its ID, all others as
	// dataset.FleetUnit's. Nil: all.
	Owns     func(unit string) bool
	pages    []planned // of the round under way
	before   dataset.Generation
	fleet    dataset.Generation
	compared Past
	briefs   sync.Map                       // System by ID, of the round under way
	uploads  func() ([]table.Upload, error) // of the fleet, read once: of its tables the one that grows fastest
}

// planned is a page's path and what it will be made from.
type planned struct {
	path        string
	fingerprint pipeline.Fingerprint
	unit        string // of which it is a page, for Owns
}

// NewStage returns the stage over a dataset and a register.
func NewStage(data *dataset.Dataset, r *register.Register, o Options) *Stage {
	return &Stage{data: data, register: r, options: o}
}

// Rounds is the stage's only round.
func (s *Stage) Rounds() []pipeline.Round {
	return []pipeline.Round{{Name: "report", Plan: s.plan, Commit: s.commit}}
}

func (s *Stage) plan(ctx context.Context) (jobs []pipeline.Job, err error) {
	w, err := NewWriter(s.options)
	if err != nil {
		return nil, err
	}
	if s.before, err = s.data.Newest(ctx, dataset.ReportUnit); err != nil {
		return nil, err
	}
	if s.fleet, err = s.data.Newest(ctx, dataset.FleetUnit); err != nil {
		return nil, err
	}
	if s.compared, err = s.past(ctx); err != nil {
		return nil, err
	}
	s.pages = nil
	s.briefs.Clear()
	s.uploads = sync.OnceValues(func() ([]table.Upload, error) { return fleetRows[table.Upload](ctx, s, table.Uploads()) })
	units, err := s.units(ctx)
	if err != nil {
		return nil, err
	}
	findings, err := s.findings(ctx)
	if err != nil {
		return nil, err
	}
	partly, err := s.partly(ctx)
	if err != nil {
		return nil, err
	}
	problems, err := s.problems(ctx)
	if err != nil {
		return nil, err
	}
	baselines, err := s.baselines(ctx)
	if err != nil {
		return nil, err
	}
	for _, u := range units {
		u.findings, u.partly, u.quality, u.baselines = findings[u.id], partly[u.id], problems[u.id], baselines[u.id]
		if job := s.systemJob(w, u); s.owns(u.id) {
			jobs = append(jobs, job)
		}
	}
	shared := append(s.fleetJobs(w, units), s.methodJob(w, units))
	assets, err := s.assetJobs()
	if s.owns(dataset.FleetUnit) {
		jobs = append(append(jobs, shared...), assets...)
	}
	return jobs, err
}

func (s *Stage) owns(unit string) bool { return s.Owns == nil || s.Owns(unit) }

// A unit is a system, its newest generation if it has one, and its rows of the
// fleet's tables.
type unit struct {
	id       string
	files    dataset.Generation
	findings []table.Finding
	partly   []table.Upload
	quality  []table.Problem

	baselines     []table.Baseline
	before, after string // the systems beside it, in the order of their IDs
}

// units are the systems of the register, and those that only the dataset knows.
func (s *Stage) units(ctx context.Context) ([]unit, error) {
	names, err := s.data.Units(ctx)
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, n := range names {
		if id, ok := strings.CutPrefix(n, dataset.SystemUnit("")); ok {
			ids = append(ids, id)
		}
	}
	for _, r := range s.register.Systems {
		ids = append(ids, r.ID)
	}
	slices.Sort(ids)
	var out []unit
	for _, id := range slices.Compact(ids) {
		g, err := s.data.Newest(ctx, dataset.SystemUnit(id))
		if err != nil {
			return nil, err
		}
		out = append(out, unit{id: id, files: g})
	}
	for i := 1; i < len(out); i++ {
		out[i].before, out[i-1].after = out[i-1].id, out[i].id
	}
	return out, nil
}

// A drawn page is its path below the report's folder and its bytes.
type drawn struct {
	path  string
	bytes []byte
}

// job plans one page of the fleet.
func (s *Stage) job(name, path string, fp pipeline.Fingerprint, size int64, draw func(context.Context) ([]byte, error)) pipeline.Job {
	return s.pagesJob(dataset.FleetUnit, name, []string{path}, fp, size, func(ctx context.Context) ([]drawn, error) {
		b, err := draw(ctx)
		if err != nil {
			return nil, fmt.Errorf("page %s: %w", path, err)
		}
		return []drawn{{path, b}}, nil
	})
}

// pagesJob plans the pages of a unit that are drawn from the same figures.
func (s *Stage) pagesJob(unit, name string, paths []string, fp pipeline.Fingerprint, size int64, draw func(context.Context) ([]drawn, error)) pipeline.Job {
	for _, path := range paths {
		s.pages = append(s.pages, planned{path, fp, unit})
	}
	before := s.before
	return pipeline.Job{
		Key: pipeline.Key{Step: Page.Name, Unit: name}, Size: size,
		Done: func(ctx context.Context) (bool, error) {
			for _, path := range paths {
				if done, err := s.data.Done(ctx, before, fp, path); !done || err != nil {
					return false, err
				}
			}
			return true, nil
		},
		Do: func(ctx context.Context) error {
			pages, err := draw(ctx)
			for _, p := range pages {
				if err == nil {
					_, err = s.data.StageBytes(ctx, fp, Page, p.path, p.bytes)
				}
			}
			return err
		},
	}
}

func (s *Stage) systemJob(w *Writer, u unit) pipeline.Job {
	files := pageFiles(u.files)
	h := pipeline.NewHasher(Page)
	h.Add("page", w.Hash())
	h.Add("register", s.register.AnalysisRows(u.id))
	if r, ok := s.register.System(u.id); ok {
		h.Add("names", r.Site+"\x00"+r.Area+"\x00"+r.Name+"\x00"+r.Jurisdiction)
	}
	h.Add("beside", u.before+"\x00"+u.after)
	h.Add("findings", fmt.Sprintf("%+v", u.findings))
	h.Add("partly read", fmt.Sprintf("%+v", u.partly))
	h.Add("quality", fmt.Sprintf("%+v", u.quality))
	h.Add("baselines", fmt.Sprintf("%+v", u.baselines))
	size := addFiles(h, files)
	return s.pagesJob(u.id, u.id, systemPaths(u.id), h.Sum(), size, func(ctx context.Context) ([]drawn, error) {
		system, err := s.system(ctx, u)
		if err != nil {
			return nil, err
		}
		made := made(files)
		if n := len(system.Visits); n > 0 {
			made.AsOf = system.Visits[n-1].End.In(system.Zone())
		}
		return w.pagesOf(system, made)
	})
}

// fleetJobs are the pages of all systems together: the fleet page, the visit list as a
// page and as a file, leaks and records as a page with a calendar and the record book.
func (s *Stage) fleetJobs(w *Writer, units []unit) []pipeline.Job {
	books, judged := partBooks(s.fleet.Files)
	visits := slices.Concat(judged, filesNamed(books, table.LeakChecks()))
	index := slices.Concat(visits, filesNamed(books, table.Balances(), table.FleetLosses()))
	quality := filesNamed(s.fleet.Files, append(qualityTables(), table.Uploads(), table.Quality())...)
	var brief []dataset.File
	for _, u := range units {
		brief = append(brief, briefFiles(u.files)...)
	}
	fleet := s.onceRead(units)
	job := func(name, path string, own, beside []dataset.File, write func(Fleet) ([]byte, error)) pipeline.Job {
		files := slices.Concat(own, beside)
		h := pipeline.NewHasher(Page)
		h.Add("page", w.Hash())
		h.Add("register", s.register.FleetRows())
		h.Add("as of", s.fleet.Inputs[asOfInput])
		if path == "index.html" || path == resultsFile {
			h.Add("past", fmt.Sprintf("%+v", s.compared))
		}
		if path == resultsFile {
			h.Add("generation", fmt.Sprint(s.fleet.N))
		}
		size := addFiles(h, files)
		return s.job(name, path, h.Sum(), size, func(ctx context.Context) ([]byte, error) {
			f, err := fleet(ctx)
			if err != nil {
				return nil, err
			}
			f.Made = made(files)
			f.Made.Inputs = made(own).Inputs
			f.Made.AsOf = f.AsOf
			return write(f)
		})
	}
	return []pipeline.Job{
		job("fleet/index", "index.html", index, brief, w.Index),
		job("fleet/visits", visitsPage, visits, brief, w.Visits),
		job("fleet/visits.csv", visitsFile, visits, brief, w.VisitsCSV),
		job("fleet/leaks", leaksPage, books, nil, w.Leaks),
		job("fleet/calendar", calendarFile, books, nil, Fleet.Calendar),
		job("fleet/record book", bookFile, books, nil, Fleet.BookCSV),
		job("fleet/results", resultsFile, slices.Concat(visits, filesNamed(s.fleet.Files, qualityTables()...)), brief, Fleet.Results),
		s.schemaJob(),
		job("fleet/quality", qualityPage, quality, brief, w.Quality),
		job("fleet/seasons", seasonsPage, filesNamed(s.fleet.Files, table.Rankings()), energyOf(units), w.Seasons),
	}
}

// schemaJob plans the schema of the results, which no figure changes.
func (s *Stage) schemaJob() pipeline.Job {
	h := pipeline.NewHasher(Page)
	h.Add("results", fmt.Sprint(resultsVersion))
	return s.job("fleet/schema", schemaFile, h.Sum(), 0, func(context.Context) ([]byte, error) { return Schema() })
}

// onceRead reads what the fleet's pages need when the first of them is drawn.
func (s *Stage) onceRead(units []unit) func(context.Context) (Fleet, error) {
	var once sync.Once
	var f Fleet
	var err error
	return func(ctx context.Context) (Fleet, error) {
		once.Do(func() { f, err = s.readFleet(ctx, units) })
		return f, err
	}
}

func (s *Stage) assetJobs() ([]pipeline.Job, error) {
	assets, err := Assets()
	if s.options.Plain || errors.Is(err, ErrNoEngine) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var jobs []pipeline.Job
	if s.options.Single {
		assets = assets[1:] // the engine is in the pages; its licences stay beside them
	}
	for _, a := range assets {
		h := pipeline.NewHasher(Page)
		h.Add(a.Path, sha256Of(a.Bytes))
		jobs = append(jobs, s.job(a.Path, a.Path, h.Sum(), int64(len(a.Bytes)), func(context.Context) ([]byte, error) { return a.Bytes, nil }))
	}
	return jobs, nil
}

// addFiles adds files to a fingerprint and returns their size.
func addFiles(h pipeline.Hasher, files []dataset.File) (size int64) {
	for _, f := range files {
		h.Add(f.Path, f.SHA256)
		size += f.Bytes
	}
	return size
}

// commit lists exactly the pages of this plan: a page that nothing leads to any
// more leaves the report. Of several workers the one that is done last commits; the others
// find pages missing and leave it. Each settles its pages before it looks: else two that look
// at once would each miss those of the other.
func (s *Stage) commit(ctx context.Context) error {
	if s.Owns != nil {
		if err := s.data.Settle(ctx); err != nil {
			return err
		}
		pages, err := s.drawn(ctx)
		if err != nil || slices.ContainsFunc(pages, func(p PageState) bool { return !p.Drawn }) {
			return err
		}
	}
	g := dataset.Generation{Unit: dataset.ReportUnit, N: s.before.N, Inputs: map[string]string{}}
	if s.fleet.N > 0 {
		g.Inputs[fleetInput] = fmt.Sprint(s.fleet.N)
		var err error
		if g.Told, err = s.told(ctx); err != nil {
			return err
		}
	}
	for _, p := range s.pages {
		f, err := s.file(ctx, p)
		if err != nil {
			return err
		}
		g.Files = append(g.Files, f)
	}
	_, err := s.data.Conclude(ctx, g)
	return err
}

// A PageState says whether a page is drawn as the newest generations ask for.
type PageState struct {
	Unit  string // of which it is a page: a system's ID, or dataset.FleetUnit
	Path  string
	Drawn bool
}

// drawn looks which pages of this plan are there, drawn by whomever.
func (s *Stage) drawn(ctx context.Context) ([]PageState, error) {
	newest, err := s.data.Newest(ctx, dataset.ReportUnit)
	if err != nil {
		return nil, err
	}
	var out []PageState
	for _, p := range s.pages {
		done, err := s.data.Done(ctx, newest, p.fingerprint, p.path)
		if err != nil {
			return nil, err
		}
		out = append(out, PageState{p.unit, p.path, done})
	}
	return out, nil
}

// Pages plans the report and says which of its pages are drawn.
func (s *Stage) Pages(ctx context.Context) ([]PageState, error) {
	if _, err := s.plan(ctx); err != nil {
		return nil, err
	}
	return s.drawn(ctx)
}

// Unranked are the systems that the newest generation of the fleet does not rest on as they
// are now.
func (s *Stage) Unranked(ctx context.Context) (ids []string, of int, err error) {
	fleet, err := s.data.Newest(ctx, dataset.FleetUnit)
	if err != nil {
		return nil, 0, err
	}
	newest, err := s.data.Numbers(ctx)
	if err != nil {
		return nil, 0, err
	}
	for _, u := range slices.Sorted(maps.Keys(newest)) {
		id, ok := strings.CutPrefix(u, dataset.SystemUnit(""))
		if !ok {
			continue
		}
		of++
		if fleet.Inputs[u] != strconv.Itoa(newest[u]) {
			ids = append(ids, id)
		}
	}
	return ids, of, nil
}

func (s *Stage) file(ctx context.Context, p planned) (dataset.File, error) {
	f, staged, err := s.data.Staged(ctx, p.fingerprint, Page, p.path)
	if err != nil || staged {
		return f, err
	}
	for _, before := range []func() (dataset.Generation, error){
		func() (dataset.Generation, error) { return s.before, nil },
		func() (dataset.Generation, error) { return s.data.Newest(ctx, dataset.ReportUnit) }, // another worker's
	} {
		g, err := before()
		if err != nil {
			return f, err
		}
		if f, ok := g.File(p.path); ok && f.Fingerprint == p.fingerprint {
			return f, nil
		}
	}
	return dataset.File{}, fmt.Errorf("page %s was neither drawn nor there before", p.path)
}
