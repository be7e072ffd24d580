package drift

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// Of twenty machines of one model one stands 6 K lower: it alone is the odd one out.
func TestTheOddOneOut(t *testing.T) {
	fleet := peers(20)
	for i := range fleet[7].points {
		fleet[7].points[i].values[atSubcooling] -= 6
	}
	priors := Priors(fleet, inQuarter)
	var odd []string
	for _, r := range fleet {
		for _, c := range Odd(r, r.Baselines(priors, nil, inQuarter), priors) {
			if c.Odd {
				odd = append(odd, c.System+" "+c.Feature)
			}
			if c.Systems != 20 {
				t.Errorf("%s is compared with %d systems", c.System, c.Systems)
			}
		}
	}
	if strings.Join(odd, ", ") != "P7 "+Subcooling {
		t.Errorf("odd: %v, want P7 alone", odd)
	}
}

func TestRecurrences(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2025, 1, 1, 9, 0, 0, 0, time.UTC).AddDate(0, 0, n) }
	f := func(id, kind string, raised, cleared int, reason, answer string) table.Finding {
		x := table.Finding{ID: id, System: "A", Kind: kind, RaisedOn: day(raised), Reason: reason, Answer: answer, State: Open}
		if cleared > 0 {
			x.ClearedOn, x.State = day(cleared), ClosedByData
		}
		return x
	}
	got := Recurrences([]table.Finding{
		f("3", ChargeLoss, 300, 0, "", ""), f("1", ChargeLoss, 10, 40, "repaired on 2025-02-10", ""),
		f("2", ChargeLoss, 100, 140, "confirmed on 2025-05-20", "confirmed"),
		f("4", CondenserFouling, 10, 40, "3 times in a row likelier that nothing is wrong", ""), f("5", CondenserFouling, 100, 0, "", ""),
	})
	if len(got) != 2 || got[0].Finding != "1" || got[0].Again != "2" || got[0].Days != 60 || got[1].Again != "3" || got[1].Days != 160 {
		t.Errorf("got %+v, want the leak twice, and no coil that only got better by itself", got)
	}
}

// An instrument that reads 1.5 K too much at eight machines that others log as well is
// found, and no other.
func TestInstrumentsAgainstEachOther(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	var fleet []Record
	var baselines []table.Baseline
	for range 8 {
		s := system()
		s.ID = "S" + string(rune('A'+len(fleet)))
		visits := machine{visits: 24, every: month, noise: 0.3}.draw(rng)
		for i := range visits {
			visits[i].Instruments = []string{"P-1 T-1", "P-2 T-2", "P-3 T-2"}[i%3]
			if i%3 == 0 {
				visits[i].Subcooling += 1.5
			}
		}
		fleet = append(fleet, NewRecord(s, nil, visits, Options{}))
		baselines = append(baselines, fleet[len(fleet)-1].Baselines(nil, nil, future)...)
	}
	for _, c := range InstrumentsCompared(fleet, baselines) {
		bad := c.Feature == Subcooling && (c.Serial == "P-1" || c.Serial == "T-1")
		if bad && (!c.Doubtful || c.Offset < 0.7 || c.Systems != 8) {
			t.Errorf("%s: %+v, want it doubtful: it reads 1.5 K above the others, 1 K above the mean of all", c.Serial, c)
		}
		if c.Doubtful && c.Offset > 0 && !bad {
			t.Errorf("%s reads %s too high: %+v", c.Serial, c.Feature, c)
		}
	}
}

func TestWhenASystemWasSeen(t *testing.T) {
	s := system()
	s.Charge.KG = 0.4
	asOf := time.Date(2025, 7, 1, 0, 0, 0, 0, time.UTC)
	visit := func(back int, use string) table.Visit {
		at := asOf.AddDate(0, 0, -back)
		return table.Visit{Start: at, End: at.Add(time.Hour), Use: use, SuctionPressure: 300, DischargePressure: 1200, Reason: map[string]string{table.UseNone: "never settled"}[use]}
	}
	c := Seen(s, []table.Visit{visit(400, table.UseTrend), visit(200, table.UseTrend), visit(10, table.UseNone)}, asOf, Options{})
	if c.Visits != 3 || c.Usable != 2 || !c.Unseen || c.Reason != "never settled" || c.Months < 6.4 || c.Months > 6.7 {
		t.Errorf("200 days without a usable visit: %+v", c)
	}
	if c.Connected != 2 || !strings.Contains(c.Advice, "do not connect hoses just to look") || !strings.Contains(c.Advice, "2 time(s)") {
		t.Errorf("a charge of 0.4 kg: %q with %d connections, want two in a year", c.Advice, c.Connected)
	}
	s.Charge.KG = 12
	if c := Seen(s, []table.Visit{visit(100, table.UseTrend)}, asOf, Options{}); c.Unseen || c.Advice != "" || c.Reason != "" {
		t.Errorf("100 days, 12 kg: %+v", c)
	}
	if c := Seen(register.NewSystem("B"), nil, asOf, Options{}); !c.Unseen || c.Visits != 0 {
		t.Errorf("never seen: %+v", c)
	}
}
