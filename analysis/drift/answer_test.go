package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// heard runs a machine through all of it with answers, as of a day.
func heard(visits []table.Visit, asOf time.Time, answers ...register.Answer) []table.Finding {
	o := Options{}
	events := Repaired(nil, answers)
	return Findings(system(), events, answers, Judge(system(), events, visits, o), Causes(system(), events, visits, o), asOf, o)
}

// A leaking machine, and the one finding that it has without any answer.
func leaking(t *testing.T, visits int) ([]table.Visit, table.Finding) {
	t.Helper()
	list := machine{visits: visits, every: month, noise: 0.4, leak: 3, from: 4}.draw(rand.New(rand.NewPCG(8, 8)))
	f := heard(list, future)
	if len(f) != 1 || f[0].Kind != ChargeLoss || f[0].State != Open {
		t.Fatalf("got %+v, want one open finding of charge loss", f)
	}
	return list, f[0]
}

var future = time.Date(2100, 1, 1, 0, 0, 0, 0, time.UTC)

func answer(f table.Finding, on time.Time, o register.AnswerOutcome) register.Answer {
	return register.Answer{Finding: f.ID, System: f.System, Time: on, Outcome: o, Person: "M. Example"}
}

// nextAfter is a day after the first visit after a finding was raised.
func nextAfter(visits []table.Visit, f table.Finding, n int) time.Time {
	for i, v := range visits {
		if v.Start.Equal(f.RaisedOn) {
			return visits[i+n].Start.Add(24 * time.Hour)
		}
	}
	return time.Time{}
}

// Whoever finds nothing is believed for as long as the answer counts, unless the feature
// moves on; the finding stays, under the same name.
func TestNothingFoundRestartsTheClock(t *testing.T) {
	visits, f := leaking(t, 24)
	on := nextAfter(visits, f, 0)
	a := answer(f, on, register.NothingFound)

	soon := heard(visits, on.AddDate(0, 0, 2), a)
	if len(soon) != 1 || soon[0].ID != f.ID || soon[0].State != Answered || soon[0].Answer != "nothing found" || soon[0].AnsweredBy != "M. Example" {
		t.Fatalf("two days after the answer: got %+v", soon)
	}
	if !(soon[0].Now < f.Probability) || !strings.Contains(soon[0].Reason, "moves a further 1.5 K") || !soon[0].RaisedOn.Equal(f.RaisedOn) {
		t.Errorf("lowered to %.2f from %.2f because %q", soon[0].Now, f.Probability, soon[0].Reason)
	}
	later := heard(visits, future, a) // 3 K a year: a further 1.5 K after half a year
	if len(later) != 1 || later[0].ID != f.ID || later[0].State != Open || !strings.Contains(later[0].Evidence, "Open again on") || !strings.Contains(later[0].Evidence, "Nothing found on") {
		t.Errorf("it leaks on: got %+v, want the same finding, open again", later)
	}
	quiet := a
	quiet.QuietUntil = future
	if still := heard(visits, future, quiet); len(still) != 1 || still[0].State != Answered {
		t.Errorf("nobody wants to hear of it: got %+v", still)
	}
}

// A feature that stays where it is says nothing new until the answer is forgotten.
func TestAnswersAreForgotten(t *testing.T) {
	visits, f := leaking(t, 24)
	at := slices.IndexFunc(visits, func(v table.Visit) bool { return v.Start.Equal(f.RaisedOn) })
	rng := rand.New(rand.NewPCG(8, 9))
	for i := at + 1; i < len(visits); i++ { // it leaks no more
		visits[i].Subcooling = visits[at].Subcooling + 0.05*(visits[i].OutdoorTemp-visits[at].OutdoorTemp) + 0.4*rng.NormFloat64()
	}
	a := answer(f, nextAfter(visits, f, 0), register.NothingFound)
	before, after := heard(visits, a.Time.AddDate(0, 0, 170), a), heard(visits, a.Time.AddDate(0, 0, 260), a)
	if len(before) != 1 || before[0].State != Answered {
		t.Errorf("within 180 days: got %+v, want it answered", before)
	}
	if len(after) != 1 || after[0].State != Open {
		t.Errorf("after 180 days: got %+v, want it open again", after)
	}
}

// What is confirmed was put right on that day: the next fault of the kind is another
// finding, and a machine that is well after it has none.
func TestConfirmedDatesTheRepair(t *testing.T) {
	visits, f := leaking(t, 24)
	a := answer(f, nextAfter(visits, f, 0), register.Confirmed)
	for i := range visits {
		if visits[i].Start.After(a.Time) {
			visits[i].Subcooling = 6 + 0.05*(visits[i].OutdoorTemp-10)
		}
	}
	got := heard(visits, future, a)
	if len(got) != 1 || got[0].State != Answered || got[0].Answer != "confirmed" || got[0].Now != 1 || !got[0].ClearedOn.Equal(a.Time) {
		t.Errorf("got %+v, want it answered on %v and nothing else", got, a.Time)
	}
	last := visits[len(visits)-1].Start
	again := machine{visits: 24, every: month, noise: 0.4, leak: 3}.draw(rand.New(rand.NewPCG(3, 3)))
	for i := range again {
		again[i].Start = last.AddDate(0, i+1, 0)
		again[i].OutdoorTemp = 10 - 11*math.Cos(2*math.Pi*float64(again[i].Start.YearDay())/365)
	}
	all := heard(append(visits, again...), future, a)
	// The weather of what was drawn is another one: only the kind in question counts.
	if got := slices.DeleteFunc(slices.Clone(all), func(x table.Finding) bool { return x.Kind != ChargeLoss }); len(got) != 2 || got[1].State != Open || got[1].ID == f.ID || !got[1].RaisedOn.After(last) {
		t.Errorf("it leaks again: got %+v, want a second finding", got)
	}
}

// Where the register has the act that an answer confirms, the answer dates none beside it.
func TestOneRepairIsOne(t *testing.T) {
	at := time.Date(2025, 6, 12, 12, 0, 0, 0, time.UTC)
	a := register.Answer{Finding: "A/charge-loss/2025-01-01", System: "A", Time: at, Outcome: register.Confirmed}
	of := func(days int, k register.EventKind) []register.Event {
		return []register.Event{{Kind: k, Time: at.AddDate(0, 0, days)}}
	}
	for _, c := range []struct {
		name   string
		events []register.Event
		want   int
	}{
		{"none", nil, 1}, {"repaired the day before", of(-1, register.Repaired), 1},
		{"repaired long before", of(-60, register.Repaired), 2}, {"another act", of(-1, register.CoilCleaned), 2},
	} {
		if got := Repaired(c.events, []register.Answer{a}); len(got) != c.want {
			t.Errorf("%s: %d events, want %d", c.name, len(got), c.want)
		}
	}
}

// An answer keeps its finding when older data move the day that the ID carries; of a
// finding that no data give any more, the answer is kept as withdrawn.
func TestAnswersOutliveNewData(t *testing.T) {
	visits, f := leaking(t, 24)
	a := answer(f, nextAfter(visits, f, 1), register.NothingFound)
	a.Finding = "test/charge-loss/2019-12-24"
	if got := heard(visits, future, a); len(got) != 1 || got[0].Answer != "nothing found" {
		t.Errorf("with the day of other data: got %+v", got)
	}
	a.Finding = "test/compressor-wear/2020-02-01"
	got := heard(visits, future, a)
	if len(got) != 2 || got[0].State != Withdrawn || got[0].Reason == "" || got[0].Kind != Wear || got[1].State != Open || got[1].Answer != "" {
		t.Errorf("of what was never found: got %+v, want it withdrawn beside the leak", got)
	}
}

// No answer changes what was decided before it was given.
func TestAnswersAreCausal(t *testing.T) {
	visits, f := leaking(t, 20)
	for _, o := range []register.AnswerOutcome{register.Confirmed, register.OtherCause, register.NothingFound} {
		a := answer(f, nextAfter(visits, f, 2), o)
		for _, v := range visits {
			if v.Start.After(a.Time) {
				break
			}
			var upTo []table.Visit
			for _, u := range visits {
				if !u.Start.After(v.Start) {
					upTo = append(upTo, u)
				}
			}
			with, without := heard(visits, v.Start, a), heard(upTo, v.Start)
			if len(with) != len(without) {
				t.Fatalf("as of %v: %d findings with an answer of %v, %d without", v.Start, len(with), a.Time, len(without))
			}
			for i := range with {
				if with[i].State != without[i].State || with[i].Evidence != without[i].Evidence || !with[i].RaisedOn.Equal(without[i].RaisedOn) {
					t.Errorf("as of %v: %+v with an answer of %v, %+v without", v.Start, with[i], a.Time, without[i])
				}
			}
		}
	}
}

func TestKindOfAnID(t *testing.T) {
	for id, want := range map[string]string{
		"A/charge-loss/2025-01-01": ChargeLoss, "A/Non-Condensable-Gas/2025-01-01/2": Gas, "A/colour/2025-01-01": "", "A/charge-loss": "", "": "",
	} {
		if got, ok := KindOf(id); got != want || ok != (want != "") {
			t.Errorf("KindOf(%q) = %q, %v", id, got, ok)
		}
	}
}

func TestHitRate(t *testing.T) {
	f := func(kind, state, answer string) table.Finding {
		return table.Finding{Kind: kind, State: state, Answer: answer}
	}
	got := HitRate([]table.Finding{
		f(Wear, ClosedByData, ""), f(ChargeLoss, Open, ""), f(ChargeLoss, Answered, "confirmed"), f(ChargeLoss, Open, "nothing found"),
		f(ChargeLoss, ClosedByData, "other cause"), f(ChargeLoss, Answered, ""), f(ChargeLoss, Withdrawn, "confirmed"),
	})
	want := []Hits{
		{Kind: ChargeLoss, Raised: 5, Open: 2, Answered: 3, Confirmed: 1, OtherCause: 1, Refuted: 1, ClosedByData: 1, Withdrawn: 1},
		{Kind: Wear, Raised: 1, ClosedByData: 1},
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
	if s, want := got[0].String(), "charge loss: 3 answered, 1 confirmed, 1 with another cause, 1 refuted"; s != want {
		t.Errorf("in words: %q, want %q", s, want)
	}
	if only := AnsweredOnly(got); len(only) != 1 {
		t.Errorf("answered: %+v", only)
	}
}
