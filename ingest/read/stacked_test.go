package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding/unicode"

	"rimelog/ingest/logtest"
)

// Lines below other names are another table: each is read by its own header.
func TestTablesBelowEachOtherAreReadEachByItsHeader(t *testing.T) {
	first := "Time;Suction temp [°C];Discharge temp [°C]\n"
	for name, tt := range map[string]struct {
		again  string
		column string // that the second half of the first value's place goes to
		want   int32  // its value in row 20, thousandths: 2.5 and 70.5 change places there
		stored int64
	}{
		"another name":         {"Time;Suction temp [°C];Liquid temp [°C]\n", "liquid_temp_c", 2500, 80},
		"another unit":         {"Time;Suction temp [°F];Discharge temp [°F]\n", "suction_temp_c", 21389, 80}, // (70.5-32)/1.8, NIST SP 811 (2008), B.9
		"a title and a blank":  {"\nReadout 2\nTime;Suction temp [°C];Liquid temp [°C]\n", "liquid_temp_c", 2500, 80},
		"all names are others": {"Zeit;Vorlauf;Rücklauf\n", "", 0, 80},
		"a name twice":         {"Time;Suction temp [°C];Suction temp [°C]\n", "", 0, 80},
		"two units":            {"Time;Liquid temp [°C];Suction temp [°C]\n;°F;°F\n", "", 0, 40},
	} {
		t.Run(name, func(t *testing.T) {
			r := readBytes(t, []byte(twoReadouts(first, tt.again, "", true)), logtest.InZone(time.UTC))
			if r.Values.Stored != tt.stored {
				t.Fatalf("%+v %+v %+v", r.Lines, r.Values, r.Understanding.Columns)
			}
			if tt.column == "" {
				return
			}
			if r.Lines.Data != 40 || r.Lines.Header != 2 {
				t.Errorf("%+v", r.Lines)
			}
			if v, ok := r.Parts[0].Samples.Fixed32(tt.column); !ok.At(20) || v[20] != tt.want {
				t.Errorf("%s is %d, want %d", tt.column, v[20], tt.want)
			}
		})
	}
}

// stacked is three tables of other counts of columns over the same times, with the
// zone said once at the top. The figures are invented.
func stacked() string {
	var b strings.Builder
	b.WriteString("Logger;K-7\nTime zone;UTC+02:00\n")
	for k, names := range []string{"Suction temp [°C]", "Discharge temp [°C];Liquid temp [°C]", "Suction pressure [bar(g)];Discharge pressure [bar(g)];Power [W]"} {
		fmt.Fprintf(&b, "\nTable %d\nTime;%s\n", k+1, names)
		for i := range 30 * (k + 1) {
			fmt.Fprintf(&b, "2025-03-25 12:%02d:%02d", i/60, i%60)
			for c := range strings.Count(names, ";") + 1 {
				fmt.Fprintf(&b, ";%d.%d", 10*k+c+1, i%10)
			}
			b.WriteString("\n")
		}
	}
	return b.String()
}

func TestTablesOfOtherWidths(t *testing.T) {
	text := stacked()
	wide, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().String(text)
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range []string{text, "\xEF\xBB\xBF" + text, wide, strings.ReplaceAll(text, "\n", "\r\n")} {
		r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
		if r.Lines.Data != 180 || r.Lines.Header != 3 || r.Values.Stored != 30+2*60+3*90 || r.Understanding.Tables != 3 {
			t.Fatalf("%+v %+v, %d tables", r.Lines, r.Values, r.Understanding.Tables)
		}
		s := r.Parts[0].Samples
		if s.Rows() != 90 || r.Understanding.Time.FirstUTC != "2025-03-25T10:00:00Z" {
			t.Errorf("%d rows from %s", s.Rows(), r.Understanding.Time.FirstUTC)
		}
		for column, want := range map[string]int32{"suction_temp_c": 1000, "liquid_temp_c": 12000, "discharge_pressure_kpa": 2200_000 + 101325} {
			if v, ok := s.Fixed32(column); !ok.At(0) || v[0] != want {
				t.Errorf("%s is %d, want %d", column, v[0], want)
			}
		}
	}
}

// A date that only one of the tables settles is settled for all of them.
func TestOneTableSettlesTheOrderOfAll(t *testing.T) {
	file := "Time;Suction temp [°C]\n04/03/2025 12:00:00;1.5\n04/03/2025 12:00:01;1.5\n\nTime;Liquid temp [°C];Power [W]\n13/03/2025 12:00:00;31.5;900\n13/03/2025 12:00:01;31.5;900\n"
	r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
	if r.Values.Stored != 6 || r.Understanding.Time.FirstUTC != "2025-03-04T12:00:00Z" {
		t.Errorf("%+v from %s", r.Values, r.Understanding.Time.FirstUTC)
	}
}
