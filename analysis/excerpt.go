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

// A part is rows of a system's results, and where an excerpt has them.
type part struct {
	packed *[]byte
	rows   packable
}

// A packable is what is packed, and taken from the beginning of an excerpt.
type packable interface {
	pack() []byte
	unpack(body *[]byte) error
}

// parts are what an excerpt has of a system's results, in its order.
func (e *excerpt) parts(r *systemResults) []part {
	return []part{
		{&e.visits, listOf(&r.visits)}, {&e.trends, listOf(&r.trends)}, {&e.causes, listOf(&r.causes)},
		{&e.conditions, listOf(&r.conditions)}, {&e.seasons, listOf(&r.seasons)}, {&e.days, listOf(&r.days)},
		{&e.saidOfVisits, said{&r.ofVisits, ofVisitsNoted}}, {&e.saidOfDays, said{&r.ofDays, ofDaysNoted}},
	}
}

func (e *excerpt) whole() bool {
	return !slices.ContainsFunc(e.parts(&systemResults{}), func(p part) bool { return *p.packed == nil })
}

// list is the rows of a table.
type list[Row any] struct{ rows *[]Row }

func listOf[Row any](rows *[]Row) list[Row] { return list[Row]{rows} }

func (l list[Row]) pack() []byte { return frame.Pack(nil, *l.rows) }

func (l list[Row]) unpack(body *[]byte) (err error) {
	*l.rows, *body, err = frame.Unpack[Row](*body)
	return err
}

// said is those notes of a file that an excerpt has.
type said struct {
	of    *noted
	names []string
}

func (s said) pack() []byte { return frame.Pack(nil, sayings(s.of.texts, s.names)) }

func (s said) unpack(body *[]byte) error {
	var kept []saying
	err := listOf(&kept).unpack(body)
	s.of.texts = map[string]string{}
	for _, one := range kept {
		s.of.texts[one.Name] = one.Text
	}
	return err
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
		for _, part := range e.parts(&systemResults{}) {
			body = append(body, *part.packed...)
		}
		if err := put(p.system.ID, p.generation.N, body); err != nil {
			return err
		}
	}
	return nil
}

func excerptOf(r systemResults) *excerpt {
	var e excerpt
	for _, part := range e.parts(&r) {
		*part.packed = part.rows.pack()
	}
	return &e
}

// excerpted are a system's results as an excerpt has them; false where it has them not.
func (p *systemPlan) excerpted(body []byte) (r systemResults, ok bool) {
	r.ofVisits.file, _ = p.generation.File(p.visits.path)
	r.ofDays.file, _ = p.generation.File(p.energy.days.path)
	for _, part := range new(excerpt).parts(&r) {
		if part.rows.unpack(&body) != nil {
			return r, false
		}
	}
	return r, len(body) == 0
}

// quote looks for the excerpts of some systems.
func (s *Stage) quote(ctx context.Context, some []*systemPlan) {
	for _, p := range some {
		if p.quoted = nil; s.Excerpted != nil {
			p.quoted, _ = s.Excerpted(ctx, p.system.ID, p.generation.N)
		}
	}
}
