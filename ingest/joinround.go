package ingest

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"rimelog/ingest/merge"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

var sampleTable, extrasTable = table.Samples(), table.Extras()

// A joinJob is one file of a system that join makes.
type joinJob struct {
	system string
	path   string
	fp     pipeline.Fingerprint
	parts  []dataset.PartFile
	from   []*dataset.Brief // how the upload of each part was read
	table  table.Table
	month  string
}

func (s *Stage) planJoin(ctx context.Context) ([]pipeline.Job, error) {
	s.dropAhead()
	if err := s.leaveBasis(ctx); err != nil {
		return nil, err
	}
	s.jobs = map[string][]joinJob{}
	bySystem, err := s.entries(ctx)
	if err != nil {
		return nil, err
	}
	s.joined = bySystem
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
	*dataset.Brief
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
		e, ok, err := s.data.Brief(ctx, c.systems[0], c.upload, c.reading)
		if err != nil {
			return nil, err
		}
		if !ok { // it changed while it was read: what was there before stays
			delete(s.paths, c.name())
			delete(s.uploads, c.upload)
		}
		for _, id := range c.systems {
			if ok && s.Share.joins(id) {
				bySystem[id] = append(bySystem[id], partEntry{e, c.name()})
			}
		}
	}
	units, err := s.data.Units(ctx)
	if err != nil {
		return nil, err
	}
	for _, u := range units {
		if id, ok := strings.CutPrefix(u, dataset.SystemUnit("")); ok && s.Share.joins(id) {
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
		if gone, err := s.data.Forgotten(ctx, p.Upload); err != nil {
			return err
		} else if gone {
			continue
		}
		e, ok, err := s.data.Brief(ctx, id, p.Upload, p.Reading)
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
				j := job(merge.TableOf(p.Table), m)
				j.parts, j.from = append(j.parts, p), append(j.from, e.Brief)
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

// partition tells which file of join a live file is.
func partition(f dataset.File) (t table.Table, month string, ok bool) {
	if f.Table != sampleTable.Name && f.Table != extrasTable.Name {
		return table.Table{}, "", false
	}
	_, month, ok = strings.Cut(f.Path, "/month=")
	month, _, _ = strings.Cut(month, "/")
	return merge.TableOf(f.Table), month, ok
}

// fingerprint says what the file is made from, whatever the order of arrival.
func (j *joinJob) fingerprint() pipeline.Fingerprint {
	h := pipeline.NewHasher(StepJoin)
	h.Add("path", j.path)
	parts := make([]string, len(j.parts))
	for i, p := range j.parts {
		parts[i] = j.from[i].Upload + " " + j.from[i].Reading + " " + p.SHA256
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
	if err := s.mend(ctx, j); err != nil {
		return err
	}
	_, err := s.data.StageRows(ctx, j.fp, StepJoin, j.path, j.table, func(w *dataset.TableWriter) (map[string]string, error) {
		if j.month == "" {
			return nil, s.joinRefusals(ctx, j, w)
		}
		return s.joinMonth(ctx, j, w)
	})
	if err != nil {
		return fmt.Errorf("join %s: %w", j.path, err)
	}
	return nil
}

// joinMonth writes what the parts say of one month. What only one part says is taken
// as it is stored; else of two values for one time that of the later part counts.
func (s *Stage) joinMonth(ctx context.Context, j joinJob, w *dataset.TableWriter) (notes map[string]string, err error) {
	m, err := dataset.ParseMonth(j.month)
	if err != nil {
		return nil, err
	}
	if len(j.parts) == 1 {
		return nil, w.CopyPart(j.parts[0], m)
	}
	ranked := j.ranked()
	var sources []merge.Source
	for _, i := range ranked {
		r, err := s.data.OpenPart(ctx, j.parts[i], m)
		if err != nil {
			return nil, err
		}
		defer func() { err = errors.Join(err, r.Close()) }()
		sources = append(sources, r)
	}
	t := merge.Tally{}
	err = merge.Join(j.table, sources, func(i int, _ string, n merge.Lost) { t.Add(j.from[ranked[i]].Upload, n) }, w.Append)
	return t.Notes(), err
}

// ranked orders the parts: of two values for one time, the one counts whose part
// comes later. A part whose data end later is the later download; a tie goes by hash.
func (j joinJob) ranked() []int {
	order := make([]int, len(j.parts))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(j.from[a].Last, j.from[b].Last), cmp.Compare(j.from[a].Upload, j.from[b].Upload))
	})
	return order
}

// joinRefusals writes the refusals of a system's uploads one below the other, by
// upload and line.
func (s *Stage) joinRefusals(ctx context.Context, j joinJob, w *dataset.TableWriter) error {
	order := make([]int, len(j.parts))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(j.from[a].Upload, j.from[b].Upload) })
	out := merge.Batch{Table: j.table, To: w.Append}
	for _, i := range order {
		f, err := s.data.ReadPart(ctx, j.parts[i])
		if err != nil {
			return err
		}
		if err := out.Put(f); err != nil {
			return err
		}
	}
	return out.Flush()
}

// commit makes what was joined the newest generation of each system.
func (s *Stage) commit(ctx context.Context) error {
	for _, id := range s.systems(s.joined) {
		err := s.commitSystem(ctx, id, s.joined[id])
		if errors.Is(err, errJoinedGone) { // another run of the same published it between the two looks
			err = s.commitSystem(ctx, id, s.joined[id])
		}
		if err != nil {
			return fmt.Errorf("system %s: %w", id, err)
		}
	}
	s.jobs, s.joined = nil, nil // they hold every brief
	return errors.Join(s.data.KeepBriefs(ctx), s.remember(ctx), s.keepBasis(ctx))
}

// errJoinedGone says that a joined file is neither committed nor staged.
var errJoinedGone = errors.New("the joined file is gone; run again")

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
			return fmt.Errorf("%s: %w", j.path, errJoinedGone)
		}
		files = append(files, f)
	}
	g = g.With(files...)
	g.Parts = partsOf(entries)
	_, err = s.data.Conclude(ctx, g)
	return err
}

// partsOf lists the uploads that a system rests on, as the ledger does.
func partsOf(entries []partEntry) []dataset.Part {
	var parts []dataset.Part
	for _, e := range entries {
		parts = append(parts, dataset.Part{Upload: e.Upload, Reading: e.Reading, Path: e.path})
	}
	return dataset.Generation{Parts: parts}.Sorted().Parts
}
