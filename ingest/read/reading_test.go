package read

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/logtest"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

func TestABenchLogIsReadThroughTheRegister(t *testing.T) {
	for _, exponent := range []string{"%+03d", "%+04d"} {
		file := logtest.BenchLog(60, exponent)
		rows := []register.Channel{
			{Column: "Tw1 (C)", Channel: "sink_inlet_temp"}, {Column: "tr1 (c)", Channel: "suction_temp"},
			{Column: "P1", Channel: "suction_pressure", Reference: register.Absolute}, {Column: "#5", Channel: "discharge_pressure", Unit: "bar(a)"},
			{Column: "Flow (l/min)", Channel: "sink_flow"},
		}
		r := readBytes(t, []byte(file), answers.Answers{Systems: []answers.System{{ID: "HP-1", Zone: zoneNamed(t, "Europe/London"), Altitude: math.NaN(), Rows: rows}}})
		if r.Lines.Data != 60 || r.Lines.Header != 3 || r.Lines.Preamble != 1 || r.Values.Stored != 300 {
			t.Fatalf("%+v %+v", r.Lines, r.Values)
		}
		f := r.Parts[0].Samples
		if got, want := f.Times("time")[0], time.Date(2025, 6, 10, 8, 30, 0, 250_000_000, time.UTC).UnixMicro(); got != want {
			t.Errorf("first sample at %v", time.UnixMicro(got).UTC())
		}
		for column, want := range map[string]int32{"sink_inlet_temp_c": 41500, "suction_temp_c": 12250, "suction_pressure_kpa": 350000, "discharge_pressure_kpa": 1575000, "sink_flow_m3_h": 690000} {
			if v, valid := f.Fixed32(column); !valid.All() || v[59] != want {
				t.Errorf("%s = %d, want %d", column, v[59], want)
			}
		}
	}
}

func TestAnAbbreviationThatDoesNotFitTheZoneIsNotTaken(t *testing.T) {
	r := readBytes(t, []byte(logtest.BenchLog(30, "%+03d")), answers.Answers{Systems: []answers.System{{ID: "CR-01", Zone: zoneNamed(t, "Europe/Berlin"), Altitude: 0}}})
	wantRefused(t, r, "BST is not what Europe/Berlin calls its time")
}

func TestAPressureOfUnknownReferenceIsRefused(t *testing.T) {
	file := "Time;Suction pressure [bar];Discharge pressure [bar]\n"
	for i := range 20 {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;%d,5;%d,5\n", i, i%3, 10+i%3)
	}
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if r.Values.Refused != 40 || r.Parts[0].Samples.Rows() != 0 {
		t.Fatalf("%+v", r.Values)
	}
	refusals, err := frame.Rows[table.Refusal](r.Parts[0].Refusals)
	if err != nil || len(refusals) != 2 || refusals[0].Cells != 20 || refusals[0].FirstLine != 2 || refusals[0].LastLine != 21 {
		t.Errorf("%+v, %v", refusals, err)
	}
	if q := r.Understanding.OpenQuestions; len(q) != 2 || !strings.HasPrefix(q[0].RegisterLine, "CR-01,,Suction pressure [bar],suction_pressure,,,gauge") {
		t.Errorf("%+v", q)
	}
}

// A value below zero proves gauge, be it in the first line or the last.
func TestAVacuumProvesGauge(t *testing.T) {
	for _, at := range []int{0, 5000} {
		file := "Time;Suction pressure [bar]\n"
		for i := range 5001 {
			v := "1,5"
			if i == at {
				v = "-0,35"
			}
			file += fmt.Sprintf("%s;%s\n", logtest.Noon.Add(time.Duration(i)*time.Second).Format(logtest.ISO), v)
		}
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		p, _ := r.Parts[0].Samples.Fixed32("suction_pressure_kpa")
		if len(p) != 5001 || p[at] != 101325-35000 || p[100] != 101325+150000 {
			t.Fatalf("%d samples: %+v", len(p), r.Understanding.Columns[1])
		}
	}
}

func TestReferencesByEvidence(t *testing.T) {
	for _, c := range []struct {
		header, preamble, cell string
		want                   int32
	}{
		{"Suction pressure [bar(g)]", "", "1.5", 251325},
		{"Suction pressure [psig]", "", "14.7", 202678}, // 14.7 psi are 101.353 kPa (NIST SP 811)
		{"Saugdruck absolut [bar]", "", "1.5", 150000},
		{"Saugdruck (Überdruck) [bar]", "", "1.5", 251325},
		{"Suction pressure, gauge (bar)", "", "1.5", 251325},
		{"Suction pressure [bar]", "Pressures: absolute\n", "1.5", 150000},
		{"Suction pressure [kPa abs]", "", "150.25", 150250},
		{"Pression aspiration relative [bar]", "", "1.5", 251325},
	} {
		file := c.preamble + "Time;" + c.header + "\n"
		for i := range 20 {
			file += fmt.Sprintf("2025-03-25 12:%02d:00;%s\n", i, c.cell)
		}
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		p, valid := r.Parts[0].Samples.Fixed32("suction_pressure_kpa")
		if len(p) != 20 || !valid.All() || p[0] != c.want {
			t.Errorf("%s: %+v", c.header, r.Understanding.Columns[1])
		}
	}
}

// A register row that gives the unit alone does not take the header's mark away.
func TestTheHeadersReferenceStays(t *testing.T) {
	file := "Time;P1 [barg]\n2025-03-25 12:00:00;1,5\n2025-03-25 12:01:00;1,5\n"
	a := logtest.InZone(time.UTC)
	a.Systems[0].Rows = []register.Channel{{Column: "P1", Channel: "suction_pressure", Unit: "bar"}}
	r := readBytes(t, []byte(file), a)
	if p, valid := r.Parts[0].Samples.Fixed32("suction_pressure_kpa"); len(p) != 2 || !valid.All() || p[0] != 251325 {
		t.Errorf("%+v", r.Understanding.Columns[1])
	}
}

func TestTheLoggedBarometerCounts(t *testing.T) {
	file := "Time;Suction pressure [bar(g)];Barometric pressure [hPa]\n"
	for i := range 20 {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;1.5;%d.5\n", i, 950+i)
	}
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	p, valid := r.Parts[0].Samples.Fixed32("suction_pressure_kpa")
	if !valid.All() || p[3] != 150000+95350 {
		t.Errorf("%d: %+v", p[3], r.Understanding.Columns)
	}
}

// A sentinel counts as missing only where its quantity cannot have the value.
func TestSentinels(t *testing.T) {
	file := "Time;Suction temp [°C];Discharge pressure [kPa(a)];Power [W]\n"
	cells := [][3]string{{"4.5", "1500", "1200"}, {"-9999", "999.9", "-9999"}, {"85.0", "3276.7", "999.9"}, {"3276.7", "1500", "1200"}, {"OL", "---", "Err"}, {"-200.0", "1500", "NaN"}}
	for i, c := range cells {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;%s;%s;%s\n", i, c[0], c[1], c[2])
	}
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if r.Values.Missing != 8 || r.Values.Stored != 10 || r.Values.Refused != 0 {
		t.Errorf("%+v %+v", r.Values, r.Understanding.Columns)
	}
	if m := r.Understanding.Columns[1].Missing; m["over range"] != 1 || m["over range (3276.7)"] != 1 || m["open sensor (-200.0)"] != 1 {
		t.Errorf("reasons %v", m)
	}
}

func TestWhatIsNotTakenHasItsReason(t *testing.T) {
	file := "Time;Suction temp [°C];Power [W]\n"
	lines := []string{
		"2025-03-25 12:00:00;4.5;1200",
		"2025-03-25 12:01:00;4.5",            // a field is gone
		"2025-03-25 12:02:00;4,5;1200",       // another decimal mark
		"2025-03-25 12:03:00;warm;1200",      // a text
		"2025-03-25 12:04:00;-300.5;1200",    // below absolute zero
		"2025-03-25 12:04:10;3140;1200",      // no temperature of a machine
		"2025-03-25 12:04:20;300;1200",       // as hot as one may be
		"2025-03-25 12:05:00;4.5;9999999999", // beyond the column's type
		"2025-13-45 12:06:00;4.5;1200",       // no date
		"event: door open",
		"2025-03-25 12:08:00;4.5;1200",
		"2025-03-25 12:09:00;4.5;12", // cut off: no line end, shorter than above
	}
	r := readBytes(t, []byte(file+strings.Join(lines, "\n")), logtest.InZone(time.UTC))
	refusals, err := frame.Rows[table.Refusal](r.Parts[0].Refusals)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, x := range refusals {
		got = append(got, fmt.Sprintf("%d %s: %s", x.FirstLine, x.Channel, x.Reason))
	}
	want := []string{
		"3 : 2 cells instead of 3",
		"4 Suction temp [°C]: not a number",
		"6 Suction temp [°C]: below absolute zero",
		"7 Suction temp [°C]: hotter than any part of a refrigeration machine; look at the column's unit and decimal mark, and at the probe",
		"9 Power [W]: too large for its column",
		"10 : no date of the calendar",
		"11 : text between lines of data",
		"13 Power [W]: the file ends within or right behind this cell; it may be cut off",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// A pressure or a power that no machine has is not taken, and the rest of its line is.
func TestPressuresAndPowersOfNoMachineAreNotTaken(t *testing.T) {
	file := "Time;Discharge pressure [bar(a)];Power [kW]\n"
	for i, values := range []string{"12.5;3.2", "200;3.2", "201;3.2", "12.5;50000", "12.5;50001", "12.5;3.2"} {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;%s\n", i, values)
	}
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	refusals, err := frame.Rows[table.Refusal](r.Parts[0].Refusals)
	if err != nil {
		t.Fatal(err)
	}
	if len(refusals) != 2 || r.Values.Stored != 10 || r.Values.Refused != 2 {
		t.Fatalf("%+v %+v", r.Values, refusals)
	}
	for i, want := range []string{"4 201 higher than any pressure", "6 50001 beyond the power"} {
		if x := refusals[i]; !strings.HasPrefix(fmt.Sprint(x.FirstLine, " ", x.Text, " ", x.Reason), want) || !strings.Contains(x.Reason, "look at") {
			t.Errorf("%+v, want %s", x, want)
		}
	}
}

// In a file joined of two downloads with other marks, 1.200 must not be read by the
// marks of the other half.
func TestALineWithTheOtherMarkIsNotMisread(t *testing.T) {
	file := "Time;Suction temp [°C];Power [W]\n"
	for i := range 20 {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;4,5;1200\n", i)
	}
	file += "2025-03-25 12:30:00;4.5;1.200\n"
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if r.Lines.Data != 20 || r.Lines.Quarantined != 1 {
		t.Errorf("%+v %+v", r.Lines, r.Understanding.Quarantined)
	}
}

func TestACounterIsNoClock(t *testing.T) {
	file := "Energy [kWh];Power [W]\n"
	for i := range 20 {
		file += fmt.Sprintf("%d.5;%d\n", 45720+i, 1200)
	}
	if r := readBytes(t, []byte(file), logtest.InZone(time.UTC)); r.Understanding.Unreadable == "" {
		t.Errorf("%+v", r.Understanding.Time)
	}
}

func TestDecimalMarksByEvidence(t *testing.T) {
	for _, c := range []struct {
		name, header string
		cells        []string
		want         []int32 // power_kw
		asked        bool
	}{
		{"only open numbers", "Power [W]", []string{"1.200", "1.300", "1.250"}, nil, true},
		{"only open numbers, a comma", "Power [W]", []string{"1,200", "1,300"}, nil, true},
		{"a late proof", "Power [W]", append(repeat("1.200", 9000), "0.250"), []int32{1, 1}, false},
		{"a late proof the other way", "Power [W]", append(repeat("1.200", 9000), "1.200,5"), []int32{1200, 1200}, false},
	} {
		var file strings.Builder
		file.WriteString("Time;" + c.header + "\n")
		for i, v := range c.cells {
			file.WriteString(logtest.Noon.Add(time.Duration(i)*time.Second).Format(logtest.ISO) + ";" + v + "\n")
		}
		r := readBytes(t, []byte(file.String()), logtest.InZone(time.UTC))
		if asked := len(r.Understanding.OpenQuestions) > 0; asked != c.asked {
			t.Errorf("%s: asked %v: %+v", c.name, asked, r.Understanding.OpenQuestions)
		}
		v, _ := r.Parts[0].Samples.Fixed32("power_kw")
		if len(v) < len(c.want) || c.want == nil && len(v) > 0 {
			t.Errorf("%s: %d samples, %+v", c.name, len(v), r.Understanding)
			continue
		}
		for i := range c.want {
			if v[i] != c.want[i] {
				t.Errorf("%s: row %d is %d, want %d", c.name, i, v[i], c.want[i])
			}
		}
	}
}

func repeat(s string, n int) []string {
	list := make([]string, n)
	for i := range list {
		list[i] = s
	}
	return list
}

// Physics is a witness: 21.500 °C is no temperature of 21,500 degrees.
func TestATemperatureProvesTheDecimalMark(t *testing.T) {
	file := "Time;Suction temp [°C];Power [W]\n"
	for i := range 20 {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;21.500;1.250\n", i)
	}
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if v, _ := r.Parts[0].Samples.Fixed32("suction_temp_c"); len(v) != 20 || v[0] != 21500 {
		t.Errorf("%+v", r.Understanding)
	}
}

func TestTheRegisterSettlesTheDecimalMark(t *testing.T) {
	file := "Time;Power [W]\n2025-03-25 12:00:00;1.200\n2025-03-25 12:01:00;1.300\n"
	a := logtest.InZone(time.UTC)
	a.Systems[0].Rows = []register.Channel{{Column: "Power [W]", Channel: "power", Unit: "W decimal comma"}}
	r := readBytes(t, []byte(file), a)
	if v, _ := r.Parts[0].Samples.Fixed32("power_kw"); len(v) != 2 || v[0] != 1200 {
		t.Errorf("%+v", r.Understanding)
	}
}

func TestOneFileWithTwoCircuitsIsSplit(t *testing.T) {
	file := "Time;T1 [°C];T2 [°C];Outdoor temp [°C]\n"
	for i := range 10 {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;1.5;2.5;9.5\n", i)
	}
	row := func(id, column, channel string) register.Channel {
		return register.Channel{System: id, Column: column, Channel: channel}
	}
	a := answers.Answers{Systems: []answers.System{
		{ID: "A", Zone: time.UTC, Altitude: 0, Rows: []register.Channel{row("A", "T1 [°C]", "suction_temp"), row("A", "Outdoor temp [°C]", "outdoor_temp")}},
		{ID: "B", Zone: time.UTC, Altitude: 0, Rows: []register.Channel{row("B", "T2 [°C]", "suction_temp"), row("B", "Outdoor temp [°C]", "outdoor_temp")}},
	}}
	r := readBytes(t, []byte(file), a)
	for i, want := range []int32{1500, 2500} {
		s, _ := r.Parts[i].Samples.Fixed32("suction_temp_c")
		o, _ := r.Parts[i].Samples.Fixed32("outdoor_temp_c")
		if len(s) != 10 || s[0] != want || o[0] != 9500 {
			t.Errorf("system %d: %d samples, %d, %d", i, len(s), s[0], o[0])
		}
	}
}

func TestTablesSideBySideAreNotMixed(t *testing.T) {
	file := "Time;Suction temp [°C];Time 2;Liquid temp [°C];T9 [°C]\n"
	for i := range 20 {
		file += fmt.Sprintf("2025-03-25 12:%02d:00;1,5;2025-03-25 12:%02d:30;2,5;3,5\n", i, i)
	}
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if n := r.Parts[0].Samples.Rows(); r.Values.Stored != 60 || n != 40 {
		t.Errorf("%d rows, %+v", n, r.Values)
	}
	if r := readBytes(t, []byte(strings.Replace(file, "Time 2", "Set at", 1)), logtest.InZone(time.UTC)); r.Values.Stored != 20 || r.Values.Refused != 60 {
		t.Errorf("another name: %+v", r.Values)
	}
	same := strings.ReplaceAll(file, ":30;", ":00;")
	if r := readBytes(t, []byte(same), logtest.InZone(time.UTC)); r.Values.Refused != 0 {
		t.Errorf("the same clock twice: %+v", r.Values)
	}
	interval := "Begin;End;Suction temp [°C]\n"
	for i := range 20 {
		interval += fmt.Sprintf("2025-03-25 12:%02d:00;2025-03-25 12:%02d:00;1,5\n", i, i+1)
	}
	if r := readBytes(t, []byte(interval), logtest.InZone(time.UTC)); r.Values.Refused != 0 || r.Values.Stored != 40 {
		t.Errorf("begin and end: %+v", r.Values)
	}
}

func TestLinesOfSeveralDevicesAreNotMixed(t *testing.T) {
	file := "Device ID;Time;Suction temp [°C]\n"
	for i := range 40 {
		file += fmt.Sprintf("D-%d;2025-03-25 12:%02d:00;%d,5\n", i%2, i, 1+i%2)
	}
	wantRefused(t, readBytes(t, []byte(file), logtest.InZone(time.UTC)), "its lines come from 2 devices")
	a := logtest.InZone(time.UTC)
	a.Systems[0].Rows = []register.Channel{{Column: "Device ID", Channel: register.Extra}}
	if r := readBytes(t, []byte(file), a); r.Parts[0].Samples.Rows() != 40 {
		t.Errorf("%+v", r.Understanding)
	}
	one := strings.ReplaceAll(file, "D-1", "D-0")
	if r := readBytes(t, []byte(one), logtest.InZone(time.UTC)); r.Parts[0].Samples.Rows() != 40 {
		t.Errorf("one device: %+v", r.Understanding)
	}
}

func TestHeadersInEightLanguages(t *testing.T) {
	for header, want := range map[string]string{
		"Suction pressure [bar(g)]": "suction_pressure", "LP (barg)": "suction_pressure", "Low side pressure psig": "suction_pressure",
		"Saugdruck [bar(g)]": "suction_pressure", "Niederdruck [bar(g)]": "suction_pressure", "ND [bar(ü)]": "suction_pressure",
		"Basse pression (bar rel)": "suction_pressure", "BP [barg]": "suction_pressure", "Baja presión [bar(g)]": "suction_pressure",
		"Bassa pressione [bar(g)]": "suction_pressure", "Lagedruk [bar(g)]": "suction_pressure", "Baixa pressão [bar(g)]": "suction_pressure",
		"Lågtryck [bar(g)]": "suction_pressure", "Hochdruck [bar(g)]": "discharge_pressure", "Haute pression [bar(g)]": "discharge_pressure",
		"Högtryck [bar(g)]": "discharge_pressure", "Head pressure [psig]": "discharge_pressure", "Alta pressione [bar(g)]": "discharge_pressure",
		"Suction temp [°C]": "suction_temp", "SuctionTemperature_degC": "suction_temp", "suction_temp_c": "suction_temp",
		"Sauggastemperatur [°C]": "suction_temp", "Température aspiration (°C)": "suction_temp", "Temperatura de aspiración [°C]": "suction_temp",
		"Temperatura aspirazione [°C]": "suction_temp", "Zuiggastemperatuur [°C]": "suction_temp", "Suggastemperatur [°C]": "suction_temp",
		"Heißgastemperatur [°C]": "discharge_temp", "Température refoulement [°C]": "discharge_temp", "Temperatura de descarga [°C]": "discharge_temp",
		"Liquid line temp (°F)": "liquid_temp", "Flüssigkeitstemperatur [°C]": "liquid_temp", "Température liquide [°C]": "liquid_temp",
		"Vloeistoftemperatuur [°C]": "liquid_temp", "Vätsketemperatur [°C]": "liquid_temp",
		"Outdoor temp [°C]": "outdoor_temp", "Außentemperatur [°C]": "outdoor_temp", "Température extérieure [°C]": "outdoor_temp",
		"Temperatura exterior [°C]": "outdoor_temp", "Temperatura esterna [°C]": "outdoor_temp", "Buitentemperatuur [°C]": "outdoor_temp", "Utomhustemperatur [°C]": "outdoor_temp",
		"Raumtemperatur [°C]": "room_temp", "Power [kW]": "power", "Leistung [W]": "power", "Puissance [kW]": "power", "Potencia [kW]": "power", "Vermogen [kW]": "power", "Effekt [kW]": "power",
		"Energiezähler [kWh]": "energy", "Stromaufnahme [A]": "current", "Compressor speed [Hz]": "compressor_speed", "Verdichterdrehzahl [1/min]": "compressor_speed",
		"Expansion valve opening [%]": "valve_opening", "Barometric pressure [hPa]": "ambient_pressure",
		"Superheat [K]": "extra", "Suction pressure setpoint [bar(g)]": "extra", "Evaporating temperature [°C]": "extra", "T1 [°C]": "extra", "Product temp [°C]": "extra",
		"Cooling power [kW]": "extra", "Puissance frigorifique [kW]": "extra", "Kälteleistung [kW]": "extra", "Heater power [kW]": "extra", "Running hours [h]": "extra",
		"Liquid injection temp [°C]": "extra", "Suction frobnicator temp [°C]": "extra", "Discharge air temp [°C]": "extra", "Humidity [%]": "extra",
		"Compressor discharge temp [°C]": "discharge_temp", "CH3 Suction temp [°C]": "suction_temp", "Suction pressure transducer [psig]": "suction_pressure",
		"Suction temp 2 [°C]": "extra", "Phase_A": "extra",
	} {
		file := "Time;" + header + "\n"
		for i := range 10 {
			file += fmt.Sprintf("2025-03-25 12:%02d:00;4.5\n", i)
		}
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		if c := r.Understanding.Columns[1]; c.Channel != want {
			t.Errorf("%s: %s, want %s (%v)", header, c.Channel, want, c.Evidence)
		}
	}
}

func TestHeadersOfSeveralRows(t *testing.T) {
	for name, head := range map[string]string{
		"index in a row of its own":  ";Suction temp;Liquid temp\n;°C;°C\nTime;;\n",
		"names, units, processing":   "Time;Suction temp;Liquid temp\nTS;°C;°C\n;Avg;Avg\n",
		"groups above the names":     "Time;Suction;Liquid\n;temp [°C];temp [°C]\n",
		"a blank line below":         "Time;Suction temp [°C];Liquid temp [°C]\n\n",
		"a preamble that looks like": "Site;North;\nTime;Suction temp [°C];Liquid temp [°C]\n",
	} {
		for i := range 20 {
			head += fmt.Sprintf("2025-03-25 12:%02d:00;1,5;2,5\n", i)
		}
		r := readBytes(t, []byte(head), logtest.InZone(time.UTC))
		f := r.Parts[0].Samples
		if f.Rows() != 20 || !f.Has("suction_temp_c") || !f.Has("liquid_temp_c") {
			t.Errorf("%s: %+v", name, r.Understanding.Columns)
		}
	}
}

func TestLongLinesAndForeignFiles(t *testing.T) {
	good := logtest.ClockFile(logtest.ISO, logtest.Every(time.Minute, logtest.Noon, 10))
	long := strings.Replace(good, "1005\n", "1005\n"+strings.Repeat("x", 3<<20)+"\n", 1)
	r := readBytes(t, []byte(long), logtest.InZone(time.UTC))
	if r.Lines.Data != 10 || r.Lines.Quarantined != 1 {
		t.Errorf("%+v", r.Lines)
	}
	for _, file := range []string{"", "PK\x03\x04....", strings.Repeat("\x00", 9999), "%PDF-1.4\n", "<html><body>\n", "just some text\nand more\n"} {
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		if r.Understanding.Unreadable == "" || r.Understanding.Remedy == "" {
			t.Errorf("%.10q: not refused: %+v", file, r.Understanding)
		}
	}
}

// A line of 100 MB costs no more memory than the limit, and one line.
func TestAHugeLine(t *testing.T) {
	good := logtest.ClockFile(logtest.ISO, logtest.Every(time.Minute, logtest.Noon, 10))
	file := append([]byte(good), make([]byte, 100<<20)...)
	for i := len(good); i < len(file); i++ {
		file[i] = 'x'
	}
	r := readBytes(t, file, logtest.InZone(time.UTC))
	if r.Lines.Data != 10 || r.Lines.Quarantined != 1 || r.Lines.All != 12 {
		t.Errorf("%+v", r.Lines)
	}
}
