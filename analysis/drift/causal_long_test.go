//go:build long

package drift

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// A chronicle is a system with what happened to it and what people answered.
type chronicle struct {
	system  register.System
	visits  []table.Visit
	events  []register.Event
	answers []register.Answer
}

// upTo is what was known right after a visit.
func (h chronicle) upTo(on time.Time) chronicle {
	out := chronicle{system: h.system}
	for _, v := range h.visits {
		if !v.Start.After(on) {
			out.visits = append(out.visits, v)
		}
	}
	out.events = until(h.events, on)
	for _, a := range h.answers {
		if !civil(a.Time).After(calendarDay(on)) {
			out.answers = append(out.answers, a)
		}
	}
	return out
}

// findings are all that is raised of a chronicle as of a day.
func (h chronicle) findings(asOf time.Time) (out []table.Finding) {
	o, events := Options{}, Repaired(h.events, h.answers)
	out = Findings(h.system, events, h.answers, Judge(h.system, events, h.visits, o), Causes(h.system, events, h.visits, o), asOf, o)
	var conditions []table.Condition
	for _, v := range h.visits {
		conditions = append(conditions, table.Condition{Start: v.Start, End: v.End, Watched: 60, Observed: 60,
			Hot: 60 * is(v.DischargeSuperheat > 33), HotLongest: 60 * is(v.DischargeSuperheat > 33), HotTemp: 80 + v.DischargeSuperheat})
	}
	out = append(out, Present(h.system, nil, h.answers, conditions, nil, asOf, o)...)
	none := func(time.Time) []table.Prior { return nil }
	return append(out, NewRecord(h.system, events, h.visits, o).Undated(none, h.answers, asOf, o)...)
}

// chronicles are twenty systems with faults, changes of instruments, service acts and answers.
func chronicles() (out []chronicle) {
	rng := rand.New(rand.NewPCG(20, 20))
	for i := range 20 {
		m := []machine{
			{visits: 24, every: month, noise: 0.5, leak: 3, from: 4}, {visits: 24, every: month, noise: 0.5, fouling: 4, sets: 2, offset: 1},
			{visits: 24, every: month, noise: 0.5, icing: 3, from: 6}, {visits: 24, every: month, noise: 0.5},
		}[i%4]
		h := chronicle{system: system(), visits: m.draw(rng)}
		h.system.ID, h.system.Kind, h.system.RefrigerantName, h.system.DesignSubcooling = fmt.Sprintf("H%d", i), register.ColdRoom, "R134a", 6
		slices.SortFunc(h.visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
		if i%5 == 4 { // low from the start
			for k := range h.visits {
				h.visits[k].Subcooling -= 4.5
			}
		}
		act := []register.EventKind{register.Repaired, register.CoilCleaned, register.ChargeAdded, register.SetpointChanged}[i/4%4]
		if i%3 == 0 {
			h.events = []register.Event{{Kind: act, Time: h.visits[14].Start.Add(time.Hour), HasTime: true, KG: 0.3}}
		}
		if raised := h.findings(future); len(raised) > 0 && i%2 == 0 {
			f := raised[len(raised)/2]
			o := []register.AnswerOutcome{register.Confirmed, register.NothingFound, register.OtherCause}[i/2%3]
			h.answers = []register.Answer{{Finding: f.ID, System: h.system.ID, Time: f.RaisedOn.AddDate(0, 0, 40), Outcome: o}}
		}
		out = append(out, h)
	}
	return out
}

// The record of twenty systems, truncated at every visit, gives exactly the findings that
// the whole record gives as of that day: later data raise nothing in the past, and change
// nothing that was known then.
func TestTruncatedRecordsGiveTheFindingsOfTheDay(t *testing.T) {
	raised, answered, closed := 0, 0, 0
	for _, h := range chronicles() {
		var last []table.Finding
		for _, v := range h.visits {
			early, whole := h.upTo(v.Start).findings(v.Start), h.findings(v.Start)
			if fmt.Sprint(early) != fmt.Sprint(whole) {
				t.Fatalf("%s as of %v:\n%+v\nfrom the truncated record,\n%+v\nfrom the whole", h.system.ID, v.Start, early, whole)
			}
			for _, f := range early {
				if !f.RaisedOn.Equal(v.Start) && f.State != Withdrawn && !slices.ContainsFunc(last, func(x table.Finding) bool { return x.ID == f.ID && x.RaisedOn.Equal(f.RaisedOn) }) {
					t.Errorf("%s as of %v: %s says that it was raised on %v, and was not there then", h.system.ID, v.Start, f.ID, f.RaisedOn)
				}
			}
			last = early
		}
		raised += len(last)
		for _, f := range last {
			answered, closed = answered+int(is(f.Answer != "")), closed+int(is(f.State == ClosedByData))
		}
	}
	if raised < 15 || answered < 3 || closed < 3 {
		t.Errorf("%d findings, %d answered, %d closed: too few to say something", raised, answered, closed)
	}
}
