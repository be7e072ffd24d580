package analysis

import (
	"context"
	"errors"
	"io/fs"
	"math"
	"slices"
	"time"

	"rimelog/analysis/steady"
	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// Visits are worked out month by month: what the months before the newest say was said by
// the night before, and is taken from there. Every visit follows from its own month, those
// beside it, the register and the visits before it, so the rows are those that all months
// together give.

// noteMonths is of a system's visits: []monthSaid, what they were worked out from.
const noteMonths = "rimelog.months"

// A monthSaid is a month that visits rest on.
type monthSaid struct {
	Month  string `json:"month"`
	From   string `json:"from"`   // fingerprint of its windows
	Rest   string `json:"rest"`   // of everything else that visits rest on
	Sparse sparse `json:"sparse"` // of its stays
	Stays  int    `json:"stays"`  // how many were reviewed
}

// A settled is what the visits of the night before say of months that are as they were.
type settled struct {
	months int   // how many, from the first
	to     int64 // before this the visits stand, microseconds since 1970
	said   []monthSaid
	kept   int // the first month whose measures were kept
	visits []table.Visit
	facts  []trust.Facts // of the visits that a review asks for, those of months that may have changed too
	doubts []trust.Facts // of visits before those
	unused []unused

	reviewed, short monthNotes // of what was reviewed: noteReviewed and noteSaid
}

// settled finds what need not be worked out again: nothing where anything but the newest
// months changed, or where what was said is damaged or gone.
func (s *Stage) settled(ctx context.Context, p *systemPlan) (settled, error) {
	f, ok := p.generation.File(p.visits.path)
	if !ok || f.Step != p.visits.step.String() {
		return settled{}, nil
	}
	was, err := s.settledIn(ctx, p, f)
	return unlessGone(was, err)
}

// unlessGone is what was read of the night before: nothing, where that is damaged or gone.
func unlessGone[What any](was What, err error) (What, error) {
	var damaged dataset.Corrupt
	var lost *dataset.LostError
	var nothing What
	if errors.Is(err, fs.ErrNotExist) || errors.As(err, &damaged) || errors.As(err, &lost) {
		return nothing, nil
	}
	return was, err
}

// asTheyWere counts the months, from the first, whose visits are as they were, of so many
// that the night before knew; to says until when. A stay may reach into the next month, so
// the last that did not change counts as changed.
func (p *systemPlan) asTheyWere(known int, same func(i int) bool) (months int, to int64) {
	for months < min(known, len(p.windows)) && same(months) {
		months++
	}
	if months < 3 {
		return 0, math.MinInt64
	}
	return months - 1, p.windows[months-1].month.From
}

// settledIn reads it from the visits of the night before.
func (s *Stage) settledIn(ctx context.Context, p *systemPlan, f dataset.File) (was settled, err error) {
	var said []monthSaid
	if err := s.noted(ctx, f, noteMonths, &said); err != nil {
		return was, err
	}
	was.months, was.to = p.asTheyWere(len(said), func(i int) bool { return said[i].From == string(p.windows[i].fp) && said[i].Rest == p.rest })
	if was.months == 0 {
		return was, nil
	}
	was.said = said[:was.months]
	if was.visits, err = read[table.Visit](ctx, s.Dataset, f); err != nil {
		return settled{}, err
	}
	if err = s.reviewedIn(ctx, p, f, said, &was); err != nil || was.months == 0 {
		return settled{}, err
	}
	cut := time.UnixMicro(was.to)
	was.visits = was.visits[:standing(was.visits, was.to)]
	was.unused = slices.DeleteFunc(was.unused, func(v unused) bool { return !v.Start.Before(cut) })
	return was, nil
}

// reviewedIn reads what was reviewed, in the months that the night before knew: measures only
// of the visits that a review asks for. Nothing is settled where some of these were not kept.
func (s *Stage) reviewedIn(ctx context.Context, p *systemPlan, f dataset.File, said []monthSaid, was *settled) (err error) {
	stays := staysIn(said)
	first := trust.Needed(stays, was.months)
	if was.kept = trust.Kept(stays); first < was.kept {
		was.months = 0
		return nil
	}
	notes, err := s.Dataset.Notes(ctx, f, func(name string) bool {
		return slices.Contains([]string{noteUnused, noteDoubts, noteReviewed, noteSaid}, name)
	})
	if err != nil {
		return err
	}
	was.reviewed, was.short = readMonthNotes(notes[noteReviewed]), readMonthNotes(notes[noteSaid])
	if err = was.short.renew(f); err != nil {
		return err
	}
	for _, m := range said[first:] {
		facts, err := was.reviewed.facts(f, m.Month)
		if err != nil {
			return err
		}
		was.facts = append(was.facts, facts...)
	}
	cut := p.windows[first].month.From
	err = firstOf(
		func() error { return unmarshal(f, noteUnused, notes[noteUnused], &was.unused) },
		func() error { return unmarshal(f, noteDoubts, notes[noteDoubts], &was.doubts) },
	)
	was.doubts = slices.DeleteFunc(was.doubts, func(v trust.Facts) bool { return v.Start >= cut })
	return err
}

// staysIn are how many stays were reviewed in each month.
func staysIn(said []monthSaid) (out []int) {
	for _, m := range said {
		out = append(out, m.Stays)
	}
	return out
}

// A monthsSaid is what the windows of months say, for visits.
type monthsSaid struct {
	stays   []steady.Stay
	windows []table.Window
	phases  []table.Phase
	facts   []trust.Facts // of stays that begin from a time on
	said    []monthSaid   // of the months from a place on
}

// gatherMonths reads the months that are not settled, and the one before them, whose last
// stay may reach into them.
func (s *Stage) gatherMonths(ctx context.Context, p *systemPlan, was settled) (g monthsSaid, err error) {
	var windows [][]table.Window
	var phases [][]table.Phase
	for i := max(0, was.months-1); i < len(p.windows); i++ {
		m := p.windows[i]
		f, err := s.file(ctx, p.generation, m.result)
		if err != nil {
			return g, err
		}
		var stays []steady.Stay
		var facts []trust.Facts
		err = firstOf(
			func() error { return s.noted(ctx, f, noteStays, &stays) },
			func() error { return s.noted(ctx, f, noteFacts, &facts) },
		)
		if err != nil {
			return g, err
		}
		judged, err := read[table.Window](ctx, s.Dataset, f)
		if err != nil {
			return g, err
		}
		did, err := rowsOfResult[table.Phase](ctx, s, p.generation, m.running)
		if err != nil {
			return g, err
		}
		g.stays, windows, phases = append(g.stays, stays...), append(windows, judged), append(phases, did)
		if i >= was.months {
			g.facts = append(g.facts, facts...)
			g.said = append(g.said, monthSaid{m.month.Name, string(m.fp), p.rest, sparseOf(stays), len(facts)})
		}
	}
	g.windows, g.phases = slices.Concat(windows...), slices.Concat(phases...)
	return g, nil
}

// makeVisits joins the windows of a system.
func (s *Stage) makeVisits(ctx context.Context, p *systemPlan) error {
	was, g, err := s.openVisits(ctx, p)
	if err != nil {
		return err
	}
	events := s.Register.Events(p.system.ID)
	stand, fresh := trust.Standing(was.facts, was.to, g.facts)
	facts := trust.Review(p.system, events, stand, fresh)
	visits := steady.Visits(g.stays, g.windows, steady.Site{Zone: p.system.Zone, Events: events, Stops: stopsOf(facts), Phases: g.phases}, s.Options.steady())
	visits = slices.DeleteFunc(visits, func(v table.Visit) bool { return v.Start.UnixMicro() < was.to })
	unused := append(append([]unused{}, was.unused...), unusedOf(visits)...)
	hide(visits, facts)
	sign(visits, facts, events)
	said := append(was.said, g.said...)
	note, err := notes(map[string]any{noteUnused: unused, noteDoubts: append(append([]trust.Facts{}, was.doubts...), doubtful(facts)...), noteSparse: sparseIn(said), noteMonths: said})
	if err == nil {
		err = was.noteReviews(note, said, facts)
	}
	if err != nil {
		return err
	}
	keep(s, &p.made.saidOfVisits, sayings(note, ofVisitsNoted))
	return stageNoted(ctx, s.Dataset, p.visits, table.Visits(), append(was.visits, visits...), note)
}

// openVisits reads what is settled, and of a system's months what is not. Where visits went,
// and with them the reason why older measures were not kept, nothing is settled.
func (s *Stage) openVisits(ctx context.Context, p *systemPlan) (was settled, g monthsSaid, err error) {
	if was, err = s.settled(ctx, p); err != nil {
		return was, g, err
	}
	g, err = s.gatherMonths(ctx, p, was)
	if err == nil && trust.Kept(staysIn(slices.Concat(was.said, g.said))) < was.kept {
		was = settled{}
		g, err = s.gatherMonths(ctx, p, was)
	}
	return was, g, err
}

// noteReviews adds the notes on what was reviewed: of settled months as they were. Facts are
// those of all others at least.
func (was settled) noteReviews(note map[string]string, said []monthSaid, facts []trust.Facts) error {
	of := map[string][]trust.Facts{}
	for _, f := range facts {
		name := dataset.MonthOf(f.Start).Name
		of[name] = append(of[name], f)
	}
	reviewed, short := monthNotes{}, monthNotes{}
	kept := trust.Kept(staysIn(said))
	for i, m := range said {
		if i < was.months {
			reviewed[m.Month], short[m.Month] = was.reviewed[m.Month], was.short[m.Month]
		} else if err := errors.Join(reviewed.put(m.Month, of[m.Month]), short.putSaid(m.Month, of[m.Month])); err != nil {
			return err
		}
		if i < kept {
			delete(reviewed, m.Month)
		}
	}
	note[noteReviewed], note[noteSaid] = reviewed.text(), short.text()
	return nil
}

// doubtful are the visits of which something is in doubt: few, and asked for often.
func doubtful(facts []trust.Facts) []trust.Facts {
	out := []trust.Facts{}
	for _, f := range facts {
		if len(f.Doubts) > 0 {
			out = append(out, f.Said())
		}
	}
	return out
}

// sparseIn sums up the months.
func sparseIn(said []monthSaid) (out sparse) {
	for _, m := range said {
		out.Step = max(out.Step, m.Sparse.Step)
		out.Runs, out.Unseen = out.Runs+m.Sparse.Runs, out.Unseen+m.Sparse.Unseen
	}
	return out
}
