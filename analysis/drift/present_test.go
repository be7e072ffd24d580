package drift

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/condition"
	"rimelog/analysis/cycle"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// watchLog is an invented log of two hours, a sample a minute, of a machine that runs; at says
// what a sample shows.
func watchLog(minutes int, at func(minute int, set func(q cycle.Quantity, v float64))) condition.Stretch {
	c := &cycle.Columns{}
	for _, q := range []cycle.Quantity{cycle.Superheat, cycle.DischargeSuperheat, cycle.DischargeTemp, cycle.PressureRatio, cycle.Subcooling, cycle.RoomTemp} {
		c.Values[q] = make([]float64, minutes)
	}
	s := condition.Stretch{Columns: c, To: minutes, On: make([]bool, minutes), Told: true}
	for i := range minutes {
		c.Time = append(c.Time, int64(i)*60e6)
		set := func(q cycle.Quantity, v float64) { c.Values[q][i] = v }
		set(cycle.Superheat, 7)
		set(cycle.DischargeSuperheat, 30)
		set(cycle.DischargeTemp, 75)
		set(cycle.PressureRatio, 4)
		set(cycle.Subcooling, 5)
		set(cycle.RoomTemp, 3)
		s.On[i] = true
		if at != nil {
			at(i, set)
		}
	}
	return s
}

// stood is one visit with such a log.
func stood(sys register.System, own []register.Limit, s condition.Stretch) table.Condition {
	visit := table.Visit{Start: time.UnixMicro(0).UTC(), End: time.UnixMicro(s.Columns.Time[s.To-1]).UTC(), SuperheatU: 0.5, DischargeU: 0.8, SubcoolingU: 0.4, OutdoorTemp: 20}
	w := s.Watch(condition.NewLimits(sys, own).On(visit.Start))
	if b, err := json.Marshal(w); err != nil || json.Unmarshal(b, &w) != nil {
		panic(err)
	}
	return condition.Of([]table.Visit{visit}, []condition.Watch{w}, func(table.Visit, string) bool { return false })[0]
}

// What is raised of one visit; limits are those of the package, each with its source.
func TestPresentState(t *testing.T) {
	cold := register.NewSystem("A")
	cold.Kind, cold.Receiver, cold.Expansion = register.ColdRoom, register.NoReceiver, register.Thermostatic
	receiver, flooded, yf := cold, cold, cold
	receiver.Receiver, flooded.Expansion, yf.RefrigerantName = register.HighSideReceiver, register.Flooded, "R1234yf"
	own := func(n register.LimitName, v float64) []register.Limit {
		return []register.Limit{{System: "A", Name: n, Value: v, Source: "data sheet"}}
	}
	wetFrom := func(from int, dsh float64) func(int, func(cycle.Quantity, float64)) {
		return func(i int, set func(cycle.Quantity, float64)) {
			if i >= from {
				set(cycle.Superheat, 0.5)
				set(cycle.DischargeSuperheat, dsh)
			}
		}
	}
	for _, c := range []struct {
		name string
		sys  register.System
		own  []register.Limit
		log  condition.Stretch
		want string
	}{
		{"well", cold, nil, watchLog(120, nil), ""},
		{"liquid comes back", cold, nil, watchLog(120, wetFrom(90, 6)), LiquidReturn},
		{"low superheat and hot gas: a probe", cold, nil, watchLog(120, wetFrom(90, 25)), ""},
		{"a moment of it", cold, nil, watchLog(120, wetFrom(117, 6)), ""},
		{"a refrigerant that hardly gets warm", yf, nil, watchLog(120, wetFrom(90, 6)), ""},
		{"a flooded evaporator", flooded, nil, watchLog(120, wetFrom(90, 6)), ""},
		{"hot gas", cold, nil, watchLog(60, func(_ int, set func(cycle.Quantity, float64)) { set(cycle.DischargeTemp, 118) }), HotGas},
		{"the maker allows it", cold, own(register.MostDischargeTemp, 125), watchLog(60, func(_ int, set func(cycle.Quantity, float64)) { set(cycle.DischargeTemp, 118) }), ""},
		{"pressure ratio", cold, nil, watchLog(60, func(_ int, set func(cycle.Quantity, float64)) { set(cycle.PressureRatio, 14) }), HighRatio},
		{"no liquid", cold, nil, watchLog(60, func(_ int, set func(cycle.Quantity, float64)) { set(cycle.Subcooling, 0) }), NoSubcooling},
		{"no liquid before a receiver", receiver, nil, watchLog(60, func(_ int, set func(cycle.Quantity, float64)) { set(cycle.Subcooling, 0.1) }), ""},
		{"a warm room without a limit", cold, nil, watchLog(240, func(_ int, set func(cycle.Quantity, float64)) { set(cycle.RoomTemp, 9) }), ""},
		{"a warm room", cold, own(register.MostRoomTemp, 6), watchLog(240, func(_ int, set func(cycle.Quantity, float64)) { set(cycle.RoomTemp, 9) }), SetpointUnmet},
		{"a room that is pulled down", cold, own(register.MostRoomTemp, 6), watchLog(240, func(i int, set func(cycle.Quantity, float64)) { set(cycle.RoomTemp, 20-float64(i)/60) }), ""},
	} {
		found := Present(c.sys, c.own, nil, []table.Condition{stood(c.sys, c.own, c.log)}, nil, future, Options{})
		switch {
		case c.want == "" && len(found) > 0:
			t.Errorf("%s: %s raised: %s", c.name, found[0].Kind, found[0].Observed)
		case c.want != "" && (len(found) != 1 || found[0].Kind != c.want || found[0].State != Open || found[0].Evidence == ""):
			t.Errorf("%s: got %+v, want %s", c.name, found, c.want)
		}
	}
}

func TestShortCyclingAndValve(t *testing.T) {
	cold := register.NewSystem("A")
	s := watchLog(120, nil)
	for i := range s.On {
		s.On[i] = i%5 < 3 // 12 starts an hour
	}
	if f := Present(cold, nil, nil, []table.Condition{stood(cold, nil, s)}, nil, future, Options{}); len(f) != 1 || f[0].Kind != ShortCycling {
		t.Errorf("a start every five minutes: got %+v", f)
	}
	s.Told = false
	if f := Present(cold, nil, nil, []table.Condition{stood(cold, nil, s)}, nil, future, Options{}); len(f) != 0 {
		t.Errorf("nothing tells whether it ran: got %+v", f)
	}
	open := watchLog(60, nil)
	for range open.On {
		open.Valve = append(open.Valve, 100)
	}
	if f := Present(cold, nil, nil, []table.Condition{stood(cold, nil, open)}, nil, future, Options{}); len(f) != 1 || f[0].Kind != ValveAtStop {
		t.Errorf("a valve at its stop: got %+v", f)
	}
}

// After a start and a defrost liquid comes back for a while: that is left out.
func TestStartsAndDefrostsAreLeftOut(t *testing.T) {
	s := watchLog(90, func(i int, set func(cycle.Quantity, float64)) {
		if i%30 < 12 {
			set(cycle.Superheat, 0)
			set(cycle.DischargeSuperheat, 2)
		}
	})
	s.Columns.Defrost = make([]table.State, 90)
	for i := range s.Columns.Defrost {
		s.Columns.Defrost[i] = table.No
		if i%30 < 2 {
			s.Columns.Defrost[i] = table.Yes
		}
	}
	if c := stood(register.NewSystem("A"), nil, s); c.Wet != 0 || c.Watched < 35 {
		t.Errorf("%.0f of %.0f minutes, want none of some 40", c.Wet, c.Watched)
	}
}

// What is in doubt is unseen, and raises and closes nothing.
func TestDoubtHidesThePresent(t *testing.T) {
	sys := register.NewSystem("A")
	s := watchLog(60, func(_ int, set func(cycle.Quantity, float64)) { set(cycle.DischargeTemp, 130) })
	v := table.Visit{Start: time.UnixMicro(0).UTC(), End: time.UnixMicro(s.Columns.Time[59]).UTC()}
	w := []condition.Watch{s.Watch(condition.NewLimits(sys, nil).On(v.Start))}
	c := condition.Of([]table.Visit{v}, w, func(_ table.Visit, channel string) bool { return channel == "discharge_temp_c" })
	if len(c) != 1 || !math.IsNaN(c[0].Hot) || math.IsNaN(c[0].High) {
		t.Errorf("got %+v, want only the discharge temperature unseen", c)
	}
	v.Mode = condition.Heats
	if c := condition.Of([]table.Visit{v}, w, func(table.Visit, string) bool { return false }); len(c) != 0 {
		t.Errorf("a reversed machine: got %+v", c)
	}
}

// The life of a finding: raised, kept, closed by a visit within the limit; taken up again
// soon after, a new one long after; answered, it stays so until the answer is forgotten.
func TestPresentFindingsLive(t *testing.T) {
	sys := register.NewSystem("A")
	day := func(n int) time.Time { return time.Date(2025, 1, 1, 9, 0, 0, 0, time.UTC).AddDate(0, 0, n) }
	at := func(n int, temp float64) table.Condition {
		nan := math.NaN()
		return table.Condition{Start: day(n), Watched: 60, Observed: 60, Hot: is(temp > 107) * 60, HotLongest: is(temp > 107) * 60, HotTemp: temp, Wet: nan, High: nan, Flash: nan, Stop: nan, Warm: nan}
	}
	run := func(answers []register.Answer, c ...table.Condition) []table.Finding {
		return Present(sys, nil, answers, c, nil, future, Options{})
	}
	closed := run(nil, at(0, 120), at(30, 121), at(60, 90))
	if len(closed) != 1 || closed[0].ID != "A/hot-discharge-gas/2025-01-01" || closed[0].State != ClosedByData || !closed[0].ClearedOn.Equal(day(60)) || closed[0].Visits != 2 {
		t.Errorf("got %+v", closed)
	}
	if f := run(nil, at(0, 120), at(30, 90), at(60, 120)); len(f) != 1 || f[0].State != Open || f[0].ID != closed[0].ID || !f[0].RaisedOn.Equal(day(0)) {
		t.Errorf("soon again: got %+v", f)
	}
	if f := run(nil, at(0, 120), at(30, 90), at(120, 120)); len(f) != 2 || f[1].State != Open || f[1].ID == f[0].ID {
		t.Errorf("long after: got %+v", f)
	}
	if f := run(nil, at(0, 90), at(1, 120), at(2, 90), at(3, 90)); len(f) != 0 {
		t.Errorf("one day of a permanent log: got %+v", f)
	}
	a := []register.Answer{{Finding: closed[0].ID, System: "A", Time: day(3), Outcome: register.NothingFound}}
	if f := run(a, at(0, 120), at(30, 120)); len(f) != 1 || f[0].State != Answered {
		t.Errorf("answered: got %+v", f)
	}
	if f := run(a, at(0, 120), at(30, 120), at(200, 120)); len(f) != 1 || f[0].State != Open {
		t.Errorf("forgotten: got %+v", f)
	}
	a[0].Outcome = register.Confirmed
	if f := run(a, at(0, 120), at(30, 90)); len(f) != 1 || f[0].State != Answered || f[0].Answer != "confirmed" {
		t.Errorf("confirmed: got %+v", f)
	}
	// Whatever comes later raises nothing earlier.
	all := []table.Condition{at(0, 120), at(30, 121), at(60, 90), at(100, 120), at(130, 120)}
	for n := range all {
		early, whole := run(nil, all[:n+1]...), Present(sys, nil, nil, all, nil, all[n].Start, Options{})
		if len(early) != len(whole) || len(early) > 0 && early[len(early)-1].State != whole[len(whole)-1].State {
			t.Errorf("as of visit %d: %d findings, %d from the whole record", n, len(early), len(whole))
		}
	}
}

// Two routes that disagree on neighbouring days raise a finding, one odd day among others
// does not, and a day on which they agree closes it.
func TestSignsRaiseAFinding(t *testing.T) {
	sys := register.NewSystem("A")
	start := time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC)
	days := func(far ...bool) (signs []Sign) {
		for i, f := range far {
			signs = append(signs, Sign{Kind: RoutesApart, On: start.AddDate(0, 0, i), Beyond: f, Said: "as 1.30 to 1"})
		}
		return signs
	}
	for name, c := range map[string]struct {
		signs []Sign
		state string
	}{
		"agree": {days(false, false, false), ""}, "one odd day": {days(false, true, false), ""},
		"disagree": {days(false, true, true), Open}, "agree again": {days(false, true, true, false), ClosedByData},
	} {
		found := Present(sys, nil, nil, nil, c.signs, future, Options{})
		switch {
		case c.state == "" && len(found) > 0:
			t.Errorf("%s: %+v", name, found)
		case c.state != "" && (len(found) != 1 || found[0].State != c.state || found[0].Kind != RoutesApart || !strings.Contains(found[0].Evidence, "as 1.30 to 1")):
			t.Errorf("%s: %+v, want one that is %s", name, found, c.state)
		}
	}
}
