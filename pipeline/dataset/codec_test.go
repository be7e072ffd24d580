package dataset

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/parquet-go/parquet-go"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// loggerFrame is what a logger of eight channels writes once a second: slow
// processes with noise, a gap in every channel now and then.
func loggerFrame(tb testing.TB, rows int, gaps bool) *frame.Frame {
	tb.Helper()
	rng := rand.New(rand.NewPCG(7, 1))
	b := frame.NewBuilder(table.Samples(), rows)
	start := int64(1_709_251_200_000_000) // 2024-03-01 00:00:00 UTC
	times := b.Column("time")
	for i := range rows {
		times.Int64(start + int64(i)*1_000_000)
	}
	for k, name := range []string{
		"suction_pressure_kpa", "discharge_pressure_kpa", "suction_temp_c", "discharge_temp_c",
		"liquid_temp_c", "outdoor_temp_c", "room_temp_c", "power_kw",
	} {
		c, v := b.Column(name), 20_000.0+1_000*float64(k)
		for range rows {
			v += 0.02*(20_000-v) + 50*rng.NormFloat64()
			if gaps && rng.IntN(50) == 0 {
				c.Null()
			} else {
				c.Int32(int32(v/100) * 100) // one decimal, as most loggers print
			}
		}
	}
	f, err := b.Build()
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

var testFoot = footer{table: "samples", step: "join/1", fingerprint: strings.Repeat("ab", 32), notes: map[string]string{"rimelog.tally": "{}"}}

func encoded(tb testing.TB, f *frame.Frame, foot footer) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := encode(&b, f, foot); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func decoded(tb testing.TB, b []byte, t table.Table) *frame.Frame {
	tb.Helper()
	f, err := parquet.OpenFile(bytes.NewReader(b), int64(len(b)), parquet.SkipPageIndex(true))
	if err != nil {
		tb.Fatal(err)
	}
	got, err := decode(f, t)
	if err != nil {
		tb.Fatal(err)
	}
	return got
}

func BenchmarkEncode(b *testing.B) {
	for name, gaps := range map[string]bool{"gaps=no": false, "gaps=yes": true} {
		f := loggerFrame(b, 500_000, gaps)
		b.Run(name, func(b *testing.B) {
			n := 0
			for b.Loop() {
				n = len(encoded(b, f, testFoot))
			}
			b.ReportMetric(8*float64(f.Rows())*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mvalues/s")
			b.ReportMetric(float64(n)/float64(f.Rows()), "B/row")
		})
	}
}

func BenchmarkDecode(b *testing.B) {
	for name, gaps := range map[string]bool{"gaps=no": false, "gaps=yes": true} {
		f := loggerFrame(b, 500_000, gaps)
		file := encoded(b, f, testFoot)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				decoded(b, file, table.Samples())
			}
			b.ReportMetric(8*float64(f.Rows())*float64(b.N)/b.Elapsed().Seconds()/1e6, "Mvalues/s")
		})
	}
}

var _, _, _ = sha256.New, hex.EncodeToString, math.NaN
