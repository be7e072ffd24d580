package scan

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strconv"
	"testing"
)

func TestNumbersAsLoggersPrintThem(t *testing.T) {
	point, comma := Marks{'.', ','}, Marks{',', '.'}
	tests := []struct {
		cell string
		m    Marks
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
		{"1 200 kg", Marks{',', ' '}, "1200", "kg"},
		{"1.2000", comma, "", ""},
		{"12.34.56", comma, "", ""},
		{"1,2,3", comma, "", ""},
		{"4,05", point, "", ""},
		{"1 200,5", Marks{',', ' '}, "1200.5", ""},
		{"1\u00A0200,5", Marks{',', ' '}, "1200.5", ""},
		{"1\u202F200,5", Marks{',', ' '}, "1200.5", ""},
		{"1'200.5", Marks{'.', '\''}, "1200.5", ""},
		{"1’200.5", Marks{'.', '\''}, "1200.5", ""},
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
		d, long, unit, ok := Number([]byte(tt.cell), tt.m)
		if ok != (tt.want != "") {
			t.Errorf("%q: a number: %v", tt.cell, ok)
			continue
		}
		if !ok {
			continue
		}
		got := long
		if got == nil {
			got = d.Rat()
		}
		want, _ := new(big.Rat).SetString(tt.want)
		if got.Cmp(want) != 0 || string(unit) != tt.unit {
			t.Errorf("%q = %s %q, want %s %q", tt.cell, got.RatString(), unit, tt.want, tt.unit)
		}
	}
}

func TestReadingANumberLeavesItsCellAlone(t *testing.T) {
	cell := []byte("45720.500012")
	Number(cell, Marks{'.', ','})
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
		m, decimals, next, ok := PlainNumber(b, 0, '.', ';')
		if !ok || next != len(b) {
			continue
		}
		d, long, unit, ok := Number(b, Marks{Decimal: '.'})
		if !ok || long != nil || len(unit) > 0 || d != (Decimal{m, decimals}) {
			t.Fatalf("%q: quick %de-%d, careful %+v %v", b, m, decimals, d, ok)
		}
	}
}

// Every number in extras is the float64 that strconv gives for its digits.
func TestFloatsAreTheNearest(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 100_000 {
		s := fmt.Sprintf("%d.%0*d", rng.IntN(1_000_000), 1+rng.IntN(9), rng.IntN(1_000_000_000))
		d, long, _, ok := Number([]byte(s), Marks{Decimal: '.'})
		if !ok || long != nil {
			continue
		}
		if want, _ := strconv.ParseFloat(s, 64); d.Float() != want {
			t.Fatalf("%s = %v, want %v", s, d.Float(), want)
		}
	}
}
