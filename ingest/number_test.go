package ingest

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
	"time"

	"rimelog/thermo/units"
)

func TestNumbersAsLoggersPrintThem(t *testing.T) {
	point, comma := marks{'.', ','}, marks{',', '.'}
	tests := []struct {
		cell string
		m    marks
		want string // the exact value; empty where it is no number
		unit string
	}{
		{"4.05", point, "4.05", ""},
		{"4,05", comma, "4.05", ""},
		{"1.200,05", comma, "1200.05", ""},
		{"1.200", comma, "1200", ""},
		{"1,200", point, "1200", ""},
		{"1,23,45,678.5", point, "12345678.5", ""},
		{"1,23,456", point, "123456", ""},
		{"1,23,45", point, "", ""},
		{"1,23,456,789", point, "", ""},
		{"1.23.456", comma, "", ""},
		{"1 200 kg", marks{',', ' '}, "1200", "kg"},
		{"1.2000", comma, "", ""},
		{"12.34.56", comma, "", ""},
		{"1,2,3", comma, "", ""},
		{"4,05", point, "", ""},
		{"1 200,5", marks{',', ' '}, "1200.5", ""},
		{"1\u00A0200,5", marks{',', ' '}, "1200.5", ""},
		{"1\u202F200,5", marks{',', ' '}, "1200.5", ""},
		{"1'200.5", marks{'.', '\''}, "1200.5", ""},
		{"1’200.5", marks{'.', '\''}, "1200.5", ""},
		{"+3.5", point, "3.5", ""},
		{"\u22123.5", point, "-3.5", ""},
		{"-0,0", comma, "0", ""},
		{".5", point, "0.5", ""},
		{"5.", point, "5", ""},
		{"5.6564e-002", point, "0.056564", ""},
		{"5,0878E+01", comma, "50.878", ""},
		{"4.05 bar", point, "4.05", "bar"},
		{"23,5°C", comma, "23.5", "°C"},
		{"0.1000000000000000055511151231257827", point, "0.1000000000000000055511151231257827", ""},
		{"123456789012345678901234567890", point, "123456789012345678901234567890", ""},
		{"2025-03-04", point, "", ""},
		{"12:30", point, "", ""},
		{"", point, "", ""},
		{"-", point, "", ""},
		{"1e99999", point, "", ""},
		{"0x1F", point, "0", "x1F"},
	}
	for _, tt := range tests {
		d, long, unit, ok := parseNumber([]byte(tt.cell), tt.m)
		if ok != (tt.want != "") {
			t.Errorf("%q: a number: %v", tt.cell, ok)
			continue
		}
		if !ok {
			continue
		}
		got := long
		if got == nil {
			got = d.rat()
		}
		want, _ := new(big.Rat).SetString(tt.want)
		if got.Cmp(want) != 0 || string(unit) != tt.unit {
			t.Errorf("%q = %s %q, want %s %q", tt.cell, got.RatString(), unit, tt.want, tt.unit)
		}
	}
}

func TestReadingANumberLeavesItsCellAlone(t *testing.T) {
	cell := []byte("45720.500012")
	parseNumber(cell, marks{'.', ','})
	if string(cell) != "45720.500012" {
		t.Errorf("the cell became %q", cell)
	}
}

// The quick scanner and the careful parser agree wherever the quick one reads.
func TestQuickAndCarefulNumbersAgree(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	letters := "0123456789.,-+ e"
	for range 200_000 {
		b := make([]byte, 1+rng.IntN(9))
		for i := range b {
			b[i] = letters[rng.IntN(len(letters))]
		}
		m, decimals, next, ok := scanNumber(b, 0, '.', ';')
		if !ok || next != len(b) {
			continue
		}
		d, long, unit, ok := parseNumber(b, marks{decimal: '.'})
		if !ok || long != nil || len(unit) > 0 || d != (decimal{m, decimals}) {
			t.Fatalf("%q: quick %de-%d, careful %+v %v", b, m, decimals, d, ok)
		}
	}
}

// Every number in extras is the float64 that strconv gives for its digits.
func TestFloatsAreTheNearest(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 100_000 {
		s := fmt.Sprintf("%d.%0*d", rng.IntN(1_000_000), 1+rng.IntN(9), rng.IntN(1_000_000_000))
		d, long, _, ok := parseNumber([]byte(s), marks{decimal: '.'})
		if !ok || long != nil {
			continue
		}
		if want, _ := strconv.ParseFloat(s, 64); d.float() != want {
			t.Fatalf("%s = %v, want %v", s, d.float(), want)
		}
	}
}

// Every stored value is the exact rational conversion of its digits, rounded half
// to even to the column's step, whatever the unit and the marks.
func TestValuesAreExactConversions(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 9))
	cases := []struct{ unit, header, column string }{
		{"psig", "Suction pressure", "suction_pressure_kpa"},
		{"bar(a)", "Discharge pressure", "discharge_pressure_kpa"},
		{"kg/cm2(g)", "Liquid pressure", "liquid_pressure_kpa"},
		{"°F", "Suction temp", "suction_temp_c"},
		{"K", "Outdoor temp", "outdoor_temp_c"},
		{"l/min", "Sink flow", "sink_flow_m3_h"},
		{"W", "Power", "power_kw"},
		{"rpm", "Compressor speed", "compressor_speed_hz"},
	}
	for _, mark := range []string{".", ","} {
		file, cells := exactFile(rng, mark, func(yield func(unit, header string)) {
			for _, c := range cases {
				yield(c.unit, c.header)
			}
		})
		r := readBytes(t, []byte(file), Answers{Systems: []SystemAnswers{{ID: "CR-01", Zone: time.UTC, Altitude: 540}}})
		air, err := units.AirPressure(540)
		if err != nil {
			t.Fatal(err)
		}
		for k, c := range cases {
			got, valid := r.Parts[0].Samples.Fixed32(c.column)
			u, err := units.Parse(c.unit)
			if err != nil {
				t.Fatal(err)
			}
			for i, row := range cells {
				v, _ := new(big.Rat).SetString(strings.ReplaceAll(row[k], ",", "."))
				want := u.Exact(v)
				if u.Reference == units.Gauge {
					want.Add(want, air)
				}
				steps, _ := units.Round(want, sampleTable.Columns[sampleTable.Index(c.column)].Digits)
				if !valid.At(i) || int64(got[i]) != steps {
					t.Fatalf("%s %s in line %d = %d (there: %v), want %d", row[k], c.unit, i+2, got[i], valid.At(i), steps)
				}
			}
		}
	}
}

// exactFile writes random numbers within what each quantity can be.
func exactFile(rng *rand.Rand, mark string, columns func(func(unit, header string))) (string, [][]string) {
	var b strings.Builder
	var spans [][2]int
	b.WriteString("Time")
	columns(func(unit, header string) {
		fmt.Fprintf(&b, ";%s [%s]", header, unit)
		switch unit {
		case "°F":
			spans = append(spans, [2]int{-60, 300})
		case "K":
			spans = append(spans, [2]int{230, 330})
		case "W":
			spans = append(spans, [2]int{0, 90000})
		default:
			spans = append(spans, [2]int{0, 30})
		}
	})
	b.WriteString("\n")
	var cells [][]string
	for i := range 500 {
		b.WriteString(time.Date(2025, 3, 4, 0, 0, i, 0, time.UTC).Format(iso))
		var row []string
		for _, s := range spans {
			v := fmt.Sprintf("%d", s[0]+rng.IntN(s[1]-s[0]))
			if n := rng.IntN(8); n > 0 || i == 0 {
				v += fmt.Sprintf("%s%0*d", mark, max(n, 1), rng.IntN(pow(10, max(n, 1))))
			}
			row = append(row, v)
			b.WriteString(";" + v)
		}
		b.WriteString("\n")
		cells = append(cells, row)
	}
	return b.String(), cells
}

func pow(base, n int) int {
	v := 1
	for range n {
		v *= base
	}
	return v
}
