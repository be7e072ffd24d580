package ingest

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"rimelog/ingest/claim"
	"rimelog/ingest/look"
	"rimelog/ingest/merge"
	"rimelog/ingest/understood"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// Account says what became of every upload that the workspace holds or held: the
// rows of table uploads, and those of table quality that are about uploads. It
// reads what the rounds left in the dataset, of this run or one before.
func (s *Stage) Account(ctx context.Context) ([]table.Upload, []table.Problem, error) {
	if !s.surveyed {
		if err := s.survey(ctx, s.hash); err != nil {
			return nil, nil, err
		}
	}
	a := accountant{s: s, logs: map[string][]span{}, texts: map[*byte]understood.File{}}
	if err := a.collect(ctx); err != nil {
		return nil, nil, err
	}
	if err := a.compareClocks(ctx); err != nil {
		return nil, nil, err
	}
	slices.SortFunc(a.uploads, func(x, y table.Upload) int {
		return cmp.Or(cmp.Compare(x.Path, y.Path), cmp.Compare(x.Upload, y.Upload))
	})
	slices.SortFunc(a.problems, func(x, y table.Problem) int {
		return cmp.Or(cmp.Compare(x.Place, y.Place), cmp.Compare(x.Problem, y.Problem), cmp.Compare(x.Remedy, y.Remedy))
	})
	return a.uploads, slices.Compact(a.problems), s.remember(ctx) // facts that were decoded, where nothing was kept
}

// The states of an upload.
const (
	statusRead       = "read"
	statusWaiting    = "waiting"
	statusUnreadable = "unreadable"
	statusArchived   = "archived"
	statusSuperseded = "superseded"
	statusWithdrawn  = "withdrawn"
)

const withdrawnReason = "withdrawn by the user"

type accountant struct {
	s        *Stage
	done     map[string]bool // by upload
	lost     merge.Tally
	known    map[string][]look.Facts   // of files that systems claim
	logs     map[string][]span         // by system
	texts    map[*byte]understood.File // of briefs, by their decisions
	uploads  []table.Upload
	problems []table.Problem
}

func (a *accountant) collect(ctx context.Context) error {
	if err := a.tallies(ctx); err != nil {
		return err
	}
	claims, err := a.s.claims(ctx)
	if err != nil {
		return err
	}
	a.uploads, a.done = make([]table.Upload, 0, len(claims)), make(map[string]bool, len(claims))
	for _, c := range claims {
		if err := a.read(ctx, c.systems[0], dataset.Part{Upload: c.upload, Reading: c.reading, Path: c.name()}, statusRead); err != nil {
			return err
		}
		if !a.done[c.upload] {
			a.done[c.upload] = true
			a.s.busy = append(a.s.busy, c.name())
		}
	}
	for _, f := range a.s.files {
		if !a.done[f.upload] {
			if err := a.waiting(ctx, f); err != nil {
				return err
			}
		}
	}
	slices.Sort(a.s.busy)
	for _, path := range slices.Compact(a.s.busy) {
		a.problem(path, "", "it changed or vanished while it was read", "it is taken by the next run if it is there then", weightLeftOut)
	}
	return a.past(ctx)
}

// tallies sums what join found out: values that another upload holds as well.
func (a *accountant) tallies(ctx context.Context) error {
	a.lost = merge.Tally{}
	units, err := a.s.data.Units(ctx)
	if err != nil {
		return err
	}
	return a.ofSystems(ctx, units, func(_ string, g dataset.Generation) error {
		for _, f := range g.Files {
			if err := a.tally(ctx, f); err != nil {
				return err
			}
		}
		return nil
	})
}

// ofSystems looks at the newest generation of each system among the dataset's units.
func (a *accountant) ofSystems(ctx context.Context, units []string, look func(id string, g dataset.Generation) error) error {
	for _, u := range units {
		id, ok := strings.CutPrefix(u, dataset.SystemUnit(""))
		if !ok {
			continue
		}
		g, err := a.s.data.Newest(ctx, u)
		if err != nil {
			return err
		}
		if err := look(id, g); err != nil {
			return err
		}
	}
	return nil
}

func (a *accountant) tally(ctx context.Context, f dataset.File) error {
	note, ok, err := a.s.data.Note(ctx, f, merge.TallyNote)
	if err != nil || !ok {
		return err
	}
	var t merge.Tally
	if err := json.Unmarshal([]byte(note), &t); err != nil {
		return fmt.Errorf("%s: its tally: %w", f.Path, err)
	}
	for upload, l := range t {
		sum := a.lost[upload]
		sum.Values += l.Values
		sum.Different += l.Different
		a.lost[upload] = sum
	}
	return nil
}

// read accounts for an upload of a system that was read.
func (a *accountant) read(ctx context.Context, system string, p dataset.Part, status string) error {
	if a.done[p.Upload] {
		return nil
	}
	e, ok, err := a.s.data.Brief(ctx, system, p.Upload, p.Reading)
	if err != nil || !ok {
		return err
	}
	a.done[p.Upload] = true
	u, err := a.understood(e)
	if err != nil {
		return err
	}
	lost := a.lost[p.Upload]
	row := rowOf(p.Upload, p.Path, e.Lines, e.Values.Shift(lost.Values))
	row.Reading, row.Systems, row.Status = p.Reading, strings.Join(e.Systems, " "), status
	if u.Unreadable != "" {
		row.Reason = u.Unreadable + "; " + u.Remedy
		if status == statusRead {
			row.Status = statusUnreadable
		}
	}
	look, _, err := a.s.seenOf(ctx, found{upload: p.Upload})
	if err != nil {
		return err
	}
	row.Bytes = look.Bytes
	a.uploads = append(a.uploads, row)
	if status == statusRead {
		a.problems = append(a.problems, problemsOf(p.Path, e.Systems, u)...)
		a.noteSpan(p, e)
		if lost.Different > 0 {
			a.problem(p.Path, row.Systems, fmt.Sprintf("%d of its values differ from those of another upload for the same time", lost.Different),
				"the later download counts; check that both come from the same logger and clock", weightDoubt)
		}
	}
	return nil
}

// understood is what a brief says of how its upload was understood: the same for most
// files of a logger.
func (a *accountant) understood(b *dataset.Brief) (u understood.File, err error) {
	u, ok := a.texts[b.Decided()]
	if ok {
		return u, nil
	}
	if err := json.Unmarshal(b.Decisions, &u); err != nil {
		return u, fmt.Errorf("entry of upload %s: %w", b.Upload, err)
	}
	a.texts[b.Decided()] = u
	return u, nil
}

func rowOf(upload, path string, l dataset.Lines, v dataset.Values) table.Upload {
	row := table.Upload{Upload: upload, Path: path}
	dataset.SetAccounts(&row, l, v)
	return row
}

// waiting accounts for an upload that no system claims.
func (a *accountant) waiting(ctx context.Context, f found) error {
	var facts look.Facts
	ok, err := a.s.data.Facts(ctx, f.upload, StepLook, &facts)
	if err != nil {
		return err
	}
	a.done[f.upload] = true
	if !ok {
		a.s.busy = append(a.s.busy, f.name())
		return nil
	}
	row := rowOf(f.upload, f.name(), dataset.Lines{All: facts.Lines, Waiting: facts.Lines}, dataset.Values{})
	if gone, err := a.s.data.Forgotten(ctx, f.upload); err != nil {
		return err
	} else if gone {
		row.Bytes, row.Status, row.Reason = facts.Bytes, statusWithdrawn, withdrawnReason
		a.uploads = append(a.uploads, row)
		return nil
	}
	known, err := a.knownFacts(ctx)
	if err != nil {
		return err
	}
	row.Bytes, row.Status, row.Reason = facts.Bytes, statusWaiting, claim.Unclaimed(f.name(), facts, claim.Nearest(a.s.register, facts, known))
	problem, remedy, _ := strings.Cut(row.Reason, "; ")
	if facts.Unreadable != "" {
		row = rowOf(f.upload, f.name(), dataset.Lines{All: facts.Lines, Quarantined: facts.Lines}, dataset.Values{})
		row.Bytes, row.Status, row.Reason = facts.Bytes, statusUnreadable, facts.Unreadable+"; "+facts.Remedy
		problem, remedy = facts.Unreadable, facts.Remedy
	}
	a.uploads = append(a.uploads, row)
	a.problem(f.name(), "", problem, remedy, weightLeftOut)
	return nil
}

// past accounts for uploads that are no longer below uploads/: archived ones are
// still in the newest generation of a system, superseded ones are not.
func (a *accountant) past(ctx context.Context) error {
	units, err := a.s.data.Units(ctx)
	if err != nil {
		return err
	}
	err = a.ofSystems(ctx, units, func(id string, g dataset.Generation) error {
		for _, p := range g.Parts {
			if err := a.read(ctx, id, p, statusArchived); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return a.superseded(ctx, units)
}

func (a *accountant) superseded(ctx context.Context, units []string) error {
	uploads, err := a.s.data.Uploads(ctx, a.done)
	if err != nil || len(uploads) == 0 {
		return err
	}
	older, err := a.olderPaths(ctx, units, uploads)
	if err != nil {
		return err
	}
	for _, id := range uploads {
		var facts look.Facts
		ok, err := a.s.data.Facts(ctx, id, StepLook, &facts)
		if err != nil {
			return err
		}
		if !ok {
			continue
		}
		row := rowOf(id, older[id], dataset.Lines{All: facts.Lines, Waiting: facts.Lines}, dataset.Values{})
		row.Bytes, row.Status, row.Reason = facts.Bytes, statusSuperseded, "another file took its place, or it was taken away before any system claimed it"
		if gone, err := a.s.data.Forgotten(ctx, id); err != nil {
			return err
		} else if gone {
			row.Status, row.Reason = statusWithdrawn, withdrawnReason
		}
		a.uploads = append(a.uploads, row)
	}
	return nil
}

// olderPaths tells where uploads lay that no newest generation names: by the account
// before, or else by the latest generation that names them.
func (a *accountant) olderPaths(ctx context.Context, units, uploads []string) (map[string]string, error) {
	paths, open := map[string]string{}, map[string]bool{}
	for _, id := range uploads {
		open[id] = true
	}
	f, err := a.s.data.ReadTable(ctx, table.Uploads().Path("", ""), "upload", "path")
	if err == nil {
		ids, where := f.Text("upload"), f.Text("path")
		for i := range f.Rows() {
			if id := ids.At(i); open[id] && where.At(i) != "" {
				paths[id] = where.At(i)
				delete(open, id)
			}
		}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	for _, u := range units {
		if !strings.HasPrefix(u, dataset.SystemUnit("")) || len(open) == 0 {
			continue
		}
		if err := a.olderPathsOf(ctx, u, open, paths); err != nil {
			return nil, err
		}
	}
	return paths, nil
}

// olderPathsOf looks through the generations of a unit, the latest first.
func (a *accountant) olderPathsOf(ctx context.Context, unit string, open map[string]bool, paths map[string]string) error {
	g, err := a.s.data.Newest(ctx, unit)
	if err != nil {
		return err
	}
	for n := g.N - 1; n > 0 && len(open) > 0; n-- {
		old, err := a.s.data.Generation(ctx, unit, n)
		if errors.Is(err, fs.ErrNotExist) {
			continue // pruned, which leaves the last that names an upload
		}
		if err != nil {
			return err
		}
		for _, p := range old.Parts {
			if open[p.Upload] {
				paths[p.Upload] = p.Path
				delete(open, p.Upload)
			}
		}
	}
	return nil
}

// The weights of a problem.
const (
	weightLeftOut = "left out"
	weightDoubt   = "doubt"
)

func (a *accountant) problem(place, system, problem, remedy, weight string) {
	a.problems = append(a.problems, table.Problem{Place: uploadsFolder + place, System: system, Problem: problem, Remedy: remedy, Weight: weight})
}

// mostKnown is how many files of a system an unclaimed one is compared with.
const mostKnown = 8

// knownFacts gathers the facts of files that systems claim.
func (a *accountant) knownFacts(ctx context.Context) (map[string][]look.Facts, error) {
	if a.known != nil {
		return a.known, nil
	}
	known := map[string][]look.Facts{}
	claims, err := a.s.claims(ctx)
	if err != nil {
		return nil, err
	}
	for _, c := range claims {
		for _, id := range c.systems {
			if len(known[id]) >= mostKnown {
				continue
			}
			var f look.Facts
			if ok, err := a.s.data.Facts(ctx, c.upload, StepLook, &f); err != nil {
				return nil, err
			} else if ok {
				known[id] = append(known[id], f)
			}
		}
	}
	a.known = known
	return known, nil
}
