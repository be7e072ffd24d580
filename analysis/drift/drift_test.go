package drift

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// alarms counts false findings per 100 system-years of machines that are well, by
// kind.
func alarms(m machine, machines int, seed uint64) map[string]float64 {
	rng := rand.New(rand.NewPCG(seed, 1))
	count, total := map[string]float64{}, 0.0
	for range machines {
		visits := m.draw(rng)
		for _, f := range raised(visits) {
			count[f.Kind]++
		}
		total += years(visits[len(visits)-1].Start.Sub(visits[0].Start))
	}
	for kind := range count {
		count[kind] *= 100 / total
	}
	return count
}

// Fewer than one false finding of each kind in 100 system-years: noise, season and
// offsets of instruments are no drift. The 90 system-years of each kind of record here
// resolve one finding in 90; the long test has 600.
func TestFalseFindings(t *testing.T) {
	for name, m := range map[string]machine{
		"one set of instruments":   {visits: 37, every: month, noise: 0.7},
		"three sets, ±1 K":         {visits: 37, every: month, noise: 0.7, offset: 1, sets: 3},
		"another set after a year": {visits: 37, every: month, noise: 0.7, offset: 1.5, sets: 2, handover: 12},
	} {
		for kind, got := range alarms(m, 30, 11) {
			if got > 1.2 {
				t.Errorf("%s: %.2f false findings of %s in 100 system-years, want about 1 at most", name, got, kind)
			}
		}
	}
}

// detection is how many months after its start a change is found, in the middle
// of many machines.
func detection(t *testing.T, m machine, kind string, machines int, seed uint64) float64 {
	t.Helper()
	rng := rand.New(rand.NewPCG(seed, 2))
	var months []float64
	for range machines {
		visits := m.draw(rng)
		months = append(months, monthsTo(kind, raised(visits), visits[m.from].Start))
	}
	return middleOf(months)
}

// monthsTo is how long after a time a kind of finding came first; infinite where none did.
func monthsTo(kind string, findings []table.Finding, from time.Time) float64 {
	after := math.Inf(1)
	for _, f := range findings {
		if f.Kind == kind {
			after = math.Min(after, f.RaisedOn.Sub(from).Hours()/month.Hours())
		}
	}
	return after
}

func middleOf(months []float64) float64 {
	slices.Sort(months)
	return months[len(months)/2]
}

func TestSlowFaultsAreFound(t *testing.T) {
	for _, tc := range []struct {
		name string
		m    machine
		kind string
		most float64 // months until half of them are found
	}{
		// 2.5 K a year is about 6 % of the charge (Li & Braun 2009: 2.4 % per K).
		{"leak after a year", machine{visits: 32, every: month, noise: 0.7, leak: 2.5, from: 12}, ChargeLoss, 11},
		// From the first visit on, the season must be learnt beside the leak.
		{"leak from the first visit on", machine{visits: 24, every: month, noise: 0.7, leak: 2.5}, ChargeLoss, 16.5},
		{"leak, better probes", machine{visits: 30, every: month, noise: 0.3, leak: 2.5, from: 12}, ChargeLoss, 8.5},
		// No two visits with the same instruments can wait for six of them.
		{"large leak, other instruments all the time", machine{visits: 30, every: month, noise: 0.4, offset: 0.4, sets: 6, leak: 6, from: 12}, ChargeLoss, 6.5},
		{"condenser fouls", machine{visits: 32, every: month, noise: 0.7, fouling: 4, from: 12}, CondenserFouling, 9},
		{"evaporator fouls", machine{visits: 32, every: month, noise: 0.7, icing: 4, from: 12}, EvaporatorFouling, 9},
	} {
		got := detection(t, tc.m, tc.kind, 61, 5)
		t.Logf("%s: %.1f months", tc.name, got)
		if !(got <= tc.most) {
			t.Errorf("%s: found after %.1f months in the middle, want at most %.1f", tc.name, got, tc.most)
		}
	}
}

// What is decided after a visit rests on the visits up to it: a record that ends
// there gives the same trends, and the findings raised until then.
func TestDecisionsAreCausal(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	raised := 0
	for _, m := range []machine{
		{visits: 30, every: month, noise: 0.5, leak: 3, from: 8},
		{visits: 30, every: month, noise: 0.5, fouling: 4, sets: 2, offset: 1},
		{visits: 120, every: 3 * 24 * time.Hour, noise: 0.5, leak: 6},
	} {
		visits := m.draw(rng)
		slices.SortFunc(visits, func(a, b table.Visit) int { return a.Start.Compare(b.Start) })
		events := []register.Event{{Kind: register.CoilCleaned, Time: visits[len(visits)/2].Start.Add(time.Hour), HasTime: true}}
		whole, causes := Judge(system(), events, visits, Options{}), Causes(system(), events, visits, Options{})
		for n := 1; n <= len(visits); n += 1 + len(visits)/15 {
			part := Judge(system(), events, visits[:n], Options{})
			if a, b := fmt.Sprint(part), fmt.Sprint(whole[:len(part)]); a != b {
				t.Fatalf("visit %d: a shorter record gives other trends:\n%s\n%s", n, a, b)
			}
			on := visits[n-1].Start
			early := Causes(system(), events, visits[:n], Options{})
			if a, b := fmt.Sprint(early), fmt.Sprint(causes[:len(early)]); a != b {
				t.Fatalf("visit %d: a shorter record gives other causes:\n%s\n%s", n, a, b)
			}
			a := Findings(system(), events, nil, part, early, on, Options{})
			b := Findings(system(), events, nil, whole, causes, on, Options{})
			if fmt.Sprint(a) != fmt.Sprint(b) {
				t.Fatalf("visit %d: other findings:\n%+v\n%+v", n, a, b)
			}
			raised += len(a)
		}
	}
	if raised == 0 {
		t.Error("nothing was raised at all: the test says nothing")
	}
}

func TestOrderAndLevelDoNotMatter(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	visits := machine{visits: 20, every: month, noise: 0.7, leak: 2}.draw(rng)
	want := Judge(system(), nil, visits, Options{})
	shuffled := slices.Clone(visits)
	rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	if got := Judge(system(), nil, shuffled, Options{}); fmt.Sprint(got) != fmt.Sprint(want) {
		t.Error("trends depend on the order in which visits come")
	}
	for i := range shuffled {
		shuffled[i].Subcooling += 3
	}
	for i, tr := range Judge(system(), nil, shuffled, Options{}) {
		w := want[i]
		if tr.Feature != Subcooling || w.Verdict == NotJudged {
			continue
		}
		if tr.Verdict != w.Verdict || math.Abs(tr.PerYear-w.PerYear) > 1e-4 || math.Abs(tr.Level-w.Level-3) > 1e-3 {
			t.Errorf("3 K more subcooling everywhere: %+v, want the slope of %+v", tr, w)
		}
	}
}

// Where head pressure control holds the condensing temperature at 24 °C, a cold
// winter is no fouled condenser, and a fouled one shows in summer.
func TestHeadPressureFloor(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	held := func(fouling float64) (out int) {
		for range 12 {
			visits := machine{visits: 36, every: month, noise: 0.4}.draw(rng)
			for i := range visits {
				v := &visits[i]
				free := v.OutdoorTemp + v.CondenserTD + fouling*years(v.Start.Sub(visits[0].Start))
				v.CondensingTemp = math.Max(free, 24+0.3*rng.NormFloat64())
				v.CondenserTD = v.CondensingTemp - v.OutdoorTemp
			}
			for _, f := range found(visits) {
				if f.Kind == CondenserFouling {
					out++
				}
			}
		}
		return out
	}
	if n := held(0); n > 0 {
		t.Errorf("clean condensers: %d of 12 machines have a finding, want none", n)
	}
	if n := held(3); n < 11 {
		t.Errorf("condensers that foul by 3 K a year: %d of 12 machines have a finding, want nearly all", n)
	}
	known := system()
	known.RefrigerantName, known.HeadPressureFloor = "R134a", 770.6 // saturation at 30 °C: 770.2 kPa (Tillner-Roth & Baehr 1994), from memory
	if at := floor(known, features()[atCondenser], nil); math.Abs(at-30-nearFloor) > 0.1 {
		t.Errorf("floor of the register: %.2f °C, want %.2f", at, 30+nearFloor)
	}
}

func last(trends []table.Trend, feature string) table.Trend {
	for _, t := range slices.Backward(trends) {
		if t.Feature == feature {
			return t
		}
	}
	return table.Trend{}
}

func TestWhatCannotBeJudgedSaysWhy(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	plenty := machine{visits: 14, every: month, noise: 0.5}.draw(rng)
	with := func(change func(*table.Visit)) []table.Visit {
		out := slices.Clone(plenty)
		for i := range out {
			change(&out[i])
		}
		return out
	}
	receiver, flooded := system(), system()
	receiver.Receiver = register.HighSideReceiver
	flooded.Expansion = register.Flooded
	spot := plenty[0]
	spot.Use, spot.Reason = table.UseSpot, "4 minutes: too short to judge a trend"
	half := slices.Clone(plenty[:7])
	for i := range half {
		half[i].OutdoorTemp, half[i].CondensingTemp = math.NaN(), math.NaN()
	}
	sets := slices.Clone(plenty[:9])
	for i := range sets {
		sets[i].Instruments = fmt.Sprint("S", i/2)
	}
	for _, tc := range []struct {
		name    string
		system  register.System
		visits  []table.Visit
		feature string
		want    string
	}{
		{"one short log", system(), []table.Visit{spot}, Subcooling, "one visit, not used: 4 minutes: too short to judge a trend"},
		{"few visits", system(), plenty[:3], Subcooling, "too few to judge a trend"},
		{"receiver", receiver, plenty, Subcooling, "cannot be judged from these channels"},
		{"flooded evaporator", flooded, plenty, Superheat, "flooded"},
		{"no liquid temperature", system(), with(func(v *table.Visit) { v.Subcooling = math.NaN() }), Subcooling, "a channel it needs was not logged"},
		{"no season", system(), half, Subcooling, "season and change cannot be told apart"},
		{"instruments change all the time", system(), sets, Subcooling, "instruments changed"},
	} {
		tr := last(Judge(tc.system, nil, tc.visits, Options{}), tc.feature)
		if tr.Verdict != NotJudged || !strings.Contains(tr.Note, tc.want) {
			t.Errorf("%s: %q, %q; want not judged, with %q", tc.name, tr.Verdict, tr.Note, tc.want)
		}
	}
	if tr := last(Judge(receiver, nil, plenty, Options{}), Superheat); tr.Verdict == NotJudged {
		t.Errorf("superheat beside a receiver: %s; want it judged", tr.Note)
	}
}

// Signs: Rossi & Braun 1997 for fixed orifices, NIST SP 1087 (from memory) for valves;
// in a year and after half a record without trouble.
func TestCausesFollowTheSigns(t *testing.T) {
	type moves struct{ subcooling, superheat, condenser, evaporator float64 }
	for _, tc := range []struct {
		name   string
		m      moves
		sudden bool
		want   string
	}{
		{"nothing moves", moves{}, false, ""},
		{"subcooling falls", moves{subcooling: -4}, false, ChargeLoss},
		{"subcooling falls, superheat rises", moves{subcooling: -4, superheat: 5}, false, ChargeLoss},
		{"too little to send somebody", moves{subcooling: -0.6}, false, ""},
		{"condenser difference rises", moves{condenser: 4}, false, CondenserFouling},
		{"and subcooling falls a little with it", moves{condenser: 5, subcooling: -0.8}, false, CondenserFouling},
		{"evaporator difference rises", moves{evaporator: 4}, false, EvaporatorFouling},
		{"evaporator starves behind a full condenser", moves{superheat: 6, evaporator: 4, subcooling: 3}, false, Restriction},
		{"all that counts from discharge pressure rises at once", moves{condenser: 4, subcooling: 4}, true, Gas},
		{"the condenser fills at once", moves{condenser: 1, subcooling: 5}, true, Overcharge},
		{"superheat jumps", moves{superheat: 10, evaporator: 5, subcooling: 2}, true, Valve},
	} {
		rng := rand.New(rand.NewPCG(31, 1))
		right := 0
		const machines = 9
		for range machines {
			visits := machine{visits: 30, every: month, noise: 0.4}.draw(rng)
			for i := 15; i < len(visits); i++ {
				share := years(visits[i].Start.Sub(visits[14].Start))
				if tc.sudden {
					share = 1
				}
				v := &visits[i]
				v.Subcooling += tc.m.subcooling * share
				v.Superheat += tc.m.superheat * share
				v.CondenserTD += tc.m.condenser * share
				v.EvaporatorTD += tc.m.evaporator * share
			}
			first := ""
			if f := raised(visits); len(f) > 0 {
				first = f[0].Kind
			}
			if first == tc.want {
				right++
			}
		}
		if right < machines-2 {
			t.Errorf("%s: %d of %d machines have %q as their first finding, want nearly all", tc.name, right, machines, tc.want)
		}
	}
}

// A leak that is repaired closes; one that is only topped up stays open, and keeps
// its identity when it shows again.
func TestEventsCloseFindings(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	leak := machine{visits: 24, every: month, noise: 0.4, leak: 3, from: 4}.draw(rng)
	end := leak[23].Start.AddDate(0, 0, 10)
	again := machine{visits: 24, every: month, noise: 0.4, leak: 3}.draw(rng)
	for i := range again {
		again[i].Start = end.AddDate(0, i, 3)
		again[i].OutdoorTemp = 10 - 11*math.Cos(2*math.Pi*float64(again[i].Start.YearDay())/365)
	}
	all := append(slices.Clone(leak), again...)
	event := func(k register.EventKind) register.Event { return register.Event{Kind: k, Time: end} }

	repaired := found(append(slices.Clone(leak), again[0]), event(register.Repaired))
	if len(repaired) != 1 || repaired[0].State != ClosedByData || !repaired[0].ClearedOn.Equal(again[0].Start) || !strings.Contains(repaired[0].Evidence, "repaired on") {
		t.Errorf("repaired: got %+v, want it closed at the first visit after", repaired)
	}
	added := found(all, event(register.ChargeAdded))
	if len(added) != 1 || added[0].State != Open || !added[0].RaisedOn.Before(end) || !added[0].ChangedOn.After(end) {
		t.Errorf("only topped up: got %+v, want the same finding, open, seen again", added)
	}
	cleaned := found(append(slices.Clone(leak), again[0]), event(register.CoilCleaned))
	if len(cleaned) != 1 || cleaned[0].State != Open || !strings.Contains(cleaned[0].Evidence, "Coil cleaned on") {
		t.Errorf("a coil cleaned mends no leak: got %+v", cleaned)
	}
	twice := found(all, event(register.Repaired))
	if len(twice) != 2 || twice[0].ID == twice[1].ID {
		t.Errorf("repaired and leaking again: got %+v, want two findings", twice)
	}
}

func TestRank(t *testing.T) {
	f := func(id, kind, state string, size float64) table.Finding {
		return table.Finding{ID: id, Kind: kind, State: state, Size: size}
	}
	list := []table.Finding{
		f("closed", ChargeLoss, ClosedByData, -9), f("coil", CondenserFouling, Open, 3),
		f("small", ChargeLoss, Open, -1.6), f("large", ChargeLoss, Open, -4),
	}
	Rank(list)
	var got []string
	for _, x := range list {
		got = append(got, fmt.Sprint(x.Rank, x.ID))
	}
	if want := []string{"1large", "2small", "3coil", "0closed"}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestOptionsTellEverythingThatIsWrong(t *testing.T) {
	err := Options{Significance: 2, Confidence: math.NaN(), MinVisits: 1, Quiet: -1}.Validate()
	for _, want := range []string{"significance", "confidence", "min_visits", "quiet"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want it to name %s", err, want)
		}
	}
}
