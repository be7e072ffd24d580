package register

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rimelog/pipeline/table"
)

// written is a register as files, made by the writers.
func written(t testing.TB, systems []System, channels []Channel, events []Event, instruments []Instrument) map[string]string {
	t.Helper()
	var s, c, e, i bytes.Buffer
	for _, err := range []error{WriteSystems(&s, systems), WriteChannels(&c, channels), WriteEvents(&e, events), WriteInstruments(&i, instruments)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return map[string]string{"systems.csv": s.String(), "channels.csv": c.String(), "events.csv": e.String(), "instruments.csv": i.String()}
}

// inventor makes rows with any mix of known and unknown fields.
type inventor struct{ *rand.Rand }

func (v inventor) maybe() bool { return v.IntN(3) > 0 }

func (v inventor) text() string {
	words := []string{"", "Harbour", "Kühlhaus, Tor 3", "18\" pipe", "=1+1", "'=x", "-5", "''@", "a\nb", ";", "# 4", "Ж"}
	return words[v.IntN(len(words))]
}

func (v inventor) number(lo, hi float64) float64 {
	if !v.maybe() {
		return math.NaN()
	}
	return lo + v.Float64()*(hi-lo)
}

func (v inventor) word(words vocabulary) int { return v.IntN(len(words)) }
func (v inventor) state() table.State        { return table.State(v.IntN(3)) }
func (v inventor) refrigerant() string       { return []string{"", "R134a", "R290", "R717"}[v.IntN(4)] }
func (v inventor) moment(z *time.Location) time.Time {
	return time.Date(2020+v.IntN(6), time.Month(1+v.IntN(12)), 1+v.IntN(28), 4+v.IntN(20), v.IntN(60), 0, 0, z)
}

func (v inventor) system(i int) System {
	s := NewSystem(fmt.Sprintf("%c%d.x-Y_z", 'a'+v.IntN(26), i))
	s.Site, s.Name, s.PowerCovers = v.text(), v.text(), v.text()
	s.Residential, s.Use, s.Jurisdiction = v.state(), Use(v.word(useWords)), []string{"", "DE", "US", "EU"}[v.IntN(4)]
	s.Kind, s.RefrigerantName = Kind(v.word(kindWords)), v.refrigerant()
	if s.Charge.KG = v.number(0, 500); !math.IsNaN(s.Charge.KG) {
		s.Charge.Source = ChargeSource(v.word(chargeWords))
	}
	s.Expansion, s.Receiver = Expansion(v.word(expansionWords)), Receiver(v.word(receiverWords))
	s.Accumulator, s.InternalHeatExchanger, s.Subcooler = v.state(), v.state(), v.state()
	s.HeadPressureControl, s.Hermetic, s.LeakDetection = v.state(), v.state(), v.state()
	s.HeadPressureFloor, s.Altitude = v.number(50, 15000), v.number(-450, 6000)
	s.DesignSuperheat, s.DesignSubcooling = v.number(0, 60), v.number(0, 60)
	s.Currency = []string{"", "EUR"}[v.IntN(2)]
	if v.maybe() {
		s.Zone, _ = time.LoadLocation([]string{"Europe/Berlin", "America/Chicago", "UTC"}[v.IntN(3)])
	}
	return s
}

func zoneOf(s System) *time.Location {
	if s.Zone == nil {
		return time.UTC
	}
	return s.Zone
}

func (v inventor) event(s System, i int) Event {
	k := EventKind(1 + v.IntN(int(Cancelled)-1)) // a row is cancelled by another only
	e := Event{
		System: s.ID, Kind: k, KG: math.NaN(), Refrigerant: v.refrigerant(), Quality: Quality(v.word(qualityWords)),
		Company: v.text(), Person: v.text(), Certificate: v.text(), Result: v.text(), Note: fmt.Sprint("n", i),
		Reason: Reason(v.word(reasonWords)), Outcome: Outcome(v.word(outcomeWords)),
		PersonCertificate: v.text(), Facility: v.text(), FacilityCertificate: v.text(), Record: fmt.Sprint(s.ID, "-", i),
	}
	if k.Sign() != 0 {
		e.KG = float64(k.Sign()) * v.number(0.001, 400)
	}
	e.Time, e.HasTime = v.moment(zoneOf(s)), v.maybe()
	if !e.HasTime {
		y, m, d := e.Time.Date()
		e.Time = time.Date(y, m, d, 0, 0, 0, 0, e.Time.Location())
	}
	return e
}

func (v inventor) channel(s System, i int) Channel {
	names := channelNames()
	c := Channel{
		System: s.ID, File: []string{"", "*.csv", "a/**/b?.csv"}[v.IntN(3)], Column: fmt.Sprintf("col %d", i),
		Channel: names[(2+i)%len(names)].name, Index: 1 + i%3, Unit: v.text(), Sign: 1 - 2*v.IntN(2), Instrument: v.text(),
	}
	if strings.HasSuffix(c.Channel, "_pressure") {
		c.Reference = Reference(v.word(referenceWords))
	}
	if v.maybe() {
		c.From = v.moment(zoneOf(s))
		c.To = c.From.AddDate(0, 0, 30)
	}
	return c
}

func (v inventor) instrument(i int) Instrument {
	in := NewInstrument(fmt.Sprint("s/n ", i))
	in.Kind, in.Class, in.Unit, in.Note = InstrumentKind(v.word(instrumentWords)), v.text(), v.text(), v.text()
	in.Limit, in.LimitPercent, in.Offset = v.number(0, 9), v.number(0, 9), v.number(-1, 1)
	in.SpanLow, in.SpanHigh = v.number(-9, 0), v.number(1, 99)
	if v.maybe() {
		in.Calibrated = time.Date(2025, 5, 1+v.IntN(28), 0, 0, 0, 0, time.UTC)
	}
	return in
}

// What the writers write, Load reads back: the same rows, and nothing to complain of.
func TestRoundTrip(t *testing.T) {
	for seed := range uint64(200) {
		v := inventor{rand.New(rand.NewPCG(seed, 0))}
		var systems []System
		var channels []Channel
		var events []Event
		var instruments []Instrument
		for i := range 1 + v.IntN(6) {
			s := v.system(i)
			systems = append(systems, s)
			for j := range v.IntN(4) {
				events = append(events, v.event(s, j))
				channels = append(channels, v.channel(s, j))
			}
		}
		for i := range v.IntN(4) {
			instruments = append(instruments, v.instrument(i))
		}
		r := load(t, written(t, systems, channels, events, instruments))
		for _, p := range r.Problems {
			if !(p.Column == "instrument" && len(instruments) > 0) {
				t.Errorf("seed %d: %v", seed, p)
			}
		}
		for _, want := range systems {
			got, _ := r.System(want.ID)
			equal(t, seed, got, want)
		}
		for _, want := range instruments {
			got, _ := r.Instrument(want.Serial)
			equal(t, seed, got, want)
		}
		equalRows(t, seed, channels, func(c Channel) []Channel { return r.Channels(c.System, "", time.Time{}) }, func(c Channel) string { return c.Column })
		equalRows(t, seed, events, func(e Event) []Event { return r.Events(e.System) }, func(e Event) string { return e.Note })
	}
}

// equalRows looks for each row among the loaded ones of its system.
func equalRows[Row any](t *testing.T, seed uint64, want []Row, loaded func(Row) []Row, key func(Row) string) {
	t.Helper()
	for _, w := range want {
		found := false
		for _, g := range loaded(w) {
			if key(g) == key(w) {
				found = true
				equal(t, seed, g, w)
			}
		}
		if !found {
			t.Errorf("seed %d: lost %+v", seed, w)
		}
	}
}

// equal compares two rows field by field: NaN equals NaN, zones by name, moments
// by instant; the line is where it was written, not what.
func equal(t *testing.T, seed uint64, got, want any) {
	t.Helper()
	g, w := reflect.ValueOf(got), reflect.ValueOf(want)
	for i := range g.NumField() {
		name := g.Type().Field(i).Name
		a, b := g.Field(i).Interface(), w.Field(i).Interface()
		same := fmt.Sprint(a) == fmt.Sprint(b)
		if at, ok := a.(time.Time); ok {
			same = at.Equal(b.(time.Time))
		}
		if name != "Line" && !same {
			t.Errorf("seed %d: %T.%s: read %v, wrote %v", seed, got, name, a, b)
		}
	}
}

// The canonical texts follow the meaning, not the layout of the files.
func TestCanonicalTexts(t *testing.T) {
	files := map[string]string{
		"systems.csv": "system,site,zone,altitude_m,refrigerant\nA1,Harbour,Europe/Berlin,5,R134a\nB2,Hill,UTC,,\n",
		"channels.csv": "system,file,column,channel,unit,instrument\nA1,,p1,suction_pressure,bar,X1\nA1,a*.csv,p1,suction_pressure,psi,\n" +
			"A1,b*.csv,p2,discharge_pressure,bar,\nB2,,p1,liquid_pressure,bar,\n",
		"events.csv":      "system,date,event,kg\nA1,2026-01-02,charge added,1\nA1,2026-01-02,repaired,\nB2,2026-01-02,repaired,\n",
		"instruments.csv": "serial,limit,unit\nX1,0.1,bar\nX2,1,K\n",
	}
	before := load(t, files)
	texts := func(r *Register) map[string]string {
		return map[string]string{
			"reading a": r.ReadingRows("A1", "a.csv", true), "reading b": r.ReadingRows("A1", "b.csv", true),
			"analysis A1": r.AnalysisRows("A1"), "analysis B2": r.AnalysisRows("B2"), "fleet": r.FleetRows(),
		}
	}
	for _, c := range []struct{ name, file, old, new, changes string }{
		{"blanks and numbers as written", "systems.csv", "A1,Harbour,Europe/Berlin,5,R134a", "A1 , Harbour,Europe/Berlin,5.0,r134A", ""},
		{"rows", "systems.csv", "A1,Harbour,Europe/Berlin,5,R134a\nB2,Hill,UTC,,\n", "\nB2,Hill,UTC,,\nA1,Harbour,Europe/Berlin,5,R134a\n", ""},
		{"rows of one day", "events.csv", "A1,2026-01-02,charge added,1\nA1,2026-01-02,repaired,\n", "A1,2026-01-02,repaired,\nA1,2026-01-02,charge added,1\n", ""},
		{"columns", "instruments.csv", "serial,limit,unit\nX1,0.1,bar\nX2,1,K\n", "unit;serial;limit\nbar;X1;0,1\nK;X2;1\n", ""},
		{"a comment", "channels.csv", "\nB2", "\n# here\nB2", ""},

		{"a site's name", "systems.csv", "Harbour", "Port", "fleet"},
		{"refrigerant", "systems.csv", "R134a", "R290", "analysis A1, fleet"},
		{"altitude", "systems.csv", ",5,", ",6,", "analysis A1, fleet, reading a, reading b"},
		{"a channel of one file", "channels.csv", "psi", "kPa", "fleet, reading a"},
		{"an instrument's place", "channels.csv", "bar,X1", "bar,X2", "analysis A1, fleet"},
		{"an instrument", "instruments.csv", "0.1", "0.2", "analysis A1, fleet"},
		{"an event", "events.csv", "B2,2026-01-02", "B2,2026-01-03", "analysis B2, fleet"},
		{"a mistake", "events.csv", "kg\n", "kilo\n", "analysis A1, fleet"},
	} {
		changed := map[string]string{}
		for name, text := range files {
			changed[name] = text
		}
		changed[c.file] = strings.Replace(files[c.file], c.old, c.new, 1)
		if changed[c.file] == files[c.file] {
			t.Fatalf("%s: nothing changed", c.name)
		}
		now, then := texts(load(t, changed)), texts(before)
		var differ []string
		for _, which := range []string{"analysis A1", "analysis B2", "fleet", "reading a", "reading b"} {
			if now[which] != then[which] {
				differ = append(differ, which)
			}
		}
		if got := strings.Join(differ, ", "); got != c.changes {
			t.Errorf("%s changes %q, want %q", c.name, got, c.changes)
		}
	}
}

func TestChannels(t *testing.T) {
	r := load(t, map[string]string{
		"systems.csv": twoSystems,
		"channels.csv": `system,file,column,channel,unit,valid_from,valid_to
A1,,P low,suction_pressure,bar,,
A1,visits/**,p LOW,suction_pressure,psi,,
A1,*.log,#3,liquid_temp,°F,2026-01-01,2026-03-31
A1,*.log,#3,liquid_temp,°C,2026-04-01,
B2,uploads\shared\*.csv,T2,liquid_temp,,,
`})
	if len(r.Problems) != 0 {
		t.Fatal(messages(r))
	}
	berlin := func(month time.Month, day, hour int) time.Time {
		s, _ := r.System("A1")
		return time.Date(2026, month, day, hour, 0, 0, 0, s.Zone)
	}
	for _, c := range []struct {
		system, upload string
		at             time.Time
		want           string
	}{
		{"A1", "x.csv", berlin(2, 1, 0), "P low in bar"},
		{"a1", "Visits/2026/x.csv", berlin(2, 1, 0), "p LOW in psi"},
		{"A1", "visits/x.LOG", berlin(2, 1, 0), "#3 in °F, p LOW in psi"},
		{"A1", "y/x.log", berlin(3, 31, 23), "#3 in °F, P low in bar"}, // the last day counts
		{"A1", "y/x.log", berlin(4, 1, 0), "#3 in °C, P low in bar"},
		{"A1", "y/x.log", berlin(1, 1, 0).Add(-time.Second), "P low in bar"},
		{"A1", "visits/x.log", time.Time{}, "#3 in °F, #3 in °C, p LOW in psi, P low in bar"},
		{"B2", "shared/x.csv", berlin(2, 1, 0), "T2 in "},
		{"B2", "shared/deep/x.csv", berlin(2, 1, 0), ""},
		{"C3", "x.csv", berlin(2, 1, 0), ""},
	} {
		var got []string
		for _, ch := range r.Channels(c.system, c.upload, c.at) {
			got = append(got, ch.Column+" in "+ch.Unit)
		}
		if strings.Join(got, ", ") != c.want {
			t.Errorf("%s, %s at %v: got %q, want %q", c.system, c.upload, c.at, strings.Join(got, ", "), c.want)
		}
	}
	for upload, want := range map[string]string{"x.csv": "", "shared/x.csv": "B2", "visits/x.csv": "A1", "shared/x.log": "A1"} {
		if got := strings.Join(r.Claimants(upload), " "); got != want {
			t.Errorf("claimants of %s: %q, want %q", upload, got, want)
		}
	}
}

func TestIDs(t *testing.T) {
	for _, c := range []struct{ id, proposal string }{
		{"A", ""}, {"rack-7.b_2", ""}, {strings.Repeat("a", 64), ""},
		{"", "system-1"}, {"7", "S-7"}, {"a b", "a-b"}, {"a.", "a"}, {"con", "S-con"}, {"Com1.x", "S-Com1.x"},
		{"Çöld/../room", "Cold-..-room"}, {"../..", "system-1"}, {strings.Repeat("a", 65), strings.Repeat("a", 64)}, {"日本", "system-1"},
	} {
		err := CheckID(c.id)
		if (err == nil) != (c.proposal == "") || err != nil && !strings.HasSuffix(err.Error(), "; write "+c.proposal) {
			t.Errorf("CheckID(%q) = %v, want the proposal %q", c.id, err, c.proposal)
		}
		if p := proposeID(c.id); CheckID(p) != nil {
			t.Errorf("proposal for %q is refused itself: %v", c.id, CheckID(p))
		}
	}
}

// Whatever the bytes are: no panic, every row read or complained of, and what was
// read is read again from what the writers make of it.
func FuzzLoad(f *testing.F) {
	for _, seed := range []string{
		"system,zone\nA1,Europe/Berlin\n", "\xff\xfes\x00", "sep=;\nsystem;design_charge_kg\nA1;4,5\n",
		"column,system,channel\n#3,A1,running\n# \"comment\n", "system,site\n\"A1\n\"B\",x\n", "system\tsite\n\t\t\nA1\t=1\n",
		"system,date,event,kg\nA1,2026-03-29 02:30,charge added,3 lb\nA1,,,\n", "serial,offset\n#1,2\nx,1e-300\n", "system,valid_to,column,unit\nA1,2026-10-25,x,bar\n",
		"system,date,event,kg,corrects,record\nA1,2026-01-02,charge added,12 oz,,7\nA1,2026-01-02,charge added,16 oz,7,8\nA1,,cancelled,,8,\nA1,,cancelled,,2026-01-02,\n",
		"system,date,,corrects,record\nA1,,,7,8\nA1,,,,8\nA1",
		"system,charge_low_kg,charge_high_kg,jurisdiction,use\nA1,3,2,de,other\nB2,1,,Elbonia,\n",
		"finding,date,outcome,quiet_until\nA1/valve-fault/2025-02-03,2026-03-29 02:30,confirmed,2026-03-29\na1/x/y/2,2026-10-25,,2026-10-25\n",
		"system,kind,limit,value,valid_from,valid_to,source\nA1,,most starts,8,2025-01-01,,x\n,chiller,least superheat,2,,2025-01-01,\n,,most starts,999,,,\n",
	} {
		for i := range Files() {
			f.Add([]byte(seed), uint8(i))
		}
	}
	f.Fuzz(func(t *testing.T, text []byte, which uint8) {
		files := fstest.MapFS{"systems.csv": {Data: []byte(twoSystems)}}
		files[fileNames()[int(which)%len(fileNames())]] = &fstest.MapFile{Data: text}
		first, err := Load(context.Background(), files)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range first.Problems {
			if p.Problem == "" || p.Remedy == "" {
				t.Errorf("no problem or no remedy: %#v", p)
			}
		}
		again := load(t, rewritten(t, first))
		first.Problems, again.Problems = nil, nil
		if a, b := first.FleetRows(), again.FleetRows(); a != b {
			t.Errorf("read\n%s\nand after writing\n%s", a, b)
		}
	})
}

// rewritten is a loaded register as files.
func rewritten(t testing.TB, r *Register) map[string]string {
	var channels []Channel
	var events []Event
	for _, s := range r.Systems {
		channels = append(channels, r.Channels(s.ID, "", time.Time{})...)
		events = append(events, r.Book(s.ID)...)
	}
	slices.SortFunc(events, func(a, b Event) int { return a.Line - b.Line }) // corrections come after what they correct
	files := written(t, r.Systems, channels, events, r.Instruments)
	var answers []Answer
	for _, s := range r.Systems {
		answers = append(answers, r.Answers(s.ID)...)
	}
	var b bytes.Buffer
	if err := WriteAnswers(&b, answers); err != nil {
		t.Fatal(err)
	}
	files["answers.csv"] = b.String()
	b.Reset()
	if err := WriteLimits(&b, r.ownLimits); err != nil {
		t.Fatal(err)
	}
	files["limits.csv"] = b.String()
	return files
}
