package read

import (
	"fmt"
	"strings"
	"testing"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/encoding/unicode/utf32"

	"rimelog/ingest/answers"
	"rimelog/ingest/logtest"
)

// Exports in forms that people meet: what the first line of each says. Common
// practice, no source; the figures are invented, the wanted values by hand.
func TestExportsAsPeopleMeetThem(t *testing.T) {
	for name, tt := range map[string]struct {
		file string
		enc  encoding.Encoding
		want string // the first two lines as -values prints them
	}{
		"a blank that does not break before p. m.": {file: logtest.Stamped("Fecha;Potencia [W]", "14/03/2025 01:%02d:00 p.\u00A0m.;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"a narrow one before PM":                   {file: logtest.Stamped("Time;Power [W]", "3/14/2025 1:%02d:00\u202FPM;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"nachm.":                                   {file: logtest.Stamped("Zeit;Leistung [W]", "14.03.2025 01:%02d nachm.;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"14 de marzo de 2025":                      {file: logtest.Stamped("Fecha y hora;Potencia [W]", "14 de marzo de 2025 13:%02d:00;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"13h05":                                    {file: logtest.Stamped("Date;Puissance [W]", "14/03/2025 13h%02d;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"13.05 in a column of its own":             {file: logtest.Stamped("Data;Ora;Potenza [W]", "14/03/2025;13.%02d;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"Fr. 14. März 2025, 13:00 Uhr":             {file: logtest.Stamped("Zeit;Leistung [W]", "Fr. 14. März 2025, 13:%02d:00 Uhr;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"14.03.25 below German names":              {file: logtest.Stamped("Zeit;Leistung [W]", "14.03.25 13:%02d:00;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"CET in each stamp":                        {file: logtest.Stamped("Time;Power [W]", "2025-03-14 13:%02d:00 CET;1200"), want: "time,power_kw 2025-03-14T12:00:00Z,1.200"},
		"BST in the preamble's stamp":              {file: "# Start Mon 2026-05-25T12:05:54 BST\n" + logtest.Thirty("Time (s);Power [W]", func(i int) string { return fmt.Sprintf("%d;1200", i) }), want: "time,power_kw 2026-05-25T11:05:54Z,1.200"},
		"days since 1904":                          {file: "Date base: 1904\n" + logtest.Thirty("Time;Power [W]", func(i int) string { return fmt.Sprintf("%.6f;1200", 44268.5+float64(i)/1440) }), want: "time,power_kw 2025-03-14T12:00:00Z,1.200"},
		"days since 1904, by the preamble's date":  {file: "Printed: 2025-03-14\n" + logtest.Thirty("Time;Power [W]", func(i int) string { return fmt.Sprintf("%.6f;1200", 44268.5+float64(i)/1440) }), want: "time,power_kw 2025-03-14T12:00:00Z,1.200"},
		"names of several lines in quotes":         {file: logtest.Stamped("\"Date\nTime\",\"Suction\nPressure\n(barg)\",\"Power [W]\"", "2025-03-14 12:%02d:00,1.50,1200"), want: "time,suction_pressure_kpa,power_kw 2025-03-14T12:00:00Z,251.325,1.200"},
		"lakh and crore":                           {file: logtest.Stamped("Time;Power [W]", "14.03.2025 12:%02d:00;1,23,200.5"), want: "time,power_kw 2025-03-14T12:00:00Z,123.200"},
		"Arabic marks":                             {file: logtest.Stamped("Time;Power [W]", "14.03.2025 12:%02d:00;1\u066C200\u066B5"), want: "time,power_kw 2025-03-14T12:00:00Z,1.200"},
		"UTF-16BE without a mark":                  {file: logtest.Stamped("Time;Suction temp [°C]", "14.03.2025 12:%02d:00;3,5"), enc: unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM), want: "time,suction_temp_c 2025-03-14T12:00:00Z,3.500"},
		"a percent sign behind a blank":            {file: logtest.Stamped("Time;Receiver level %;Suction temp °C", "14.03.2025 12:%02d:00;57,2;3,5"), want: "time,suction_temp_c,receiver_level_pct 2025-03-14T12:00:00Z,3.500,57.200"},
		"UTF-32":                                   {file: logtest.Stamped("Time;Suction temp [°C]", "14.03.2025 12:%02d:00;3,5"), enc: utf32.UTF32(utf32.LittleEndian, utf32.UseBOM), want: "time,suction_temp_c 2025-03-14T12:00:00Z,3.500"},
		"Mac Roman":                                {file: logtest.Stamped("Heure;Température extérieure [°C]", "14.03.2025 12:%02d:00;3,5"), enc: charmap.Macintosh, want: "time,outdoor_temp_c 2025-03-14T12:00:00Z,3.500"},
		"ISO 8859-15":                              {file: logtest.Stamped("Heure;Température extérieure [°C]", "14.03.2025 12:%02d:00;3,5"), enc: charmap.ISO8859_15, want: "time,outdoor_temp_c 2025-03-14T12:00:00Z,3.500"},
		"code page 437":                            {file: logtest.Stamped("Zeit;Außentemperatur [°C]", "14.03.2025 12:%02d:00;3,5"), enc: charmap.CodePage437, want: "time,outdoor_temp_c 2025-03-14T12:00:00Z,3.500"},
		"comments behind semicolons":               {file: "; Test 12\n; Start 14.03.2025 13:00:00\n; Time\tTsuc\tp_dis\n; s\t°C\tbar(g)\n" + logtest.Thirty("", func(i int) string { return fmt.Sprintf("%d\t3.5\t15.25", i) })[1:], want: "time,discharge_pressure_kpa,suction_temp_c 2025-03-14T13:00:00Z,1626.325,3.500"},
		"units without one for the time":           {file: logtest.Stamped("Time                 Tsuc   Tliq   Psuc\n                     degC   degC   barg", "2025-03-14 13:%02d:00   3.5  30.2   2.50"), want: "time,suction_pressure_kpa,suction_temp_c,liquid_temp_c 2025-03-14T13:00:00Z,351.325,3.500,30.200"},
		"a remark that lines leave out":            {file: logtest.Stamped("Time\tTsuc (°C)\tComment", "2025-03-14 13:%02d:00\t3.5"), want: "time,suction_temp_c 2025-03-14T13:00:00Z,3.500"},
		"the short forms of the trade":             {file: logtest.Stamped("Date Time,p0 (barg),pc (barg),TSG (°C),TLL (°C)", "2025-03-14 13:%02d:00,2.5,15.5,3.5,30.5"), want: "time,suction_pressure_kpa,discharge_pressure_kpa,suction_temp_c,liquid_temp_c 2025-03-14T13:00:00Z,351.325,1651.325,3.500,30.500"},
		"year, month and day apart":                {file: logtest.Stamped("Year,Month,Day,Hour,Minute,Power [W]", "2025,3,14,13,%d,1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"yyyy mm dd hh mm ss":                      {file: logtest.Stamped("yyyy mm dd hh mm ss Power_W", "2025 03 14 13 %02d 00 1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"year, month and day beside a clock":       {file: logtest.Stamped("Jahr;Monat;Tag;Uhrzeit;Leistung [W]", "2025;3;14;13:%02d;1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"milliseconds in a column of their own":    {file: logtest.Stamped("Date,Time,ms,Power [W]", "2025-03-14,13:%02d:07,250,1200"), want: "time,power_kw 2025-03-14T13:00:07.25Z,1.200"},
		"a time of day without marks":              {file: logtest.Stamped("DATE,TIME,Power_W", "20250314,13%02d00,1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"minutes from the start":                   {file: "Start time,2025-03-14 13:00:00\n\n" + logtest.Stamped("min,Power [W]", "%d,1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
		"a word before the unit":                   {file: logtest.Stamped("Zeit;Außentemperatur in °C;Leistung in kW", "14.03.2025 13:%02d:00;3,5;1,25"), want: "time,outdoor_temp_c,power_kw 2025-03-14T13:00:00Z,3.500,1.250"},
		"a name that is its unit":                  {file: logtest.Stamped("Time,kW,Amps", "2025-03-14 13:%02d:00,2.5,15.5"), want: "time,power_kw,current_a 2025-03-14T13:00:00Z,2.500,15.500"},
		"a value called v is no voltage":           {file: logtest.Stamped("ts,v", "2025-03-14 13:%02d:00,2.5"), want: "time"},
		"a vacuum counted downwards is asked for":  {file: logtest.Stamped("Time,Suction pressure [inHg vac],Power [W]", "2025-03-14 13:%02d:00,5.5,1200"), want: "time,power_kw 2025-03-14T13:00:00Z,1.200"},
	} {
		t.Run(name, func(t *testing.T) {
			file := tt.file
			if tt.enc != nil {
				var err error
				if file, err = tt.enc.NewEncoder().String(file); err != nil {
					t.Fatal(err)
				}
			}
			r := readBytes(t, []byte(file), answers.Answers{})
			var b strings.Builder
			if err := WriteValues(&b, r.Parts); err != nil {
				t.Fatal(err)
			}
			lines := strings.Split(strings.TrimSpace(b.String()), "\n")
			if got := strings.Join(lines[:min(2, len(lines))], " "); got != tt.want {
				t.Errorf("%s, want %s\n%+v\n%+v", got, tt.want, r.Understanding.Columns, r.Understanding.OpenQuestions)
			}
			if r.Lines.Data != 30 {
				t.Errorf("%+v", r.Lines)
			}
		})
	}
}

// What must not be guessed: nothing is stored, and somebody is asked.
func TestWhatNobodyCanTellIsAsked(t *testing.T) {
	for name, file := range map[string]string{
		"a name of a time that is not in force":  logtest.Stamped("Time (EST);Power [W]", "2025-07-14 13:%02d:00;1200"),
		"a date that many lines share":           logtest.Stamped("Date;Reading;Power [W]", "2025-07-14;%02d;1200"),
		"14.03.25 where the language is English": logtest.Stamped("Time;Power [W]", "14.03.25 13:%02d:00;1200"),
	} {
		t.Run(name, func(t *testing.T) {
			r := readBytes(t, []byte(file), answers.Answers{})
			if r.Values.Stored != 0 || r.Lines.Data != 30 || len(r.Understanding.OpenQuestions) == 0 {
				t.Errorf("%+v %+v %+v", r.Lines, r.Values, r.Understanding.OpenQuestions)
			}
		})
	}
}

// An abbreviation that means several offsets settles nothing.
func TestAbbreviationsOfSeveralZonesAreNotTaken(t *testing.T) {
	r := readBytes(t, []byte(logtest.Stamped("Time;Power [W]", "2025-03-14 13:%02d:00 IST;1200")), answers.Answers{})
	if r.Values.Stored != 0 || r.Lines.Quarantined != 30 {
		t.Errorf("%+v %+v", r.Lines, r.Values)
	}
}
