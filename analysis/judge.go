package analysis

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Judging takes over from the night before what it decided of visits that are as they were:
// a decision rests on the visits and events up to it alone, and what a visit showed against
// limits on its own log.

// noteJudged is of a system's trends: judgedOn.
const noteJudged = "rimelog.judged"

// A judgedOn is what decisions rest on.
type judgedOn struct {
	Months []string  `json:"months"` // fingerprints of their windows
	Rest   string    `json:"rest"`   // of everything else, as a hash
	Leaks  time.Time `json:"leaks"`  // see drift.Known
	From   int64     `json:"from"`   // of the two newest months, microseconds since 1970
	Visits []string  `json:"visits"` // digests of the visits from there on
}

// newest are the visits of the two newest months: those that a new day may change.
func (p *systemPlan) newest(visits []table.Visit) (from int64, of []table.Visit) {
	if len(p.windows) == 0 {
		return 0, nil
	}
	from = p.windows[max(0, len(p.windows)-2)].month.From
	i := slices.IndexFunc(visits, func(v table.Visit) bool { return v.Start.UnixMicro() >= from })
	if i < 0 {
		return from, nil
	}
	return from, visits[i:]
}

// digests tell visits apart.
func digests(visits []table.Visit) []string {
	out := []string{}
	for _, v := range visits {
		sum := sha256.Sum256(fmt.Appendf(nil, "%+v", v))
		out = append(out, hex.EncodeToString(sum[:8]))
	}
	return out
}

// until is the start of the first visit, of those that begin at a time or later, that is not
// as it was.
func (on judgedOn) until(to int64, visits []table.Visit) time.Time {
	end := time.UnixMicro(to)
	if to != on.From {
		return end
	}
	visits = visits[standing(visits, to):]
	for i, d := range digests(visits) {
		if end = visits[i].Start; i >= len(on.Visits) || on.Visits[i] != d {
			break
		}
	}
	return end
}

// standing counts the visits before a time, microseconds since 1970: they are in order of time.
func standing(visits []table.Visit, to int64) int {
	n, _ := slices.BinarySearchFunc(visits, to, func(v table.Visit, to int64) int { return cmp.Compare(v.Start.UnixMicro(), to) })
	return n
}

// A judged is what the night before decided, and need not be decided again.
type judged struct {
	drift.Known
	months     int   // how many are as they were, from the first
	to         int64 // before this the visits stand, microseconds since 1970
	conditions []table.Condition
}

// unsure is how long before visits that may change an act of which only the day is known may
// be: it is given the time at which a visit of that day was parted.
const unsure = 2 * around

// before is from when on decisions may change with visits from a time on: from the day of a
// service act on that these may place.
func before(changed time.Time, events []register.Event) time.Time {
	since := changed
	for _, e := range events {
		if !e.HasTime && e.Kind.Intervenes() && e.Time.After(changed.Add(-unsure)) && e.Time.Before(since) {
			since = e.Time
		}
	}
	return since
}

// judged finds it: nothing where anything but the newest months changed.
func (s *Stage) judged(ctx context.Context, p *systemPlan, visits []table.Visit) (judged, error) {
	var files []dataset.File
	for _, r := range []result{p.trends, p.causes, p.conditions} {
		f, ok := p.generation.File(r.path)
		if !ok || f.Step != r.step.String() {
			return judged{}, nil
		}
		files = append(files, f)
	}
	was, err := s.judgedIn(ctx, p, files, visits)
	return unlessGone(was, err)
}

// judgedIn reads it from the trends, causes and conditions of the night before.
func (s *Stage) judgedIn(ctx context.Context, p *systemPlan, files []dataset.File, visits []table.Visit) (was judged, err error) {
	var on judgedOn
	if err := s.noted(ctx, files[0], noteJudged, &on); err != nil || on.Rest != p.judging {
		return was, err
	}
	was.months, was.to = p.asTheyWere(len(on.Months), func(i int) bool { return on.Months[i] == string(p.windows[i].fp) })
	if was.months == 0 {
		return judged{}, nil
	}
	was.Leaks, was.Until = on.Leaks, before(on.until(was.to, visits), s.repaired(p.system.ID))
	err = firstOf(
		func() (err error) { was.Trends, err = read[table.Trend](ctx, s.Dataset, files[0]); return err },
		func() (err error) { was.Causes, err = read[table.Cause](ctx, s.Dataset, files[1]); return err },
		func() (err error) { was.conditions, err = read[table.Condition](ctx, s.Dataset, files[2]); return err },
	)
	was.conditions = slices.DeleteFunc(was.conditions, func(c table.Condition) bool { return c.Start.UnixMicro() >= was.to })
	return was, err
}

// makeTrends judges the visits of a system, and weighs what may be wrong with it.
func (s *Stage) makeTrends(ctx context.Context, p *systemPlan) error {
	visits, doubts, err := s.visitsOf(ctx, p)
	if err != nil {
		return err
	}
	was, err := s.judged(ctx, p, visits)
	if err != nil {
		return err
	}
	decided, err := s.decide(ctx, p, visits, doubts, was.Known)
	if err != nil {
		return err
	}
	conditions, err := s.conditions(ctx, p, visits, doubts, was)
	if err != nil {
		return err
	}
	from, newest := p.newest(visits)
	on := judgedOn{Months: []string{}, Rest: p.judging, Leaks: decided.Leaks, From: from, Visits: digests(newest)}
	for _, m := range p.windows {
		on.Months = append(on.Months, string(m.fp))
	}
	note, err := notes(map[string]any{noteJudged: on})
	if err != nil {
		return err
	}
	decided.note(note)
	keep(s, &p.made.visits, visits)
	keep(s, &p.made.trends, decided.Trends)
	keep(s, &p.made.causes, decided.Causes)
	keep(s, &p.made.conditions, conditions)
	return firstOf(
		func() error { return stageRows(ctx, s.Dataset, p.causes, table.Causes(), decided.Causes) },
		func() error { return stageRows(ctx, s.Dataset, p.conditions, table.Conditions(), conditions) },
		func() error { return stageNoted(ctx, s.Dataset, p.trends, table.Trends(), decided.Trends, note) }, // last: the job is known by it
	)
}

// visitsOf are the visits of a system, and what of them is in doubt.
func (s *Stage) visitsOf(ctx context.Context, p *systemPlan) (visits []table.Visit, doubts []trust.Facts, err error) {
	f, err := s.file(ctx, p.generation, p.visits)
	if err != nil {
		return nil, nil, err
	}
	if visits, err = read[table.Visit](ctx, s.Dataset, f); err == nil {
		err = s.noted(ctx, f, noteDoubts, &doubts)
	}
	return visits, doubts, err
}
