package ingest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

// The steps of the stage.
var (
	StepLook = stepLook
	StepRead = pipeline.Step{Name: "read", Version: 1}
	StepJoin = pipeline.Step{Name: "join", Version: 1}
)

// A Stage ties ingest to a workspace: the one place where it meets the dataset.
type Stage struct {
	Rehash bool // hash every file again, whatever its size and time say

	data     *dataset.Dataset
	store    store.Store
	register *register.Register
	options  Options

	surveyed bool
	files    []found
	busy     []string        // files that changed while they were read
	uploads  map[string]bool // that are below uploads/ now
	paths    map[string]bool // that are there now
	claimed  []claimed
	jobs     map[string][]joinJob // by system
}

// NewStage ties ingest to a workspace's dataset, files and register.
func NewStage(d *dataset.Dataset, st store.Store, r *register.Register, o Options) *Stage {
	return &Stage{data: d, store: st, register: r, options: o}
}

// Rounds gives the rounds of the stage, in order: look at new files, read them
// under the register's answers, join what they say of each system and commit it.
func (s *Stage) Rounds() []pipeline.Round {
	return []pipeline.Round{
		{Name: "look", Plan: s.planLook},
		{Name: "read", Plan: s.planRead},
		{Name: "join", Plan: s.planJoin, Commit: s.commit},
	}
}

// survey lists the files below uploads/ as they are now.
func (s *Stage) survey(ctx context.Context) (err error) {
	s.files, s.busy, err = inventory(ctx, s.store, s.Rehash)
	s.uploads, s.paths, s.claimed = map[string]bool{}, map[string]bool{}, nil
	for _, f := range s.files {
		s.uploads[f.upload], s.paths[f.name()] = true, true
	}
	s.surveyed = err == nil
	return err
}

func (s *Stage) planLook(ctx context.Context) (jobs []pipeline.Job, err error) {
	if err := s.survey(ctx); err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for _, f := range s.files {
		if seen[f.upload] {
			continue
		}
		seen[f.upload] = true
		jobs = append(jobs, pipeline.Job{
			Key:  pipeline.Key{Step: StepLook.Name, Unit: f.name()},
			Size: f.size,
			Done: func(ctx context.Context) (bool, error) { return s.data.Facts(ctx, f.upload, StepLook, nil) },
			Do:   func(ctx context.Context) error { return s.look(ctx, f) },
		})
	}
	return jobs, nil
}

func (s *Stage) look(ctx context.Context, f found) (err error) {
	src, done, err := s.source(ctx, f)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, done()) }()
	facts, err := look(ctx, src, s.options)
	if err != nil {
		return fmt.Errorf("look at %s: %w", f.name(), err)
	}
	return s.data.PutFacts(ctx, f.upload, StepLook, facts)
}

func (s *Stage) source(ctx context.Context, f found) (Source, func() error, error) {
	r, size, err := s.store.ReaderAt(ctx, uploadsFolder+f.path)
	if err != nil {
		return Source{}, nil, err
	}
	src := Source{ReaderAt: r, Size: size}
	if f.member != "" {
		return openMember(src, f.member, s.options), r.Close, nil
	}
	if src, err = unpack(src, s.options); err != nil {
		return Source{}, nil, errors.Join(err, r.Close())
	}
	return src, r.Close, nil
}

// A claimed is an upload that systems claim, and the reading that is in force.
type claimed struct {
	found
	systems []string
	reading string // 64 hex digits
}

// claims tells the reading of each upload that some system claims. Files with the
// same bytes are one upload; the first path names it.
func (s *Stage) claims(ctx context.Context) ([]claimed, error) {
	if s.claimed != nil {
		return s.claimed, nil
	}
	list := []claimed{}
	at := map[string]int{}
	for _, f := range s.files {
		systems, err := s.systemsOf(ctx, f)
		if err != nil {
			return nil, err
		}
		if len(systems) == 0 {
			continue
		}
		i, ok := at[f.upload]
		if !ok {
			i = len(list)
			at[f.upload] = i
			list = append(list, claimed{found: f})
		}
		for _, id := range systems {
			if !slices.Contains(list[i].systems, id) && len(list[i].systems) < s.options.systemLimit() {
				list[i].systems = append(list[i].systems, id)
			}
		}
	}
	for i := range list {
		list[i].reading = s.readingOf(list[i])
	}
	s.claimed = list
	return list, nil
}

// systemsOf tells which systems claim a file: by its place, by the register, or
// else by what its preamble says.
func (s *Stage) systemsOf(ctx context.Context, f found) ([]string, error) {
	if systems := claim(s.register, f.name(), Facts{}); len(systems) > 0 {
		return systems, nil
	}
	var facts Facts
	if _, err := s.data.Facts(ctx, f.upload, StepLook, &facts); err != nil {
		return nil, err
	}
	return claim(s.register, f.name(), facts), nil
}

// readingOf is the fingerprint of all that a reading rests on.
func (s *Stage) readingOf(c claimed) string {
	h := pipeline.NewHasher(StepRead)
	h.Add("upload", c.upload)
	for _, id := range c.systems {
		h.Add("system", id)
		h.Add("answers", s.register.ReadingRows(id, c.name()))
	}
	h.Add("days", fmt.Sprint(nameDays(c.name())))
	options, err := json.Marshal(s.options)
	if err != nil {
		panic("ingest: " + err.Error()) // only types that cannot fail come here
	}
	h.Add("options", string(options))
	return string(h.Sum())
}

func (s *Stage) planRead(ctx context.Context) (jobs []pipeline.Job, err error) {
	claims, err := s.claims(ctx)
	if err != nil {
		return nil, err
	}
	for _, c := range claims {
		jobs = append(jobs, pipeline.Job{
			Key:  pipeline.Key{Step: StepRead.Name, Unit: c.name()},
			Size: c.size,
			Done: func(ctx context.Context) (bool, error) { return s.data.ReadingDone(ctx, c.upload, c.reading) },
			Do:   func(ctx context.Context) error { return s.read(ctx, c) },
		})
	}
	return jobs, nil
}

func (s *Stage) read(ctx context.Context, c claimed) (err error) {
	src, done, err := s.source(ctx, c.found)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, done()) }()
	r, err := Read(ctx, src, c.upload, AnswersFor(s.register, c.name(), c.systems), s.options)
	if err != nil {
		return fmt.Errorf("read %s: %w", c.name(), err)
	}
	decisions, err := json.Marshal(r.Understanding)
	if err != nil {
		return fmt.Errorf("read %s: %w", c.name(), err)
	}
	if same, err := unchanged(ctx, s.store, c.found); err != nil || !same {
		return err // it is read by the next run, as what it is then
	}
	e := dataset.Entry{Upload: c.upload, Reading: c.reading, Systems: c.systems, Lines: r.Lines, Values: r.Values, Decisions: decisions}
	rows := make([]dataset.Rows, len(r.Parts))
	for i, p := range r.Parts {
		rows[i] = dataset.Rows{System: p.System, Samples: p.Samples, Extras: p.Extras, Refusals: p.Refusals}
	}
	_, err = s.data.PutReading(ctx, StepRead, e, rows...)
	return err
}

// A joinJob is one file of a system that join makes.
type joinJob struct {
	system string
	path   string
	fp     pipeline.Fingerprint
	parts  []dataset.PartFile
	from   []dataset.Entry // the entry of each part
	table  table.Table
	month  string
}

func (s *Stage) planJoin(ctx context.Context) ([]pipeline.Job, error) {
	s.jobs = map[string][]joinJob{}
	bySystem, err := s.entries(ctx)
	if err != nil {
		return nil, err
	}
	var jobs []pipeline.Job
	for _, id := range s.systems(bySystem) {
		g, err := s.data.Newest(ctx, dataset.SystemUnit(id))
		if err != nil {
			return nil, err
		}
		for _, j := range joinJobs(id, bySystem[id], g) {
			s.jobs[id] = append(s.jobs[id], j)
			jobs = append(jobs, pipeline.Job{
				Key:  pipeline.Key{Step: StepJoin.Name, Unit: id, Part: strings.TrimSpace(j.table.Name + " " + j.month)},
				Size: j.size(),
				Done: func(ctx context.Context) (bool, error) { return s.data.Done(ctx, g, j.fp, j.path) },
				Do:   func(ctx context.Context) error { return s.join(ctx, j) },
			})
		}
	}
	return jobs, nil
}

// A partEntry is an upload as one system uses it.
type partEntry struct {
	dataset.Entry
	path string
}

// entries gives the uploads of each system: those that it claims now, and those
// that its newest generation rests on and that have vanished without a successor.
func (s *Stage) entries(ctx context.Context) (map[string][]partEntry, error) {
	bySystem := map[string][]partEntry{}
	claims, err := s.claims(ctx)
	if err != nil {
		return nil, err
	}
	for _, c := range claims {
		e, ok, err := s.data.Entry(ctx, c.upload, c.reading)
		if err != nil {
			return nil, err
		}
		for _, id := range c.systems {
			if ok {
				bySystem[id] = append(bySystem[id], partEntry{e, c.name()})
			}
		}
	}
	units, err := s.data.Units(ctx)
	if err != nil {
		return nil, err
	}
	for _, u := range units {
		if id, ok := strings.CutPrefix(u, dataset.SystemUnit("")); ok {
			if err := s.addArchived(ctx, id, bySystem); err != nil {
				return nil, err
			}
		}
	}
	return bySystem, nil
}

// addArchived keeps what vanished files said.
func (s *Stage) addArchived(ctx context.Context, id string, bySystem map[string][]partEntry) error {
	g, err := s.data.Newest(ctx, dataset.SystemUnit(id))
	if err != nil {
		return err
	}
	if _, ok := bySystem[id]; !ok {
		bySystem[id] = nil // it lost all of its uploads: it is committed without rows
	}
	for _, p := range g.Parts {
		if s.present(p) {
			continue
		}
		e, ok, err := s.data.Entry(ctx, p.Upload, p.Reading)
		if err != nil {
			return err
		}
		if ok {
			bySystem[id] = append(bySystem[id], partEntry{e, p.Path})
		}
	}
	return nil
}

// present tells whether an upload is still somewhere below uploads/, or another
// one is at its path: then what it said is said again, or no longer.
func (s *Stage) present(p dataset.Part) bool {
	return s.uploads[p.Upload] || s.paths[p.Path]
}

// systems lists the systems that have uploads, or had.
func (s *Stage) systems(bySystem map[string][]partEntry) []string {
	var ids []string
	for id := range bySystem {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// joinJobs lists the files of one system: a month of samples and of extras each,
// and all refusals. A partition that lost its rows becomes a file without rows.
func joinJobs(id string, entries []partEntry, g dataset.Generation) []joinJob {
	byPath := map[string]*joinJob{}
	job := func(t table.Table, month string) *joinJob {
		path := t.Path(id, month)
		if byPath[path] == nil {
			byPath[path] = &joinJob{system: id, path: path, table: t, month: month}
		}
		return byPath[path]
	}
	refusals := table.Refusals()
	job(refusals, "")
	for _, f := range g.Files {
		if t, month, ok := partition(f); ok {
			job(t, month)
		}
	}
	for _, e := range entries {
		for _, p := range e.Parts {
			if p.System != id {
				continue
			}
			months := p.Months
			if p.Table == refusals.Name {
				months = []string{""}
			}
			for _, m := range months {
				j := job(tableOf(p.Table), m)
				j.parts, j.from = append(j.parts, p), append(j.from, e.Entry)
			}
		}
	}
	jobs := make([]joinJob, 0, len(byPath))
	for _, j := range byPath {
		j.fp = j.fingerprint()
		jobs = append(jobs, *j)
	}
	slices.SortFunc(jobs, func(a, b joinJob) int { return strings.Compare(a.path, b.path) })
	return jobs
}

func tableOf(name string) table.Table {
	switch name {
	case sampleTable.Name:
		return sampleTable
	case extrasTable.Name:
		return extrasTable
	}
	return table.Refusals()
}

// partition tells which file of join a live file is.
func partition(f dataset.File) (t table.Table, month string, ok bool) {
	if f.Table != sampleTable.Name && f.Table != extrasTable.Name {
		return table.Table{}, "", false
	}
	_, month, ok = strings.Cut(f.Path, "/month=")
	month, _, _ = strings.Cut(month, "/")
	return tableOf(f.Table), month, ok
}

// fingerprint says what the file is made from, whatever the order of arrival.
func (j *joinJob) fingerprint() pipeline.Fingerprint {
	h := pipeline.NewHasher(StepJoin)
	h.Add("path", j.path)
	var parts []string
	for i, p := range j.parts {
		parts = append(parts, fmt.Sprintf("%s %s %s", j.from[i].Upload, j.from[i].Reading, p.SHA256))
	}
	slices.Sort(parts)
	h.Add("parts", strings.Join(slices.Compact(parts), "\n"))
	return h.Sum()
}

func (j *joinJob) size() (n int64) {
	for _, p := range j.parts {
		n += p.Bytes
	}
	return n
}

func (s *Stage) join(ctx context.Context, j joinJob) error {
	f, lost, err := s.joined(ctx, j)
	if err != nil {
		return fmt.Errorf("join %s: %w", j.path, err)
	}
	_, err = s.data.StageFrame(ctx, j.fp, StepJoin, j.path, f, lost.notes())
	return err
}

func (s *Stage) joined(ctx context.Context, j joinJob) (*frame.Frame, tally, error) {
	var parts []joinPart
	for i, p := range j.parts {
		f, err := s.data.ReadPart(ctx, p)
		if err != nil {
			return nil, nil, err
		}
		part := joinPart{upload: j.from[i].Upload, rows: f}
		if j.month != "" {
			m, err := dataset.ParseMonth(j.month)
			if err != nil {
				return nil, nil, err
			}
			part.rows = f.Between(j.table.Columns[0].Name, m.From, m.To)
			if part.last, err = lastTime(j.from[i]); err != nil {
				return nil, nil, err
			}
		}
		parts = append(parts, part)
	}
	switch j.table.Name {
	case sampleTable.Name:
		return joinSamples(parts)
	case extrasTable.Name:
		return joinExtras(parts)
	}
	f, err := joinRefusals(parts)
	return f, nil, err
}

// lastTime is when an upload's data end, in microseconds since 1970.
func lastTime(e dataset.Entry) (int64, error) {
	var u Understanding
	if err := json.Unmarshal(e.Decisions, &u); err != nil {
		return 0, fmt.Errorf("entry of upload %s: %w", e.Upload, err)
	}
	t, err := time.Parse(time.RFC3339Nano, u.Time.LastUTC)
	if err != nil {
		return 0, fmt.Errorf("entry of upload %s: %w", e.Upload, err)
	}
	return t.UnixMicro(), nil
}

// commit makes what was joined the newest generation of each system.
func (s *Stage) commit(ctx context.Context) error {
	bySystem, err := s.entries(ctx)
	if err != nil {
		return err
	}
	for _, id := range s.systems(bySystem) {
		if err := s.commitSystem(ctx, id, bySystem[id]); err != nil {
			return fmt.Errorf("system %s: %w", id, err)
		}
	}
	return nil
}

func (s *Stage) commitSystem(ctx context.Context, id string, entries []partEntry) error {
	g, err := s.data.Newest(ctx, dataset.SystemUnit(id))
	if err != nil {
		return err
	}
	var files []dataset.File
	for _, j := range s.jobs[id] {
		if f, ok := g.File(j.path); ok && f.Fingerprint == j.fp {
			continue
		}
		f, ok, err := s.data.Staged(ctx, j.fp, StepJoin, j.path)
		if err != nil {
			return err
		}
		if !ok {
			return fmt.Errorf("%s: the joined file is gone; run again", j.path)
		}
		files = append(files, f)
	}
	g = g.With(files...)
	g.Parts = nil
	for _, e := range entries {
		g.Parts = append(g.Parts, dataset.Part{Upload: e.Upload, Reading: e.Reading, Path: e.path})
	}
	if g, err = s.data.Commit(ctx, g); err != nil {
		return err
	}
	return s.data.Publish(ctx, g)
}
