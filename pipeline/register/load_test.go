package register

import (
	"context"
	"io/fs"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"rimelog/pipeline/table"
)

// load reads a register from texts by file name.
func load(t testing.TB, files map[string]string) *Register {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	r, err := Load(context.Background(), fsys)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func messages(r *Register) string {
	var b strings.Builder
	for _, p := range r.Problems {
		b.WriteString(p.Error() + "\n")
	}
	return b.String()
}

const twoSystems = "system,zone\nA1,Europe/Berlin\nB2,UTC\n"

// What people are told, word for word. Each text names place, value and remedy.
func TestMistakes(t *testing.T) {
	for _, c := range []struct{ name, file, text, want string }{
		{"unknown word", "systems.csv", "system,expansion\nA1,thermostatik\n",
			`register/systems.csv:2: expansion "thermostatik": not a word this column knows; write thermostatic`},
		{"word far off", "systems.csv", "system,receiver\nA1,blue\n",
			`register/systems.csv:2: receiver "blue": not a word this column knows; write one of none, high side, low side; or leave the cell empty`},
		{"no number", "systems.csv", "system,design_charge_kg\nA1,a lot\n",
			`register/systems.csv:2: design_charge_kg "a lot": not a number; write digits with one decimal mark, such as 4.5, or leave the cell empty`},
		{"thousands or decimals", "systems.csv", "system,altitude_m\nA1,\"1,200\"\n",
			`register/systems.csv:2: altitude_m "1,200": could mean two numbers; write 1200 or 1.2`},
		{"thousands or decimals, semicolons", "systems.csv", "system;altitude_m\nA1;1.200\n",
			`register/systems.csv:2: altitude_m "1.200": could mean two numbers; write 1200 or 1.2`},
		{"a dot among decimal commas", "systems.csv", "system;altitude_m;design_superheat_k\nA1;1.200;4,5\n",
			`register/systems.csv:2: altitude_m "1.200": could mean two numbers; write 1200 or 1,2`},
		{"outside its range", "systems.csv", "system,design_superheat_k\nA1,600\n",
			`register/systems.csv:2: design_superheat_k "600": outside 0 to 60 K; check the number and its unit, or leave the cell empty`},
		{"no yes or no", "systems.csv", "system,hermetic\nA1,perhaps\n",
			`register/systems.csv:2: hermetic "perhaps": neither yes nor no; write yes or no, or leave the cell empty`},
		{"half a range of charge", "systems.csv", "system,charge_low_kg\nA1,3\n",
			`register/systems.csv:2: charge_high_kg charge_low_kg and charge_high_kg go together; write both, or neither`},
		{"a charge outside its range", "systems.csv", "system,design_charge_kg,charge_low_kg,charge_high_kg\nA1,12,3,5\n",
			`register/systems.csv:2: design_charge_kg "12": not between charge_low_kg 3 and charge_high_kg 5; check the three`},
		{"jurisdiction", "systems.csv", "system,jurisdiction\nA1,Freedonia\n",
			`register/systems.csv:2: jurisdiction "Freedonia": not a code of a country; write two letters, such as DE, GB or US, or EU`},
		{"zone", "systems.csv", "system,zone\nA1,CET+1\n",
			`register/systems.csv:2: zone "CET+1": not a zone of the IANA time zone database; write area and city, such as Europe/Berlin or America/Chicago, or UTC`},
		{"currency", "systems.csv", "system,currency\nA1,euros\n",
			`register/systems.csv:2: currency "euros": not a currency code; write three letters, such as EUR or USD`},
		{"ambiguous refrigerant", "systems.csv", "system,refrigerant\nA1,R1234ze\n",
			`register/systems.csv:2: refrigerant "R1234ze": could mean several refrigerants, so what follows from pressures is not shown, and slow change is judged by a refrigerant that the visits fit; write R1234ze(E) or R1234ze(Z)`},
		{"bad ID", "systems.csv", "system\nKühlraum 7\n",
			`register/systems.csv:2: system "Kühlraum 7": an ID is a letter, then letters without accents, digits, and . _ -; write Kuhlraum-7`},
		{"bad ID, proposal taken", "systems.csv", "system\nroom-7\nroom 7\n",
			`register/systems.csv:3: system "room 7": an ID is a letter, then letters without accents, digits, and . _ -; write room-7-2`},
		{"no ID", "systems.csv", "system,name\n,Cold room\n",
			`register/systems.csv:2: system empty; write Cold-room`},
		{"device name", "systems.csv", "system\nAUX.1\n",
			`register/systems.csv:2: system "AUX.1": a name that Windows keeps for a device; write S-AUX.1`},
		{"duplicate", "systems.csv", "system\nrack-1\nA1\nRack-1\n",
			`register/systems.csv:4: system "Rack-1": line 2 has this system already; keep one of lines 2 and 4, or write Rack-1-2`},
		{"source without a charge", "systems.csv", "system,charge_source\nA1,known\n",
			`register/systems.csv:2: charge_source "known": design_charge_kg is empty; write the charge, or empty this cell`},
		{"no header", "instruments.csv", "X1,pressure\n",
			`register/instruments.csv:1: "X1,pressure": no column is named serial, so the file was not read; begin the file with a line of column names: serial,kind,class,limit,limit_pct,unit,span_low,span_high,offset,calibrated_on,note`},
		{"unknown column", "systems.csv", "system,colour\nA1,red\n",
			`register/systems.csv:1: colour unknown column, ignored; take it out, or put what it says into a column that the file knows`},
		{"slip in a column", "systems.csv", "system,refrigernat\nA1,R290\n",
			`register/systems.csv:1: refrigernat unknown column, ignored; call it refrigerant`},
		{"column twice", "systems.csv", "system,site,Site\nA1,x,y\n",
			`register/systems.csv:1: site stands twice in the header; the second is ignored; keep one of the two columns`},
		{"column without a name", "systems.csv", "system,,site\nA1,x,y\n",
			`register/systems.csv:1: column 2 has cells but no name, ignored; name it, or empty it`},
		{"separator inside a cell", "systems.csv", "system,site\nA1,North, hall 2\n",
			`register/systems.csv:2: "hall 2": more cells than the header's 2; put cells that contain ',' in quotes`},
		{"lonely quote", "systems.csv", "system,site\nA1,\"North\nB1,South\n",
			`register/systems.csv:2: "A1,\"North": a quote stands alone, so the row cannot be cut into cells; write a quote inside a cell twice, and the cell in quotes: "18"" pipe"`},
		{"old encoding", "systems.csv", "system,site\nA1,M\xfchle\n",
			`register/systems.csv: not UTF-8; read as Windows-1252, so that letters with accents may be wrong; save it as CSV, UTF-8`},
		{"wrong name", "system.csv", "system\nA1\n",
			`register/system.csv: no table of the register has this name; call it one of systems.csv, channels.csv, events.csv, instruments.csv, tariffs.csv, answers.csv, limits.csv, or take it out of the folder`},
		{"workbook", "events.xlsx", "PK",
			`register/events.xlsx: not a CSV file; save it as events.csv (CSV, UTF-8)`},

		{"no such system", "events.csv", "system,date,event\nA2,2026-04-03,repaired\n",
			`register/events.csv:2: system "A2": not in systems.csv; add it to systems.csv`},
		{"date in another order", "events.csv", "system,date,event\nA1,03.04.2026,repaired\n",
			`register/events.csv:2: date "03.04.2026": not a date; write 2026-04-03 or 2026-03-04`},
		{"date that can be one only", "events.csv", "system,date,event\nA1,25/12/2025,repaired\n",
			`register/events.csv:2: date "25/12/2025": not a date; write 2025-12-25`},
		{"no such day", "events.csv", "system,date,event\nA1,2026-02-30,repaired\n",
			`register/events.csv:2: date "2026-02-30": not a date; write year-month-day, such as 2026-04-03 or 2026-04-03 14:30`},
		{"no date", "events.csv", "system,date,event\nA1,,repaired\n",
			`register/events.csv:2: date empty, so that nobody knows what came before; write the day, such as 2026-04-03`},
		// The EU's clocks go from 01:00 to 02:00 UTC on the last Sunday of March (Directive 2000/84/EC).
		{"skipped hour", "events.csv", "system,date,event\nA1,2026-03-29 02:30,repaired\n",
			`register/events.csv:2: date "2026-03-29 02:30": the clocks in Europe/Berlin skipped this time of day; write the time before or after the change`},
		{"event", "events.csv", "system,date,event\nA1,2026-04-03,charge aded\n",
			`register/events.csv:2: event "charge aded": not a word this column knows; write charge added`},
		{"negative kilograms", "events.csv", "system,date,event,kg\nA1,2026-04-03,recovered,-2\n",
			`register/events.csv:2: kg "-2": negative; write 2 kg; the event says whether it went in or came out`},
		{"kilograms without a way", "events.csv", "system,date,event,kg\nA1,2026-04-03,repaired,2\n",
			`register/events.csv:2: kg "2": "repaired" does not say whether they went in or came out; write a line of its own with charge added or recovered`},
		{"event twice", "events.csv", "system,date,event,kg\nA1,2026-04-03,charge added,2\nA1,2026-04-03,charge added,2.0\n",
			`register/events.csv:3: says the same as line 2; take it out; if it happened twice, write the time of day or a note`},

		{"channel", "channels.csv", "system,column,channel\nA1,p,suction_presure\n",
			`register/channels.csv:2: channel "suction_presure": not a channel; write suction_pressure`},
		{"channel of no kind", "channels.csv", "system,column,channel,unit\nA1,p,colour,bar\n",
			`register/channels.csv:2: channel "colour": not a channel; write a column of samples without its unit, such as suction_pressure; or extra, or none`},
		{"nothing said", "channels.csv", "system,column\nA1,p\n",
			`register/channels.csv:2: channel empty; write what the column measures, such as suction_pressure; or its unit, reference, sign or instrument`},
		{"place in the file", "channels.csv", "system,column,channel\nA1,#0,running\n",
			`register/channels.csv:2: column "#0": not a place in the file; write #1 for the first column`},
		{"index", "channels.csv", "system,column,channel,index\nA1,p,running,0\n",
			`register/channels.csv:2: index "0": not an index; write a whole number from 1 to 99, or leave the cell empty for 1`},
		{"sign", "channels.csv", "system,column,channel,sign\nA1,p,running,2\n",
			`register/channels.csv:2: sign "2": not a sign; write 1 or -1, or leave the cell empty for 1`},
		{"pattern", "channels.csv", "system,file,column,channel\nA1,log[1.csv,p,running\n",
			`register/channels.csv:2: file "log[1.csv": not a file pattern; write a path below uploads/ with * for any part of a name; [ needs its ]`},
		{"reference of a temperature", "channels.csv", "system,column,channel,reference\nA1,t,liquid_temp,gauge\n",
			`register/channels.csv:2: reference "gauge": liquid_temp is no pressure; leave the cell empty`},
		{"column mapped twice", "channels.csv", "system,column,channel\nA1,p,suction_pressure\nA1,P ,discharge_pressure\n",
			`register/channels.csv:3: column "P": line 2 has this column for the same files and time; keep one of lines 2 and 3, or part them by file or valid_from and valid_to`},
		{"channel mapped twice", "channels.csv", "system,column,channel\nA1,p,suction_pressure\nA1,q,suction_pressure\n",
			`register/channels.csv:3: column "q": line 2 has this channel for the same files and time; keep one of lines 2 and 3, or part them by file or valid_from and valid_to`},
		{"never valid", "channels.csv", "system,column,channel,valid_from,valid_to\nA1,p,running,2026-05-01,2026-04-01\n",
			`register/channels.csv:2: valid_to "2026-04-01": before valid_from, so that the line never holds; check both dates`},

		{"instrument twice", "instruments.csv", "serial\nX1\nx1\n",
			`register/instruments.csv:3: serial "x1": line 2 has this instrument already; keep one of lines 2 and 3`},
		{"span", "instruments.csv", "serial,span_low,span_high\nX1,30,-1\n",
			`register/instruments.csv:2: span_high "-1": not above span_low 30; check both ends of the span`},
	} {
		t.Run(c.name, func(t *testing.T) {
			files := map[string]string{"systems.csv": twoSystems}
			files[c.file] = c.text
			if got := messages(load(t, files)); got != c.want+"\n" {
				t.Errorf("%s\n%s\ngot  %swant %s\n", c.file, c.text, got, c.want)
			}
		})
	}
}

func TestUnknownRefrigerantKeepsTheSystem(t *testing.T) {
	r := load(t, map[string]string{"systems.csv": "system,refrigerant,site\nA1,R999x,Harbour\n"})
	want := `register/systems.csv:2: refrigerant "R999x": not a refrigerant whose properties are known, so what follows from pressures is not shown, and slow change is judged by a refrigerant that the visits fit; write its number; the nearest known are R`
	if got := messages(r); !strings.HasPrefix(got, want) || strings.Count(got, "\n") != 1 {
		t.Errorf("got  %swant %s...", got, want)
	}
	s, ok := r.System("a1")
	if _, known := s.Refrigerant(); !ok || known || s.RefrigerantName != "" || s.Site != "Harbour" {
		t.Errorf("got %+v, %v; want the system with its refrigerant unknown", s, ok)
	}
}

// However a spreadsheet or a person writes them, these are the same two rows.
func TestFormats(t *testing.T) {
	const plain = "system,site,design_charge_kg,hermetic,refrigerant\n" +
		"A1,\"North, hall 2\",4.5,yes,R290\n" +
		"B1,\"18\"\" pipe\",12,no,R134a\n"
	semicolon := "system;site;design_charge_kg;hermetic;refrigerant\nA1;North, hall 2;4,5;yes;R290\nB1;\"18\"\" pipe\";12;no;R134a\n"
	for _, c := range []struct{ name, text string }{
		{"byte order mark, CRLF", "\ufeff" + strings.ReplaceAll(plain, "\n", "\r\n")},
		{"CR alone", strings.ReplaceAll(plain, "\n", "\r")},
		{"UTF-16", utf16(plain)},
		{"no line end at the end", strings.TrimSuffix(plain, "\n")},
		{"semicolons and decimal commas", semicolon},
		{"tabs", strings.ReplaceAll(semicolon, ";", "\t")},
		{"decimal commas with three digits", strings.NewReplacer(";4,5;", ";4,500;", ";12;", ";12,0;").Replace(semicolon)},
		{"separator named first", "sep=;\n" + semicolon},
		{"header as people write it", strings.Replace(plain, "system,site,design_charge_kg", "SYSTEM, Site ,Design charge [kg]", 1)},
		{"blank lines and comments", "# our machines\n\n" + strings.ReplaceAll(plain, "\nB1", "\n\n # not this one, \"yet\"\n,,,,\n#C1,x\nB1")},
		{"comments quoted by a spreadsheet", "\"# ours, all\",,,,\n" + strings.ReplaceAll(plain, "\nB1", "\n\"# ours, \"\"all\"\"\",,,,\nB1")},
		{"empty columns behind", strings.ReplaceAll(plain, "\n", ",,,\n")},
		{"columns in another order", "refrigerant,hermetic,design_charge_kg,site,system\nr-290,TRUE,4.50,\"North, hall 2\",A1\nR 134A,0,12 kg,\"18\"\" pipe\",B1\n"},
		{"rows in another order, blanks", "system,site,design_charge_kg,hermetic,refrigerant\n B1 , \"18\"\" pipe\", 12,n,R134a\nA1,\"North, hall 2\",4500 g,Y,propane\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			want := load(t, map[string]string{"systems.csv": plain})
			got := load(t, map[string]string{"Systems.CSV": c.text})
			if got.FleetRows() != want.FleetRows() || len(got.Systems) != 2 {
				t.Errorf("%q\ngot\n%swant\n%s", c.text, got.FleetRows(), want.FleetRows())
			}
		})
	}
}

func utf16(text string) string {
	b := []byte{0xFF, 0xFE}
	for _, r := range text {
		b = append(b, byte(r), byte(r>>8))
	}
	return string(b)
}

func TestEveryFieldOfASystem(t *testing.T) {
	r := load(t, map[string]string{"systems.csv": `system,site,name,kind,refrigerant,design_charge_kg,charge_source,charge_low_kg,charge_high_kg,residential,jurisdiction,use,expansion,receiver,accumulator,internal_heat_exchanger,subcooler,head_pressure_control,head_pressure_floor_kpa,hermetic,leak_detection,design_superheat_k,design_subcooling_k,altitude_m,zone,currency,power_covers,evaporator_air_m3_h,condenser_air_m3_h
A1,Harbour,Fish room,cold-room,R134a,10 lb,known,4,5,no,de,Commercial Refrigeration,Electronic,HIGH SIDE,yes,no,,yes,800 kPa,no,unknown,6,4.5,-2,Europe/Berlin,eur,compressor,2400,3600 m³/h
B1
`})
	if len(r.Problems) != 0 {
		t.Fatal(messages(r))
	}
	got, _ := r.System("A1")
	berlin, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	want := System{
		ID: "A1", Site: "Harbour", Name: "Fish room", Kind: ColdRoom, RefrigerantName: "R134a",
		// 10 international pounds are 4.5359237 kg exactly: NIST SP 811 (2008), B.8.
		Charge: Charge{4.5359237, ChargeKnown}, ChargeLow: 4, ChargeHigh: 5, Residential: table.No, Jurisdiction: "DE", Use: CommercialRefrigeration,
		Expansion: Electronic, Receiver: HighSideReceiver,
		Accumulator: table.Yes, InternalHeatExchanger: table.No, HeadPressureControl: table.Yes, HeadPressureFloor: 800,
		Hermetic: table.No, DesignSuperheat: 6, DesignSubcooling: 4.5, Altitude: -2,
		Zone: berlin, Currency: "EUR", PowerCovers: "compressor",
		EvaporatorAir: 2400, CondenserAir: 3600, Line: 2,
	}
	got.Zone, want.Zone = nil, nil
	if zone, _ := r.System("A1"); zone.Zone.String() != "Europe/Berlin" {
		t.Errorf("zone %v", zone.Zone)
	}
	if got != want {
		t.Errorf("got  %+v\nwant %+v", got, want)
	}
	b, ok := r.System("b1")
	if !ok || !math.IsNaN(b.Charge.KG) || b.Zone != nil || b.Subcooler != table.Unknown || b.Kind != KindUnknown {
		t.Errorf("a system of which only the ID is known is %+v, %v", b, ok)
	}
}

func TestEvents(t *testing.T) {
	r := load(t, map[string]string{
		"systems.csv": twoSystems,
		"events.csv": `date,system,event,kg,refrigerant,quality,company,person,certificate,result,note
2026-07-01 14:30,a1,charge added,1.5,R134a,reclaimed,Frostwerk,Ada,C-1,,topped up
2026-07-01,A1,recovered,0.5,,,,,,,
soon,A1,leak found,,,,,,,,
2026-01-15,B2,Direct_leak_check,,,,,,,none found,
`})
	if got := messages(r); strings.Count(got, "\n") != 1 || !strings.Contains(got, `events.csv:4: date "soon"`) {
		t.Errorf("problems: %s", got)
	}
	events := r.Events("A1")
	if len(events) != 2 || len(r.Undated("A1")) != 1 || r.Undated("A1")[0].Kind != LeakFound || len(r.Events("B2")) != 1 {
		t.Fatalf("events %+v, undated %+v", events, r.Undated("A1"))
	}
	day, timed := events[0], events[1]
	// Berlin is two hours ahead of UTC in summer (Directive 2000/84/EC).
	if want := time.Date(2026, 6, 30, 22, 0, 0, 0, time.UTC); !day.Time.Equal(want) || day.HasTime || day.KG != -0.5 {
		t.Errorf("got %+v; want -0.5 kg on %v without a time of day", day, want)
	}
	if want := time.Date(2026, 7, 1, 12, 30, 0, 0, time.UTC); !timed.Time.Equal(want) || !timed.HasTime || timed.KG != 1.5 || timed.Quality != Reclaimed {
		t.Errorf("got %+v; want 1.5 kg at %v", timed, want)
	}
}

// What changes a machine splits a visit and voids its baseline; what only looks
// does neither (common practice, no source).
func TestInterventions(t *testing.T) {
	looks := []EventKind{EventUnknown, DirectLeakCheck, IndirectLeakCheck, LeakFound, VerificationTest, InstrumentCalibration, DetectionSystemCheck, OperatorInformed, Cancelled}
	for i := range eventWords {
		k := EventKind(i)
		want := true
		for _, l := range looks {
			want = want && k != l
		}
		if k.Intervenes() != want || k.Resets() != want || k.Sign() != 0 && !want {
			t.Errorf("%v: intervenes %v, resets %v, sign %d; want %v", k, k.Intervenes(), k.Resets(), k.Sign(), want)
		}
	}
}

func TestEveryChannelHasAName(t *testing.T) {
	for _, n := range channelNames() {
		c, ok := table.Column{}, false
		for _, c = range table.Samples().Columns {
			if ok = c.Name == n.column; ok {
				break
			}
		}
		if ok && c.Unit != "" && n.name == n.column {
			t.Errorf("column %s keeps its unit %s in the channel's name", n.column, c.Unit)
		}
	}
	var got string
	if f := readChannel(&got, "Suction pressure"); f != nil || got != "suction_pressure" {
		t.Errorf("got %q, %v", got, f)
	}
}

func TestAbsentRegisterIsEmpty(t *testing.T) {
	r := load(t, nil)
	if len(r.Systems)+len(r.Problems) != 0 || r.FleetRows() != "" || r.ReadingRows("A1", "x", true) != "" || r.AnalysisRows("A1") != "" {
		t.Errorf("got %+v", r)
	}
}

type broken struct{ fs.FS }

func (b broken) Open(name string) (fs.File, error) {
	if name == "events.csv" {
		return nil, fs.ErrPermission
	}
	return b.FS.Open(name)
}

func TestUnreadableFileIsAnError(t *testing.T) {
	fsys := broken{fstest.MapFS{"events.csv": {Data: []byte("system\n")}}}
	if _, err := Load(context.Background(), fsys); err == nil || !strings.Contains(err.Error(), "events.csv") && !strings.Contains(err.Error(), "permission") {
		t.Errorf("got %v; want the trouble with events.csv", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Load(ctx, fstest.MapFS{"systems.csv": {Data: []byte("system\n")}}); err == nil {
		t.Error("a context that ended gave no error")
	}
}
