package ingest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"sync"

	"rimelog/ingest/answers"
	"rimelog/ingest/claim"
	"rimelog/ingest/limits"
	"rimelog/ingest/look"
	"rimelog/ingest/merge"
	"rimelog/ingest/pass"
	"rimelog/ingest/raw"
	"rimelog/ingest/read"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
	"rimelog/pipeline/store"
)

// The steps of the stage.
var (
	StepLook = stepLook
	StepRead = pipeline.Step{Name: "read", Version: 15}
	StepJoin = pipeline.Step{Name: "join", Version: 3}
)

// Steps are the steps of the stage, in the order of the flow.
func Steps() []pipeline.Step { return []pipeline.Step{stepLook, StepRead, StepJoin} }

// A Stage ties ingest to a workspace: the one place where it meets the dataset.
type Stage struct {
	Rehash bool  // hash every file again, whatever its size and time say
	Share  Share // of the work; zero: all of it
	// Vouched are generations of systems, by unit, of which whoever joined them for the same
	// list of files says that they rest on what was read of these, by the same register and
	// options. It counts where a Share has such a list.
	Vouched map[string]int

	data     *dataset.Dataset
	store    store.Store
	register *register.Register
	options  limits.Options
	changed  string // those that are not the default, as JSON

	mu       sync.Mutex // of claimed, while uploads are read
	surveyed bool
	files    []found
	busy     []string           // files that changed while they were read
	uploads  map[string]bool    // that are below uploads/ now
	paths    map[string]bool    // that are there now
	twice    map[string]bool    // uploads that lie at several paths
	standing map[string]claimed // by upload; see stand
	rested   string             // basis, once it was asked for
	claimed  []claimed
	hashes   map[string]cachedHash  // of files, by path below uploads/; nil where the list was frozen
	seen     sightings              // by upload
	joined   map[string][]partEntry // what the jobs of join rest on, by system
	jobs     map[string][]joinJob   // by system

	leastAhead int64    // bytes of a file that is read while it is hashed
	ahead      sync.Map // of written, by upload
}

// NewStage ties ingest to a workspace's dataset, files and register.
func NewStage(d *dataset.Dataset, st store.Store, r *register.Register, o limits.Options) *Stage {
	changed, err := json.Marshal(o.Changed())
	if err != nil {
		panic("ingest: " + err.Error()) // only types that cannot fail come here
	}
	return &Stage{data: d, store: st, register: r, options: o, changed: string(changed), leastAhead: leastAhead}
}

// Rounds gives the rounds of the stage, in order: look at new files, read them
// under the register's answers, join what they say of each system and commit it.
func (s *Stage) Rounds() []pipeline.Round { return append(s.ReadRounds(), s.JoinRounds()...) }

// ReadRounds are the rounds on uploads: look and read.
func (s *Stage) ReadRounds() []pipeline.Round {
	return []pipeline.Round{
		{Name: "look", Plan: s.planLook, Commit: s.data.Settle},
		{Name: "read", Plan: s.planRead, Commit: s.data.Settle},
	}
}

// JoinRounds are the rounds on systems.
func (s *Stage) JoinRounds() []pipeline.Round {
	return []pipeline.Round{{Name: "join", Plan: s.planJoin, Commit: s.commit}}
}

// survey lists the files below uploads/ as they are now, with their hashes by hash, or as
// they were frozen.
func (s *Stage) survey(ctx context.Context, hash hashFunc) (err error) {
	if s.files = s.Share.found(); s.files == nil {
		s.files, s.hashes, s.busy, err = inventory(ctx, s.store, s.Rehash, hash)
		s.recall()
	}
	s.uploads, s.paths = make(map[string]bool, len(s.files)), make(map[string]bool, len(s.files))
	s.twice, s.claimed = map[string]bool{}, nil
	for _, f := range s.files {
		if s.uploads[f.upload] {
			s.twice[f.upload] = true
		}
		s.uploads[f.upload], s.paths[f.name()] = true, true
	}
	s.surveyed = err == nil
	return err
}

func (s *Stage) planLook(ctx context.Context) (jobs []pipeline.Job, err error) {
	if err := s.survey(ctx, s.hashAhead); err != nil {
		return nil, err
	}
	if err := s.stand(ctx); err != nil {
		return nil, err
	}
	jobs = make([]pipeline.Job, 0, len(s.files))
	seen := make(map[string]bool, len(s.files))
	for _, f := range s.files {
		if seen[f.upload] || !s.Share.reads(f.upload) {
			continue
		}
		seen[f.upload] = true
		jobs = append(jobs, pipeline.Job{
			Key:  pipeline.Key{Step: StepLook.Name, Unit: f.name()},
			Size: f.size,
			Done: func(ctx context.Context) (bool, error) { return s.looked(ctx, f) },
			Do:   func(ctx context.Context) error { return s.look(ctx, f) },
		})
	}
	return jobs, nil
}

func (s *Stage) look(ctx context.Context, f found) (err error) {
	src, done, err := s.source(ctx, f)
	if errors.Is(err, fs.ErrNotExist) {
		return nil // it vanished since it was listed; the account says so
	}
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, done()) }()
	facts, err := look.File(ctx, src, s.options)
	if err != nil {
		return fmt.Errorf("look at %s: %w", f.name(), err)
	}
	if same, err := unchanged(ctx, s.store, f); err != nil || !same {
		return err // it is looked at by the next run, as what it is then
	}
	return s.data.PutFacts(ctx, f.upload, StepLook, facts)
}

func (s *Stage) source(ctx context.Context, f found) (raw.Source, func() error, error) {
	r, size, err := s.store.ReaderAt(ctx, uploadsFolder+f.path)
	if err != nil {
		return raw.Source{}, nil, err
	}
	src := raw.Source{ReaderAt: r, Size: size, Ends: f.lines}
	if f.member != "" {
		return raw.OpenMember(src, f.member, s.options), r.Close, nil
	}
	if src, err = raw.Unpack(src, s.options); err != nil {
		return raw.Source{}, nil, errors.Join(err, r.Close())
	}
	return src, r.Close, nil
}

// A claimed is an upload that systems claim, and the reading that is in force.
type claimed struct {
	found
	systems []string
	reading string // 64 hex digits
	gauge   bool   // it may hold gauge pressures
}

// claims tells the reading of each upload that some system claims. Files with the
// same bytes are one upload; the first path names it.
func (s *Stage) claims(ctx context.Context) ([]claimed, error) {
	if s.claimed != nil {
		return s.claimed, nil
	}
	if err := s.surveyOnce(ctx); err != nil {
		return nil, err
	}
	list, err := s.claimedFiles(ctx)
	if err != nil {
		return nil, err
	}
	for i := range list {
		if err := s.settleReading(ctx, &list[i]); err != nil {
			return nil, err
		}
	}
	s.claimed = list
	return list, nil
}

// surveyOnce looks at what lies below uploads/, and what of it stands as the last run left it.
func (s *Stage) surveyOnce(ctx context.Context) error {
	if s.surveyed {
		return nil
	}
	if err := s.survey(ctx, s.hash); err != nil || len(s.Vouched) == 0 {
		return err
	}
	return s.stand(ctx)
}

// claimedFiles are the uploads that systems claim, in the order of their paths. Those that
// stand as the last run left them have their reading.
func (s *Stage) claimedFiles(ctx context.Context) ([]claimed, error) {
	list := make([]claimed, 0, len(s.files))
	at := map[string]int{}
	foreign := s.foreign()
	for _, f := range s.files {
		if foreign[f.upload] {
			continue
		}
		if c, stands := s.standing[f.upload]; stands {
			list = append(list, c)
			continue
		}
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
		list[i].by(systems, s.options.Systems())
	}
	return list, nil
}

// by adds systems that claim an upload, of which there may be most.
func (c *claimed) by(systems []string, most int) {
	for _, id := range systems {
		if !slices.Contains(c.systems, id) && len(c.systems) < most {
			c.systems = append(c.systems, id)
		}
	}
}

// settleReading tells the reading of a claim that has none yet.
func (s *Stage) settleReading(ctx context.Context, c *claimed) error {
	if c.reading != "" {
		return nil
	}
	look, _, err := s.seenOf(ctx, c.found)
	if err != nil {
		return err
	}
	c.gauge = look.Gauge
	c.reading = s.readingOf(*c)
	return nil
}

// systemsOf tells which systems claim a file: by its place, by the register, or
// else by what its preamble says.
func (s *Stage) systemsOf(ctx context.Context, f found) ([]string, error) {
	if gone, err := s.data.Forgotten(ctx, f.upload); gone || err != nil {
		return nil, err
	}
	if systems := claim.Systems(s.register, f.name(), look.Facts{}); len(systems) > 0 {
		return systems, nil
	}
	var facts look.Facts
	if _, err := s.data.Facts(ctx, f.upload, StepLook, &facts); err != nil {
		return nil, err
	}
	return claim.Systems(s.register, f.name(), facts), nil
}

// readingOf is the fingerprint of all that a reading rests on.
func (s *Stage) readingOf(c claimed) string {
	h := pipeline.NewHasher(StepRead)
	h.Add("upload", c.upload)
	for _, id := range c.systems {
		h.Add("system", id)
		h.Add("answers", s.register.ReadingRows(id, c.name(), c.gauge))
	}
	h.Add("days", fmt.Sprint(answers.NameDays(c.name())))
	if start := answers.NameStart(c.name()); start.HasTime {
		h.Add("start", fmt.Sprintf("%+v", start))
	}
	h.Add("options", s.changed)
	return string(h.Sum())
}

func (s *Stage) planRead(ctx context.Context) (jobs []pipeline.Job, err error) {
	claims, err := s.claims(ctx)
	if err != nil {
		return nil, err
	}
	jobs = make([]pipeline.Job, 0, len(claims))
	for _, c := range claims {
		if !s.Share.reads(c.upload) {
			continue
		}
		jobs = append(jobs, pipeline.Job{
			Key:  pipeline.Key{Step: StepRead.Name, Unit: c.name()},
			Size: c.size,
			Done: func(ctx context.Context) (bool, error) { return s.readAlready(ctx, c) },
			Do:   func(ctx context.Context) error { return s.read(ctx, c) },
		})
	}
	return jobs, nil
}

// readGauge reads an upload anew, as one that holds gauge pressures: then its reading rests
// on the altitude.
func (s *Stage) readGauge(ctx context.Context, c claimed) error {
	if err := s.markGauge(ctx, c); err != nil {
		return err
	}
	c.gauge = true
	c.reading = s.readingOf(c)
	s.reclaim(c)
	return s.read(ctx, c)
}

// reclaim sets an upload's reading right for the rounds that follow.
func (s *Stage) reclaim(c claimed) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for i := range s.claimed {
		if s.claimed[i].upload == c.upload {
			s.claimed[i] = c
		}
	}
}

func (s *Stage) read(ctx context.Context, c claimed) (err error) {
	a, there := s.takeAhead(c)
	if !there {
		if a.to, err = s.data.BeginReading(ctx, StepRead, c.upload, c.reading); err != nil {
			return err
		}
		a.reading, there, err = s.readInto(ctx, c, a.to)
	}
	defer a.to.Discard()
	if err != nil || !there {
		return err
	}
	if !c.gauge && a.reading.Understanding.ReadsGauge() {
		a.to.Discard()
		return s.readGauge(ctx, c)
	}
	if err := s.conclude(ctx, c, a); err != nil {
		return fmt.Errorf("read %s: %w", c.name(), err)
	}
	return nil
}

// readInto writes what a file says. There is false where the file is gone.
func (s *Stage) readInto(ctx context.Context, c claimed, w *dataset.ReadingWriter) (r pass.Reading, there bool, err error) {
	src, done, err := s.source(ctx, c.found)
	if errors.Is(err, fs.ErrNotExist) {
		return r, false, nil
	}
	if err != nil {
		return r, false, err
	}
	to := &merge.Parts{Ctx: ctx, Data: s.data, Reading: w, Systems: c.systems}
	r, err = read.To(ctx, src, answers.For(s.register, c.name(), c.systems), s.options, to)
	if err = errors.Join(err, to.Wait()); err != nil {
		err = fmt.Errorf("read %s: %w", c.name(), err)
	}
	return r, true, errors.Join(err, done())
}

// conclude commits a reading, unless the file is no longer as it was found.
func (s *Stage) conclude(ctx context.Context, c claimed, a written) error {
	decisions, err := json.Marshal(a.reading.Understanding)
	if err != nil {
		return err
	}
	if same, err := unchanged(ctx, s.store, c.found); err != nil || !same {
		return err // it is read by the next run, as what it is then
	}
	if err := a.reading.Name(c.upload); err != nil {
		return err
	}
	for i, p := range a.reading.Parts {
		if err := a.to.Append(i, p.System, p.Refusals); err != nil {
			return err
		}
	}
	_, err = a.to.Commit(dataset.Entry{Systems: c.systems, Lines: a.reading.Lines, Values: a.reading.Values, Decisions: decisions})
	return err
}

// StepLook finds out what a file is, whatever the register says.
var stepLook = pipeline.Step{Name: "look", Version: 10}
