package analysis

import (
	"context"
	"encoding/base64"
	"maps"
	"math"
	"slices"
	"time"

	"rimelog/analysis/cycle"
	"rimelog/analysis/drift"
	"rimelog/analysis/steady"
	"rimelog/analysis/trust"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Where the register names a refrigerant that visits do not fit, or none that is known, trust
// hides what follows from pressures. How it changes can be told all the same: a refrigerant
// that fits shows it as it is, and a wrong table of saturation is off by nearly as much at every
// visit. So what was hidden for that reason alone is worked out anew before it is judged: by
// the refrigerant that is presumed on the day of the decision, or else by the register's. What
// was decided on a presumption says so.

// An epoch is a time in which decisions rest on the same presumptions.
type epoch struct {
	from time.Time
	of   map[string]trust.Presumption // by the register's refrigerant
}

// A restating works out the visits of a system anew.
type restating struct {
	system register.System
	events []register.Event
	doubts []trust.Facts // of visits with any
	stays  []trust.Facts // with measures
	known  *roster
}

// A decision is what is known of a system, and the visits that it rests on otherwise than
// table visits shows them.
type decision struct {
	drift.Known
	restated []table.Restated
}

// note adds those visits to the notes of the trends; where there are none, nothing.
func (d decision) note(notes map[string]string) {
	if len(d.restated) > 0 {
		notes[table.NoteRestated] = base64.StdEncoding.EncodeToString(frame.Pack(nil, d.restated))
	}
}

// decide works out what was known after each visit of a system. Decisions of an epoch see all
// visits up to them by the presumptions of that epoch; those of earlier ones stand.
func (s *Stage) decide(ctx context.Context, p *systemPlan, visits []table.Visit, doubts []trust.Facts, was drift.Known) (decision, error) {
	events := steady.Placed(s.repaired(p.system.ID), visits)
	if !slices.ContainsFunc(doubts, func(f trust.Facts) bool { return f.OtherRefrigerants() != nil }) {
		return decision{Known: was.Decide(p.system, events, visits, s.Options.drift())}, nil
	}
	r := restating{system: p.system, events: s.Register.Events(p.system.ID), doubts: doubts}
	epochs := r.epochs(visits)
	for len(epochs) > 1 && !epochs[1].from.After(was.Until) {
		epochs = epochs[1:] // what was decided in it stands
	}
	if err := s.restating(ctx, p, &r, visits, epochs); err != nil {
		return decision{}, err
	}
	var shown []table.Restated
	for i := range epochs {
		e, seen, last := epochs[i], len(visits), i == len(epochs)-1
		if !last {
			seen = standing(visits, epochs[i+1].from.UnixMicro())
		}
		var judged []table.Visit
		judged, shown = r.restated(visits[:seen], e)
		decided := was.Decide(p.system, events, judged, s.Options.drift())
		r.sign(decided, e, was.Until)
		if was = decided; !last {
			was.Until = epochs[i+1].from
		}
	}
	return decision{was, shown}, nil
}

// restating reads what it takes to work out visits anew in some epochs: of the months in which
// there are such, since a logger that stays sends a file for each day of years.
func (s *Stage) restating(ctx context.Context, p *systemPlan, r *restating, visits []table.Visit, epochs []epoch) error {
	anew := r.anew(visits, epochs)
	var sources []source
	for _, m := range p.windows {
		if !slices.ContainsFunc(anew, func(v table.Visit) bool { return mayBeOf(v, m.month) }) {
			continue
		}
		f, err := s.file(ctx, p.generation, m.result)
		var stays []trust.Facts
		if err = firstOf(
			func() error { return err },
			func() error { return s.noted(ctx, f, noteFacts, &stays) },
			func() error { return s.spans(ctx, m.sources) },
		); err != nil {
			return err
		}
		r.stays, sources = append(r.stays, stays...), append(sources, m.sources...)
	}
	r.known = newRoster(r.circuit(p.system.RefrigerantName).Generic(), sources)
	return nil
}

// anew are the visits that are worked out anew in any of some epochs.
func (r *restating) anew(visits []table.Visit, epochs []epoch) (out []table.Visit) {
	for _, v := range visits {
		if slices.ContainsFunc(epochs, func(e epoch) bool { return r.by(v, e) != "" }) {
			out = append(out, v)
		}
	}
	return out
}

// mayBeOf tells whether a visit's stay may have begun in a month: in its own, or the one before.
func mayBeOf(v table.Visit, m dataset.Month) bool {
	before := dataset.MonthOf(dataset.MonthOf(v.Start.UnixMicro()).From - 1)
	return m.To > before.From && m.From <= v.End.UnixMicro()
}

// circuit is the system with a refrigerant; without any where nobody knows it.
func (r restating) circuit(name string) *cycle.Circuit {
	s := r.system
	s.RefrigerantName = name
	c, err := cycle.NewExactCircuit(s)
	if err != nil {
		c.Refrigerant = nil
	}
	return c
}

// named is the refrigerant that was in the system at a time, by the register.
func (r restating) named(at time.Time) string { return r.system.Filled(r.events, at).RefrigerantName }

// epochs part the visits, which are in time order, wherever what they show so far changes
// what is presumed.
func (r restating) epochs(visits []table.Visit) []epoch {
	out := []epoch{{}}
	presumers := map[string]*trust.Presumer{}
	for _, v := range visits {
		if v.Part == table.AsLeft || math.IsNaN(v.SuctionPressure+v.DischargePressure) {
			continue
		}
		named, latest := r.named(v.Start), out[len(out)-1]
		if presumers[named] == nil {
			presumers[named] = trust.NewPresumer(named)
		}
		now := presumers[named].Hear(r.fitting(v))
		if slices.Equal(now.Fits, latest.of[named].Fits) {
			continue
		}
		next := epoch{v.Start, map[string]trust.Presumption{}}
		maps.Copy(next.of, latest.of)
		next.of[named] = now
		out = append(out, next)
	}
	return out
}

// fitting lists other refrigerants with which a visit would be usual, where it doubts that of
// the register.
func (r restating) fitting(v table.Visit) []string {
	for _, f := range factsOf(r.doubts, v) {
		if names := f.OtherRefrigerants(); names != nil {
			return names
		}
	}
	return nil
}

// factsOf are those of the stays that a visit is a part of.
func factsOf(facts []trust.Facts, v table.Visit) (out []trust.Facts) {
	for _, f := range facts {
		if f.Start <= v.End.UnixMicro() && f.End >= v.Start.UnixMicro() {
			out = append(out, f)
		}
	}
	return out
}

// restated are visits as they are judged in an epoch, and those that were worked out anew.
func (r restating) restated(visits []table.Visit, e epoch) (all []table.Visit, anew []table.Restated) {
	all = slices.Clone(visits)
	circuits := map[string]*cycle.Circuit{}
	for i := range all {
		v := &all[i]
		name := r.by(*v, e)
		if name == "" {
			continue
		}
		if circuits[name] == nil {
			circuits[name] = r.circuit(name)
		}
		r.restate(v, circuits[name])
		anew = append(anew, table.RestatedOf(*v, name))
	}
	return all, anew
}

// by names the refrigerant by which a visit is worked out anew in an epoch; empty where it stays.
func (r restating) by(v table.Visit, e epoch) string {
	named := r.named(v.Start)
	if fits := e.of[named].Fits; len(fits) > 0 {
		return fits[0]
	}
	if r.fitting(v) == nil {
		return ""
	}
	return named
}

// restate works out a visit anew.
func (r restating) restate(v *table.Visit, c *cycle.Circuit) {
	in := r.known.at(v.Start.UnixMicro())
	in.Blend = c.BlendDoubt(r.events, v.Start)
	stay := trust.Facts{Doubts: doubtsOf(r.doubts, *v)}
	for _, f := range factsOf(r.stays, *v) {
		stay.Mean = f.Mean
	}
	trust.Restate(v, c, in, stay)
	onlyShown(v)
}

// sign writes into what was decided from a time on what it was presumed by.
func (r restating) sign(decided drift.Known, e epoch, from time.Time) {
	presumed := func(to *string, on time.Time) {
		if said := e.of[r.named(on)].String(); said != "" && !on.Before(from) {
			if *to != "" {
				said = *to + "; " + said
			}
			*to = said
		}
	}
	for i := range decided.Trends {
		presumed(&decided.Trends[i].Note, decided.Trends[i].DecidedOn)
	}
	for i := range decided.Causes {
		presumed(&decided.Causes[i].Note, decided.Causes[i].DecidedOn)
	}
}
