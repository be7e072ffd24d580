package read

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"rimelog/ingest/answers"
	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/ingest/pass"
	"rimelog/pipeline/register"
)

// A variant is a way in which loggers write the same rows. Common practice, no
// source, unless said otherwise: these are the 34 shapes on which a general
// reader's automatic detection was measured.
type variant struct {
	name string
	file func(rows []logtest.Truth) []byte
	// refused is part of the reason where the file must not be read as it is.
	refused string
	rows    func([]logtest.Truth) []logtest.Truth // the rows it holds, where not all
	answer  register.Channel                      // the register's line that settles it
	zone    string
}

func variants() []variant {
	utc := time.UTC
	german := func(rows []logtest.Truth) string {
		return logtest.WithDelim(";") + logtest.CSVTable(rows, ";", ",", "02.01.2006 15:04:05", utc)
	}
	plain := func(rows []logtest.Truth) string {
		return logtest.WithDelim(",") + logtest.CSVTable(rows, ",", ".", logtest.ISO, utc)
	}
	text := func(f func([]logtest.Truth) string) func([]logtest.Truth) []byte {
		return func(rows []logtest.Truth) []byte { return []byte(f(rows)) }
	}
	return []variant{
		{name: "comma and point", file: text(plain)},
		{name: "semicolon and decimal comma", file: text(german)},
		{name: "tab and decimal comma", file: text(func(rows []logtest.Truth) string {
			return logtest.WithDelim("\t") + logtest.CSVTable(rows, "\t", ",", "02.01.2006 15:04:05", utc)
		})},
		{name: "decimal comma in quotes", file: text(func(rows []logtest.Truth) string {
			out := logtest.WithDelim(",")
			for _, r := range rows {
				out += fmt.Sprintf("%s,%q,%q,%d\n", r.Utc.Format(logtest.ISO), logtest.DecimalText(r.Suction, 2, ","), logtest.DecimalText(r.Liquid, 1, ","), r.Power)
			}
			return out
		})},
		{name: "1.200,05", file: text(func(rows []logtest.Truth) string { return thousands(rows, ".") })},
		{name: "1 200,5", file: text(func(rows []logtest.Truth) string { return thousands(rows, " ") })},
		{name: "1.200 is twelve hundred", file: text(func(rows []logtest.Truth) string {
			out := logtest.WithDelim(";")
			for _, r := range rows {
				out += fmt.Sprintf("%s;%s;%s;%s\n", r.Utc.Format("02.01.2006 15:04:05"), logtest.DecimalText(r.Suction, 2, ","), logtest.DecimalText(r.Liquid, 1, ","), grouped(r.Power, "."))
			}
			return out
		})},
		{name: "unit row", file: text(func(rows []logtest.Truth) string {
			return "Date Time;Suction pressure;Liquid temp;Power\n;bar(g);°C;W\n" + logtest.CSVTable(rows, ";", ",", "02.01.2006 15:04:05", utc)
		})},
		{name: "preamble with colons", file: text(func(rows []logtest.Truth) string {
			return "Logger: L-7\nSerial: 0815\nNote: plant room\n" + plain(rows)
		})},
		{name: "preamble with the delimiter", file: text(func(rows []logtest.Truth) string {
			return "Logger;L-7;;\nSerial;0815;;\nNote;plant room;;\n" + german(rows)
		})},
		{name: "footer", file: text(func(rows []logtest.Truth) string {
			return german(rows) + "Min;2,22;33,1;1165\nMax;3,02;37,3;1225\nMean;2,62;35,2;1195\n"
		})},
		{name: "header repeated", file: text(func(rows []logtest.Truth) string {
			return german(rows[:len(rows)/2]) + german(rows[len(rows)/2:])
		})},
		{name: "OL and ---", file: text(func(rows []logtest.Truth) string {
			lines := strings.SplitAfter(german(rows), "\n")
			lines[10] = replaceCell(lines[10], 1, "OL")
			lines[20] = replaceCell(lines[20], 2, "---")
			return strings.Join(lines, "")
		}), rows: func(rows []logtest.Truth) []logtest.Truth {
			rows[9].NoSuction, rows[19].NoLiquid = true, true
			return rows
		}},
		{name: "04/03/2025, all ambiguous", refused: "order of its dates is open", file: text(func(rows []logtest.Truth) string {
			return logtest.WithDelim(",") + logtest.CSVTable(rows, ",", ".", "02/01/2006 15:04:05", utc)
		})},
		{name: "04/03/2025, settled by the register", answer: register.Channel{System: "CR-01", Column: "Date Time", Channel: "time", Unit: "day first", Sign: 1}, file: text(func(rows []logtest.Truth) string {
			return logtest.WithDelim(",") + logtest.CSVTable(rows, ",", ".", "02/01/2006 15:04:05", utc)
		})},
		{name: "day above 12 in the last line only", file: text(func(rows []logtest.Truth) string {
			return logtest.WithDelim(",") + logtest.CSVTable(rows, ",", ".", "02/01/2006 15:04:05", utc) + "13/03/2025 10:00:00,2.62,35.2,1195\n"
		}), rows: func(rows []logtest.Truth) []logtest.Truth {
			return append(rows, logtest.Truth{Utc: time.Date(2025, 3, 13, 10, 0, 0, 0, utc), Suction: 262, Liquid: 352, Power: 1195})
		}},
		{name: "day rises past 12 within the file", file: text(func(rows []logtest.Truth) string {
			return logtest.WithDelim(",") + logtest.CSVTable(spread(rows), ",", ".", "02/01/2006 15:04:05", utc)
		}), rows: spread},
		{name: "3/4/2025 with AM and PM, over midnight", file: text(func(rows []logtest.Truth) string {
			return logtest.WithDelim(",") + logtest.CSVTable(later(rows), ",", ".", "1/2/2006 3:04:05 PM", utc)
		}), rows: later},
		{name: "3/4/2025 with AM and PM, one date", refused: "order of its dates is open", file: text(func(rows []logtest.Truth) string {
			return logtest.WithDelim(",") + logtest.CSVTable(rows, ",", ".", "1/2/2006 3:04:05 PM", utc)
		})},
		{name: "date and time in two columns", file: text(func(rows []logtest.Truth) string {
			return "Date;Time;Suction pressure [bar(g)];Liquid temp [°C];Power [W]\n" + logtest.CSVTable(rows, ";", ",", "02.01.2006;15:04:05", utc)
		})},
		{name: "serial dates", file: text(func(rows []logtest.Truth) string {
			out := logtest.WithDelim(",")
			for _, r := range rows {
				days := float64(r.Utc.Unix())/86400 + 25569
				out += fmt.Sprintf("%.6f,%s,%s,%d\n", days, logtest.DecimalText(r.Suction, 2, "."), logtest.DecimalText(r.Liquid, 1, "."), r.Power)
			}
			return out
		})},
		{name: "Unix milliseconds", file: text(func(rows []logtest.Truth) string {
			out := logtest.WithDelim(",")
			for _, r := range rows {
				out += fmt.Sprintf("%d,%s,%s,%d\n", r.Utc.UnixMilli(), logtest.DecimalText(r.Suction, 2, "."), logtest.DecimalText(r.Liquid, 1, "."), r.Power)
			}
			return out
		})},
		{name: "ISO with offset", zone: "Asia/Tokyo", file: text(func(rows []logtest.Truth) string {
			return logtest.WithDelim(",") + logtest.CSVTable(rows, ",", ".", "2006-01-02T15:04:05-07:00", time.FixedZone("", 3600))
		})},
		{name: "delimiter behind the last cell", file: text(func(rows []logtest.Truth) string {
			return strings.ReplaceAll(german(rows), "\n", ";\n")
		})},
		{name: "CR LF and LF mixed", file: text(func(rows []logtest.Truth) string {
			lines := strings.SplitAfter(german(rows), "\n")
			for i := range lines {
				if i%3 == 0 {
					lines[i] = strings.ReplaceAll(lines[i], "\n", "\r\n")
				}
			}
			return strings.Join(lines, "")
		})},
		{name: "last line cut", file: text(func(rows []logtest.Truth) string {
			s := german(rows)
			return s[:len(s)-8]
		}), rows: func(rows []logtest.Truth) []logtest.Truth { return rows[:len(rows)-1] }},
		{name: "NUL bytes at the end", file: text(func(rows []logtest.Truth) string { return german(rows) + strings.Repeat("\x00", 600) })},
		{name: "the same name twice", file: text(func(rows []logtest.Truth) string {
			out := "Date Time,T,T,Suction pressure [bar(g)],Liquid temp [°C],Power [W]\n"
			for _, r := range rows {
				out += fmt.Sprintf("%s,1.5,2.5,%s,%s,%d\n", r.Utc.Format(logtest.ISO), logtest.DecimalText(r.Suction, 2, "."), logtest.DecimalText(r.Liquid, 1, "."), r.Power)
			}
			return out
		})},
		{name: "sep= line", file: text(func(rows []logtest.Truth) string { return "sep=;\n" + german(rows) })},
		{name: "Unicode minus", file: text(func(rows []logtest.Truth) string {
			return strings.ReplaceAll(logtest.WithDelim(";")+logtest.CSVTable(frozen(rows), ";", ",", "02.01.2006 15:04:05", utc), "-", "\u2212")
		}), rows: frozen},
		{name: "unit in the cell", file: text(func(rows []logtest.Truth) string {
			out := "Date Time;Suction pressure;Liquid temp;Power\n"
			for _, r := range rows {
				out += fmt.Sprintf("%s;%s bar(g);%s °C;%d W\n", r.Utc.Format("02.01.2006 15:04:05"), logtest.DecimalText(r.Suction, 2, ","), logtest.DecimalText(r.Liquid, 1, ","), r.Power)
			}
			return out
		})},
		{name: "UTF-8 with byte order mark", file: text(func(rows []logtest.Truth) string { return "\xEF\xBB\xBF" + german(rows) })},
		{name: "UTF-16LE", file: func(rows []logtest.Truth) []byte {
			b, _ := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewEncoder().Bytes([]byte(german(rows)))
			return b
		}},
		{name: "Windows-1252", file: func(rows []logtest.Truth) []byte {
			b, _ := charmap.Windows1252.NewEncoder().Bytes([]byte(german(rows)))
			return b
		}},
	}
}

func thousands(rows []logtest.Truth, mark string) string {
	out := strings.ReplaceAll(logtest.WithDelim(";"), "[W]", "[W]")
	for _, r := range rows {
		out += fmt.Sprintf("%s;%s;%s;%s,5\n", r.Utc.Format("02.01.2006 15:04:05"), logtest.DecimalText(r.Suction, 2, ","), logtest.DecimalText(r.Liquid, 1, ","), grouped(r.Power, mark))
	}
	return out
}

func grouped(v int64, mark string) string {
	if v < 1000 {
		return fmt.Sprint(v)
	}
	return fmt.Sprintf("%d%s%03d", v/1000, mark, v%1000)
}

func replaceCell(line string, n int, with string) string {
	cells := strings.Split(line, ";")
	cells[n] = with
	return strings.Join(cells, ";")
}

// spread puts the rows on the 10th to the 14th of the month.
func spread(rows []logtest.Truth) []logtest.Truth {
	out := append([]logtest.Truth{}, rows...)
	for i := range out {
		out[i].Utc = time.Date(2025, 3, 10+i*5/len(out), 8, 0, 0, 0, time.UTC).Add(time.Duration(i) * time.Second)
	}
	return out
}

// later puts the rows around midnight.
func later(rows []logtest.Truth) []logtest.Truth {
	out := append([]logtest.Truth{}, rows...)
	for i := range out {
		out[i].Utc = time.Date(2025, 3, 4, 23, 58, 0, 0, time.UTC).Add(time.Duration(i) * time.Second)
	}
	return out
}

// frozen makes the liquid colder than zero.
func frozen(rows []logtest.Truth) []logtest.Truth {
	out := append([]logtest.Truth{}, rows...)
	for i := range out {
		out[i].Liquid -= 400
	}
	return out
}

func readBytes(t testing.TB, b []byte, a answers.Answers) pass.Reading {
	t.Helper()
	r, err := File(context.Background(), logtest.SourceOf(b), "test", a, limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	checkLaws(t, r, b)
	return r
}

// checkLaws checks both accounting laws, and that the file has as many lines as
// were counted.
func checkLaws(t testing.TB, r pass.Reading, b []byte) {
	t.Helper()
	if err := r.Lines.Check(); err != nil {
		t.Errorf("law of lines: %v", err)
	}
	if err := r.Values.Check(); err != nil {
		t.Errorf("law of values: %v", err)
	}
}

func TestEveryVariantIsReadRightOrRefused(t *testing.T) {
	start := time.Date(2025, 3, 4, 12, 0, 0, 0, time.UTC)
	list := variants()
	if len(list) < 34 {
		t.Errorf("%d variants, want at least 34", len(list))
	}
	for _, v := range list {
		t.Run(v.name, func(t *testing.T) {
			rows := logtest.Truths(300, start, time.Second)
			file := v.file(rows)
			a := answers.Answers{Systems: []answers.System{logtest.Site}}
			if v.zone != "" {
				a.Systems[0].Zone, _ = time.LoadLocation(v.zone)
			}
			if v.answer.Channel != "" {
				a.Systems[0].Rows = []register.Channel{v.answer}
			}
			r := readBytes(t, file, a)
			if v.refused != "" {
				wantRefused(t, r, v.refused)
				return
			}
			if v.rows != nil {
				rows = v.rows(rows)
			}
			wantRows(t, r, rows, strings.HasPrefix(v.name, "1.200,05") || strings.HasPrefix(v.name, "1 200,5"))
		})
	}
}

// wantRefused wants no samples, the reason where it belongs, and a line to settle it.
func wantRefused(t *testing.T, r pass.Reading, reason string) {
	t.Helper()
	if n := r.Parts[0].Samples.Rows(); n > 0 {
		t.Fatalf("%d samples from a file that cannot be understood", n)
	}
	var reasons []string
	for _, q := range r.Understanding.Quarantined {
		reasons = append(reasons, q.Reason)
	}
	for _, c := range r.Understanding.Columns {
		if c.Why != "" {
			reasons = append(reasons, c.Why)
		}
	}
	if len(reasons) == 0 || !strings.Contains(reasons[0], reason) {
		t.Errorf("reasons %q, want %q", reasons, reason)
	}
	if len(r.Understanding.OpenQuestions) == 0 || !strings.Contains(r.Understanding.OpenQuestions[0].RegisterLine, "CR-01") {
		t.Errorf("no register line to settle it: %+v", r.Understanding.OpenQuestions)
	}
}

// wantRows compares every value with the exact conversion of what was written.
func wantRows(t *testing.T, r pass.Reading, rows []logtest.Truth, halfWatts bool) {
	t.Helper()
	f := r.Parts[0].Samples
	if f.Rows() != len(rows) {
		t.Fatalf("%d samples, want %d\n%+v", f.Rows(), len(rows), r.Understanding)
	}
	times := f.Times("time")
	suction, suctionOK := f.Fixed32("suction_pressure_kpa")
	liquid, liquidOK := f.Fixed32("liquid_temp_c")
	power, powerOK := f.Fixed32("power_kw")
	for i, want := range rows {
		if times[i] != want.Utc.UnixMicro() {
			t.Fatalf("row %d: time %v, want %v", i, time.UnixMicro(times[i]).UTC(), want.Utc)
		}
		check(t, i, "suction", int64(suction[i]), suctionOK.At(i), want.Suction*1000+101325, !want.NoSuction)
		check(t, i, "liquid", int64(liquid[i]), liquidOK.At(i), want.Liquid*100, !want.NoLiquid)
		watts := want.Power
		if halfWatts && watts%2 == 1 {
			watts++ // half a watt is a tie between two steps: to even
		}
		check(t, i, "power", int64(power[i]), powerOK.At(i), watts, !want.NoPower)
		if t.Failed() {
			t.Fatalf("%+v", r.Understanding)
		}
	}
}

func check(t *testing.T, row int, what string, got int64, has bool, want int64, should bool) {
	t.Helper()
	if has != should || has && got != want {
		t.Errorf("row %d: %s %d (there: %v), want %d (%v)", row, what, got, has, want, should)
	}
}
