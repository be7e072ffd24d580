package read

import (
	"fmt"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/logtest"
	"rimelog/thermo/units"
)

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
		r := readBytes(t, []byte(file), answers.Answers{Systems: []answers.System{{ID: "CR-01", Zone: time.UTC, Altitude: 540}}})
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
		b.WriteString(time.Date(2025, 3, 4, 0, 0, i, 0, time.UTC).Format(logtest.ISO))
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
