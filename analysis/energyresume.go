package analysis

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"rimelog/analysis/energy"
	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/table"
)

// Energy is worked out half-year by half-year: days and seasons before the one that the
// newest months lie in were worked out by the night before, and are taken from there. What
// a month tells the others (whether its power is odd among theirs, which sorts of windows
// are worth seasons, which data errors there were, how the machine stood on each day) is
// kept in a note. So the rows are those that all months together give.

// noteEnergy is of a system's energy_days: []energySaid.
const noteEnergy = "rimelog.energy"

// An energySaid is what a month says about energy to a system's other months.
type energySaid struct {
	Month  string         `json:"month"`
	From   string         `json:"from"` // of what it follows, as a hash
	Index  energy.Index   `json:"index"`
	Mark   energy.Mark    `json:"mark"`
	Flags  []energy.Flag  `json:"flags"`
	Steps  []energy.Flag  `json:"steps"` // of counters
	Sound  []energy.Count `json:"sound"`
	States []byte         `json:"states"` // of its days, that losses rest on, packed
}

// An energySettled is what the night before worked out and need not be done again.
type energySettled struct {
	said    []energySaid // of the months that are as they were, from the first
	cut     time.Time    // before this days and seasons stand; zero: none do
	days    []table.EnergyDay
	seasons []table.Season
	savings energy.KnownSavings
}

// energySettled finds it: nothing where anything but the newest months changed.
func (s *Stage) energySettled(ctx context.Context, p *systemPlan, keys []string) (energySettled, error) {
	days, ok := p.generation.File(p.energy.days.path)
	seasons, both := p.generation.File(p.energy.seasons.path)
	saved, all := p.generation.File(p.energy.saved.path)
	if !ok || !both || !all || days.Step != p.energy.days.step.String() {
		return energySettled{}, nil
	}
	was, err := s.energySettledIn(ctx, p, keys, days, seasons, saved)
	return unlessGone(was, err)
}

// energySettledIn reads it from the files of the night before.
func (s *Stage) energySettledIn(ctx context.Context, p *systemPlan, keys []string, days, seasons, saved dataset.File) (was energySettled, err error) {
	if err := s.noted(ctx, days, noteEnergy, &was.said); err != nil {
		return was, err
	}
	same := 0
	for same < min(len(was.said), len(keys)) && was.said[same].From == keys[same] {
		same++
	}
	if same < 2 { // the last day of a month reaches into the next
		return energySettled{}, nil
	}
	was.said = was.said[:same]
	_, was.cut, _ = energy.SeasonOf(time.UnixMicro(p.energy.months[same-1].month.From).In(zoneOf(p)))
	if was.days, err = read[table.EnergyDay](ctx, s.Dataset, days); err != nil {
		return energySettled{}, err
	}
	if was.seasons, err = read[table.Season](ctx, s.Dataset, seasons); err != nil {
		return energySettled{}, err
	}
	if was.savings.Rows, err = read[table.Saving](ctx, s.Dataset, saved); err != nil {
		return energySettled{}, err
	}
	if err = s.noted(ctx, saved, noteSavings, &was.savings.From); err != nil {
		return energySettled{}, err
	}
	was.days = slices.DeleteFunc(was.days, func(d table.EnergyDay) bool { return !d.Day.Before(was.cut) })
	was.seasons = slices.DeleteFunc(was.seasons, func(r table.Season) bool { return !r.From.Before(was.cut) })
	return was, nil
}

// zoneOf is the zone of a system's calendar.
func zoneOf(p *systemPlan) *time.Location {
	if p.system.Zone == nil {
		return time.UTC
	}
	return p.system.Zone
}

// energyKeys are hashes of what each month of energy follows from.
func (s *Stage) energyKeys(p *systemPlan, doubts []aside) ([]string, error) {
	rest := s.Options.energy().Key() + s.Register.EnergyRows(p.system.ID)
	keys := make([]string, len(p.energy.months))
	for i, m := range p.energy.months {
		text, err := json.Marshal(slices.DeleteFunc(slices.Clone(doubts), func(d aside) bool { return !d.touches(m.month) }))
		if err != nil {
			return nil, err
		}
		h := pipeline.NewHasher(StepEnergy)
		h.Add("windows", string(m.windows.fp))
		h.Add("hours", string(m.hours.fp))
		h.Add("doubts", string(text))
		h.Add("rest", rest)
		keys[i] = h.Sum().Short()
	}
	return keys, nil
}

// An energyBook is the months of a system while its energy is worked out.
type energyBook struct {
	stage  *Stage
	plan   *systemPlan
	doubts []aside
	keys   []string
	said   []energySaid // of every month
	months []energyRows // of those that were read
}

// energyRows are the rows of a month.
type energyRows struct {
	read   bool
	energy []table.EnergyWindow
	hours  []table.EnergyHour
	odd    []energy.Oddity
}

// gather reads the months that are not settled. It gives back what is settled: nothing,
// where a month that is turns out odd, or no longer odd, among the newest.
func (b *energyBook) gather(ctx context.Context, was energySettled) (energySettled, error) {
	n := len(b.keys)
	b.said, b.months = append(slices.Clip(was.said), make([]energySaid, n-len(was.said))...), make([]energyRows, n)
	for i := len(was.said); i < n; i++ {
		if err := b.read(ctx, i); err != nil {
			return was, err
		}
		name := b.plan.energy.months[i].month.Name
		b.said[i] = energySaid{Month: name, From: b.keys[i], Index: energy.IndexOf(name, b.months[i].energy)}
	}
	marks := energy.OddMonths(b.indices())
	for i, said := range was.said {
		if said.Mark != marks[i] {
			return b.gather(ctx, energySettled{})
		}
	}
	for i := len(was.said); i < n; i++ {
		b.said[i].Mark = marks[i]
		if err := b.tell(ctx, i); err != nil {
			return was, err
		}
	}
	return was, b.use(ctx, b.since(was.cut), n)
}

func (b *energyBook) indices() (out []energy.Index) {
	for _, said := range b.said {
		out = append(out, said.Index)
	}
	return out
}

// read reads a month.
func (b *energyBook) read(ctx context.Context, i int) error {
	if b.months[i].read {
		return nil
	}
	m, to := b.plan.energy.months[i], &b.months[i]
	to.read = true
	return firstOf(
		func() error { return gatherRows(ctx, b.stage, b.plan, m.windows, &to.energy, nil) },
		func() error { return gatherRows(ctx, b.stage, b.plan, m.hours, &to.hours, &to.odd) },
	)
}

// tell marks the windows of a month that was read, and says what it tells the others.
func (b *energyBook) tell(ctx context.Context, i int) error {
	m, said := b.months[i], &b.said[i]
	said.Mark.On(m.energy)
	said.Flags, said.Steps = energy.Flags(m.energy), energy.Steps(m.odd)
	setAside(m.energy, b.doubts)
	said.Sound = energy.CountSound(m.energy)
	states, err := b.states(ctx, i)
	said.States = energy.PackDays(nil, states)
	return err
}

// states are those of a month's days.
func (b *energyBook) states(ctx context.Context, i int) ([]energy.DayState, error) {
	var windows []energy.Standing
	if err := gatherRows(ctx, b.stage, b.plan, b.plan.energy.months[i].result, &windows, nil); err != nil {
		return nil, err
	}
	return energy.DayStates(energy.NewMachine(b.plan.system), windows, b.months[i].energy, b.plan.system.Zone), nil
}

// use makes sure that months are read, of which was said before what they tell.
func (b *energyBook) use(ctx context.Context, from, to int) error {
	for i := from; i < to; i++ {
		if b.months[i].read {
			continue
		}
		if err := b.read(ctx, i); err != nil {
			return err
		}
		b.said[i].Mark.On(b.months[i].energy)
		setAside(b.months[i].energy, b.doubts)
	}
	return nil
}

// since is the first month that reaches beyond a time.
func (b *energyBook) since(t time.Time) int {
	months := b.plan.energy.months
	i := slices.IndexFunc(months, func(m energyMonth) bool { return m.month.To > t.UnixMicro() })
	if i < 0 {
		return len(months)
	}
	return i
}

// rows are those that start at a time or after it.
func (b *energyBook) rows(cut time.Time) (windows []table.EnergyWindow, hours []table.EnergyHour) {
	var judged [][]table.EnergyWindow
	var counted [][]table.EnergyHour
	for _, m := range b.months[b.since(cut):] {
		judged, counted = append(judged, m.energy), append(counted, m.hours)
	}
	windows = slices.DeleteFunc(slices.Concat(judged...), func(w table.EnergyWindow) bool { return w.Start.Before(cut) })
	return windows, slices.DeleteFunc(slices.Concat(counted...), func(h table.EnergyHour) bool { return h.Start.Before(cut) })
}

// flags are the data errors of all months.
func (b *energyBook) flags() []energy.Flag {
	var l energy.Ledger
	for _, said := range b.said {
		for _, f := range said.Flags {
			l.Join(f)
		}
	}
	for _, said := range b.said {
		for _, f := range said.Steps {
			l.Join(f)
		}
	}
	return l.Flags()
}

// sound counts the sound windows of all months.
func (b *energyBook) sound() (out []energy.Count) {
	for _, said := range b.said {
		for _, c := range said.Sound {
			out = energy.Add(out, c)
		}
	}
	return out
}

// days are the states of all days.
func (b *energyBook) days() (out []energy.DayState, err error) {
	for _, said := range b.said {
		days, err := energy.UnpackDays(said.States, b.plan.system.Zone)
		if err != nil {
			return nil, fmt.Errorf("month %s of %s: %w", said.Month, b.plan.energy.days.path, err)
		}
		out = energy.JoinDays(out, days)
	}
	return out, nil
}
