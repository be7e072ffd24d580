//go:build long

package energy

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"
)

// All declared records of which TestSeasonalAgainstDeclaredRecords holds some, where
// RIMELOG_EN14825 names the file of them: at least 95 % within 0.5 %, the others told of.
func TestSeasonalAgainstAllDeclaredRecords(t *testing.T) {
	name := os.Getenv("RIMELOG_EN14825")
	if name == "" {
		t.Skip("RIMELOG_EN14825 names no file of declared records: those in the other test stand for them")
	}
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	near := 0
	for _, row := range rows[1:] {
		v := vectorOf(row)
		_, got, err := v.declaration().Seasonal()
		if off := math.Abs(got/v.scop - 1); err == nil && off <= 0.005 {
			near++
		} else {
			t.Logf("record %d: SCOP %.4f, declared %.2f, error %v", v.id, got, v.scop, err)
		}
	}
	if n := len(rows) - 1; float64(near) < 0.95*float64(n) {
		t.Errorf("%d of %d records within 0.5 %%", near, n)
	}
}

// vectorOf reads a row: id, hours, supply, design load, bivalent and limit temperature, four
// tests, bivalent and limit point, idle power, heat demand and SCOP; NaN for empty cells.
func vectorOf(row []string) (v vector) {
	number := func(i int) float64 {
		x, err := strconv.ParseFloat(row[i], 64)
		if err != nil {
			return math.NaN()
		}
		return x
	}
	v.id, v.reversible = int(number(0)), row[1] == "reversible"
	v.design, v.bivalent, v.limit = number(3), number(4), number(5)
	for i := range v.tests {
		v.tests[i] = [3]float64{number(6 + 3*i), number(7 + 3*i), number(8 + 3*i)}
	}
	v.bivalentKW, v.bivalentCOP, v.limitKW, v.limitCOP = number(18), number(19), number(20), number(21)
	for i := range v.idle {
		v.idle[i] = number(22 + i)
	}
	v.scop = number(27)
	return v
}
