package analysis

import (
	"context"
	"slices"

	"rimelog/pipeline/frame"
)

// What the tables of the fleet take of a system stands in six of its files. Where shards make
// them, each writes an excerpt of its systems, so that the fleet opens one object for each
// shard. What jobs of this process made is kept for it, packed; the rest is read again.

// excerptRoom is how many packed bytes are kept. Systems beyond it are read again.
const excerptRoom = 32 << 20

// An excerpt is a system's results, packed; nil is what is not kept.
type excerpt struct{ visits, trends, causes, conditions, seasons, days, saidOfVisits, saidOfDays []byte }

func (e *excerpt) parts() []*[]byte {
	return []*[]byte{&e.visits, &e.trends, &e.causes, &e.conditions, &e.seasons, &e.days, &e.saidOfVisits, &e.saidOfDays}
}

func (e *excerpt) whole() bool {
	return !slices.ContainsFunc(e.parts(), func(part *[]byte) bool { return *part == nil })
}

// A saying is a note in an excerpt.
type saying struct {
	Name string `col:"name" doc:"of the note"`
	Text string `col:"text" doc:"its text"`
}

// Notes that the fleet's tables take of a file.
var (
	ofVisitsNoted = []string{noteDoubts, noteSparse, noteUnused, noteSaid}
	ofDaysNoted   = []string{noteFlags}
)

// sayings are those notes of a file that an excerpt has.
func sayings(texts map[string]string, names []string) (out []saying) {
	for _, name := range names {
		if text, ok := texts[name]; ok {
			out = append(out, saying{name, text})
		}
	}
	return out
}

// keep keeps rows for an excerpt, where one will be written.
func keep[Row any](s *Stage, to *[]byte, rows []Row) {
	if !s.Excerpts || s.kept.Load() > excerptRoom {
		return
	}
	*to = frame.Pack(nil, rows)
	s.kept.Add(int64(len(*to)))
}

// WriteExcerpts writes the excerpt of each system, by ID, of the generation that the stage
// committed.
func (s *Stage) WriteExcerpts(ctx context.Context, put func(system string, generation int, body []byte) error) error {
	for _, p := range s.systems {
		e := &p.made
		if !e.whole() {
			r, err := s.resultsOf(ctx, p)
			if err != nil {
				return err
			}
			e = excerptOf(r)
		}
		var body []byte
		for _, part := range e.parts() {
			body = append(body, *part...)
		}
		if err := put(p.system.ID, p.generation.N, body); err != nil {
			return err
		}
	}
	return nil
}

func excerptOf(r systemResults) *excerpt {
	return &excerpt{
		frame.Pack(nil, r.visits), frame.Pack(nil, r.trends), frame.Pack(nil, r.causes), frame.Pack(nil, r.conditions), frame.Pack(nil, r.seasons), frame.Pack(nil, r.days),
		frame.Pack(nil, sayings(r.ofVisits.texts, ofVisitsNoted)), frame.Pack(nil, sayings(r.ofDays.texts, ofDaysNoted)),
	}
}

// excerpted are a system's results as an excerpt has them; false where it has them not.
func (p *systemPlan) excerpted(body []byte) (r systemResults, ok bool) {
	r.ofVisits.file, _ = p.generation.File(p.visits.path)
	r.ofDays.file, _ = p.generation.File(p.energy.days.path)
	err := firstOf(
		func() error { return unpack(&body, &r.visits) },
		func() error { return unpack(&body, &r.trends) },
		func() error { return unpack(&body, &r.causes) },
		func() error { return unpack(&body, &r.conditions) },
		func() error { return unpack(&body, &r.seasons) },
		func() error { return unpack(&body, &r.days) },
		func() error { return r.ofVisits.unpack(&body) },
		func() error { return r.ofDays.unpack(&body) },
	)
	return r, err == nil && len(body) == 0
}

// unpack takes rows from the beginning of an excerpt.
func unpack[Row any](body *[]byte, to *[]Row) (err error) {
	*to, *body, err = frame.Unpack[Row](*body)
	return err
}

func (n *noted) unpack(body *[]byte) error {
	var list []saying
	err := unpack(body, &list)
	n.texts = map[string]string{}
	for _, one := range list {
		n.texts[one.Name] = one.Text
	}
	return err
}

// quote looks for the excerpts of some systems.
func (s *Stage) quote(ctx context.Context, some []*systemPlan) {
	for _, p := range some {
		if p.quoted = nil; s.Excerpted != nil {
			p.quoted, _ = s.Excerpted(ctx, p.system.ID, p.generation.N)
		}
	}
}
