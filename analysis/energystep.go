package analysis

import (
	"context"
	"math"
	"slices"
	"time"

	"rimelog/analysis/energy"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// The steps of the comparison of energy: meter works out one month of one system,
// energy its days, seasons, savings and losses.
var (
	StepMeter  = pipeline.Step{Name: "meter", Version: 18}
	StepEnergy = pipeline.Step{Name: "energy", Version: 26}
)

// Notes that the energy tables leave beside their rows.
const (
	noteFlags   = "rimelog.flags"   // of energy_days: []energy.Flag, the data errors
	noteSteps   = "rimelog.counter" // of a month of energy_hours: []energy.Oddity
	noteSavings = "rimelog.savings" // of savings: []string, what each follows from
)

// An energyPlan is the energy tables of one system.
type energyPlan struct {
	months                      []energyMonth
	days, seasons, saved, spent result
}

// An energyMonth is the energy tables of one month.
type energyMonth struct {
	monthPlan
	windows, hours result
}

func (p energyPlan) results() []result {
	out := []result{p.days, p.seasons, p.saved, p.spent}
	for _, m := range p.months {
		out = append(out, m.windows, m.hours)
	}
	return out
}

// planEnergyOf gives the energy tables of a system their fingerprints. The rows are those
// of the register that its windows rest on.
func (s *Stage) planEnergyOf(p *systemPlan, rows string) energyPlan {
	id := p.system.ID
	var e energyPlan
	for _, m := range p.windows {
		month := func(t table.Table) result {
			return s.resultOf(StepMeter, t.Path(id, m.month.Name), func(h pipeline.Hasher) {
				h.Add("windows", string(m.fp)) // which names the samples of the month and of a day on either side
				h.Add("register", rows)
			})
		}
		e.months = append(e.months, energyMonth{m, month(table.EnergyWindows()), month(table.EnergyHours())})
	}
	energyRows := s.Register.EnergyRows(id)
	whole := func(t table.Table) result {
		return s.resultOf(StepEnergy, t.Path(id, ""), func(h pipeline.Hasher) {
			for _, m := range e.months {
				h.Add("month", string(m.windows.fp)+string(m.hours.fp))
			}
			h.Add("visits", string(p.visits.fp))
			h.Add("options", s.Options.energy().Key())
			h.Add("register", energyRows)
		})
	}
	e.days, e.seasons, e.saved, e.spent = whole(table.EnergyDays()), whole(table.Seasons()), whole(table.Savings()), whole(table.Losses())
	return e
}

func (s *Stage) planMeter(context.Context) (jobs []pipeline.Job, err error) {
	s.recent.forget()
	for _, p := range s.systems {
		for _, m := range p.energy.months {
			jobs = append(jobs, s.jobOf(p, []result{m.windows, m.hours}, m.month.Name, size(m.samples), func(ctx context.Context) error { return s.makeMeter(ctx, p, m) }))
		}
	}
	return jobs, nil
}

func (s *Stage) planEnergy(context.Context) (jobs []pipeline.Job, err error) {
	s.recent.forget()
	for _, p := range s.systems {
		e := p.energy
		jobs = append(jobs, s.jobOf(p, []result{e.days, e.seasons, e.saved, e.spent}, "", p.size(), func(ctx context.Context) error { return s.makeEnergy(ctx, p) }))
	}
	return jobs, nil
}

// jobOf is a job that makes several files of a system by one step.
func (s *Stage) jobOf(p *systemPlan, results []result, part string, size int64, do func(context.Context) error) pipeline.Job {
	job := s.job(p, results[0], part, size, do)
	job.Done = func(ctx context.Context) (bool, error) {
		for _, r := range results {
			if done, err := s.Dataset.Done(ctx, p.generation, r.fp, r.path); err != nil || !done {
				return false, err
			}
		}
		return true, nil
	}
	return job
}

// makeMeter works out the energy tables of a month.
func (s *Stage) makeMeter(ctx context.Context, p *systemPlan, m energyMonth) error {
	f, err := s.samples(ctx, m.monthPlan, energy.Needed()...)
	if err != nil {
		return err
	}
	old, _ := s.logs.Get().(*energy.Log)
	log := energy.ReadLog(f, old)
	defer s.logs.Put(log)
	if err := s.spans(ctx, m.sources); err != nil {
		return err
	}
	file, err := s.file(ctx, p.generation, m.result)
	if err != nil {
		return err
	}
	windows, err := read[energy.Window](ctx, s.Dataset, file)
	if err != nil {
		return err
	}
	rows, hours, odd := []table.EnergyWindow{}, []table.EnergyHour{}, []energy.Oddity{}
	for _, part := range s.fillings(p.system, m.month) {
		machine := energy.NewMachine(part.system)
		own := slices.DeleteFunc(slices.Clone(windows), func(w energy.Window) bool {
			at := w.Start.UnixMicro()
			return at < part.month.From || at >= part.month.To
		})
		rows = append(rows, energy.WindowRows(log, machine, own, s.doubter(p, m.sources))...)
		more, strange := energy.HourRows(log, machine, part.month.From, part.month.To)
		hours, odd = append(hours, more...), append(odd, strange...)
	}
	note, err := notes(map[string]any{noteSteps: odd})
	if err != nil {
		return err
	}
	return firstOf(
		func() error { return stageRows(ctx, s.Dataset, m.windows, table.EnergyWindows(), rows) },
		func() error { return stageNoted(ctx, s.Dataset, m.hours, table.EnergyHours(), hours, note) },
	)
}

// stageNoted stages rows with notes.
func stageNoted[Row any](ctx context.Context, d *dataset.Dataset, r result, t table.Table, rows []Row, note map[string]string) error {
	f, err := frame.FromRows(t, rows)
	if err != nil {
		return err
	}
	_, err = d.StageFrame(ctx, r.fp, r.step, r.path, f, note)
	return err
}

// gatherRows appends a file's rows, and the counter's steps of its note.
func gatherRows[Row any](ctx context.Context, s *Stage, p *systemPlan, r result, to *[]Row, odd *[]energy.Oddity) error {
	f, err := s.file(ctx, p.generation, r)
	if err != nil {
		return err
	}
	rows, err := read[Row](ctx, s.Dataset, f)
	*to = append(*to, rows...)
	if err != nil || odd == nil {
		return err
	}
	var more []energy.Oddity
	err = s.noted(ctx, f, noteSteps, &more)
	*odd = append(*odd, more...)
	return err
}

// makeEnergy works out days, seasons, savings and losses of a system.
func (s *Stage) makeEnergy(ctx context.Context, p *systemPlan) error {
	b, was, err := s.openEnergy(ctx, p)
	if err != nil {
		return err
	}
	windows, hours := b.rows(was.cut)
	o, zone, id := s.Options.energy(), p.system.Zone, p.system.ID
	days := append(slices.Clip(was.days), energy.Days(hours, windows, zone)...)
	seasons := energy.SeasonsAfter(was.seasons, b.sound(), windows, hours, days, zone, o)
	savings := was.savings.After(days, s.Register.Events(id), func(at time.Time) (register.Tariff, bool) { return s.Register.Tariff(id, at) }, zone, o)
	states, err := b.days()
	if err != nil {
		return err
	}
	losses := s.losses(p, states, days)
	note, err := notes(map[string]any{noteFlags: b.flags(), noteEnergy: b.said})
	if err != nil {
		return err
	}
	from, err := notes(map[string]any{noteSavings: savings.From})
	if err != nil {
		return err
	}
	keep(s, &p.made.days, days)
	keep(s, &p.made.seasons, seasons)
	keep(s, &p.made.saidOfDays, sayings(note, ofDaysNoted))
	e := p.energy
	return firstOf(
		func() error { return stageNoted(ctx, s.Dataset, e.days, table.EnergyDays(), days, note) },
		func() error { return stageRows(ctx, s.Dataset, e.seasons, table.Seasons(), seasons) },
		func() error { return stageNoted(ctx, s.Dataset, e.saved, table.Savings(), savings.Rows, from) },
		func() error { return stageRows(ctx, s.Dataset, e.spent, table.Losses(), losses) },
	)
}

// openEnergy reads of a system's months what is not settled, and what is.
func (s *Stage) openEnergy(ctx context.Context, p *systemPlan) (*energyBook, energySettled, error) {
	b := &energyBook{stage: s, plan: p}
	var was energySettled
	err := firstOf(
		func() (err error) { b.doubts, err = s.asides(ctx, p); return err },
		func() (err error) { b.keys, err = s.energyKeys(p, b.doubts); return err },
		func() (err error) { was, err = s.energySettled(ctx, p, b.keys); return err },
		func() (err error) { was, err = b.gather(ctx, was); return err },
	)
	return b, was, err
}

// losses splits a system's electricity.
func (s *Stage) losses(p *systemPlan, states []energy.DayState, days []table.EnergyDay) []table.Loss {
	kwh, _ := energy.YearOf(days)
	price := unpriced()
	if len(days) > 0 {
		if t, ok := s.Register.Tariff(p.system.ID, days[len(days)-1].Day); ok {
			price = t
		}
	}
	if refills := register.Refills(s.Register.Events(p.system.ID)); len(refills) > 0 { // what is in the machine now
		last := refills[len(refills)-1]
		states = slices.DeleteFunc(states, func(d energy.DayState) bool { return d.Day.Before(last) })
	}
	machine := energy.NewMachine(p.system)
	return energy.LossRows(machine, states, kwh, machine.Floor(p.system), price)
}

// energyProblems lists a system's data errors about energy.
func energyProblems(id string, ofDays noted) (out []table.Problem, err error) {
	var flags []energy.Flag
	err = ofDays.into(noteFlags, &flags)
	for _, flag := range flags {
		out = append(out, table.Problem{
			Place: "dataset/energy_windows/system=" + id, System: id, Weight: leftOut, Problem: flag.Text(), Remedy: flag.Remedy, Rule: flag.TradeRule(),
		})
	}
	return out, err
}

// unpriced is a tariff of which nothing is known.
func unpriced() register.Tariff { return register.Tariff{Price: math.NaN(), CO2e: math.NaN()} }
