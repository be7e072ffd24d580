package pass

import (
	"bytes"
	"fmt"
	"io"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/answers"
	"rimelog/ingest/dialect"
	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/ingest/merge"
	"rimelog/ingest/plan"
	"rimelog/ingest/raw"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/frame/frametest"
	"rimelog/pipeline/table"
)

// oddLines writes lines that are plain, almost plain, and not plain at all, of channels
// and a counter, and where mixed a state and a column nobody knows. What is odd is rare
// by a factor. In a zone, every time says how far it is from UTC.
func oddLines(seed uint64, delim, mark, lineEnd string, apart, mixed bool, rare int, zone string) []byte {
	rng := rand.New(rand.NewPCG(seed, 5))
	joint := " "
	head := []string{"Time"}
	if apart {
		joint, head = delim, []string{"Date", "Time"}
	}
	head = append(head, "Suction pressure [bar(g)]", "Power [kW]", "Liquid temp [°C]", "Energy [kWh]")
	if mixed {
		head = append(head, "Running", "Wibble")
	}
	var b bytes.Buffer
	b.WriteString(strings.Join(head, delim) + lineEnd)
	at := time.Date(2025, 3, 29, 23, 0, 0, 0, time.UTC)
	local, offset := time.UTC, ""
	if zone != "" {
		local, _ = time.LoadLocation(zone)
		offset = "Z07:00"
	}
	number := func(low, high, digits int) string {
		if digits += rng.IntN(40*rare) / (40*rare - 1); rng.IntN(60*rare) == 0 {
			return []string{"", "---", "OL", "7" + mark, mark + "5", "+3", " 4", "\"5\"", "1e3", "12345678", "1234" + mark + "5678", "-0", "x", "99999999", "3,4.5"}[rng.IntN(15)]
		}
		if rare > 1 && rng.IntN(8*rare) > 0 {
			low = max(low, 100)
		}
		v := int64(low) + rng.Int64N(int64(high-low))
		if digits == 0 {
			return fmt.Sprint(v)
		}
		return logtest.DecimalText(v, digits, mark)
	}
	for i := range 3000 {
		at = at.Add(time.Duration(1+rng.IntN(200*rare)/(200*rare-1)*3600) * time.Second)
		state := fmt.Sprint(rng.IntN(2))
		if rng.IntN(100*rare) == 0 {
			state = []string{"on", "2", "", "00"}[rng.IntN(4)]
		}
		cells := []string{
			at.In(local).Format("2006-01-02" + joint + "15:04:05" + offset), number(-95, 900, 2), number(0, 999, 2), number(-150, 400, 1),
			number(100_000+i, 100_001+i, 1),
		}
		if mixed {
			cells = append(cells, state, number(0, 100, 0))
		}
		switch rng.IntN(150 * rare) {
		case 0:
			cells[0] = "2025-13-45" + joint + "25:00:00"
		case 1:
			cells = cells[:len(cells)-1]
		case 2:
			cells = append(cells, "")
		case 3:
			cells[0] += ".5"
		case 4:
			cells[0] = strings.TrimSuffix(cells[0], "0") + "1"
		}
		b.WriteString(strings.Join(cells, delim))
		b.WriteString(lineEnd)
	}
	return b.Bytes()
}

// TestPlainLinesAreReadAsCarefully reads lines the quick ways and the careful way.
func TestPlainLinesAreReadAsCarefully(t *testing.T) {
	for seed, c := range []struct {
		delim, mark, lineEnd string
		apart, mixed         bool
		rare                 int
		plain                int64 // lines at least
		zone                 string
	}{
		{",", ".", "\n", false, true, 1, 1500, ""}, {";", ",", "\r\n", false, true, 1, 1500, ""}, {"\t", ".", "\n", true, true, 1, 1500, ""},
		{";", ".", "\r\n", true, true, 1, 1500, ""}, {",", ".", "\r", false, true, 1, 0, ""},
		{",", ".", "\n", false, false, 50, 2800, ""}, {";", ",", "\r\n", false, false, 50, 2800, ""}, {"\t", ".", "\n", true, false, 20, 2500, ""},
		{";", ".", "\r\n", true, false, 400, 2900, ""}, {",", ".", "\r", false, false, 50, 0, ""},
		{",", ".", "\n", false, true, 1, 1500, "Europe/Berlin"}, {";", ",", "\n", false, false, 50, 2800, "UTC"}, {";", ",", "\r\n", true, false, 50, 2500, "Asia/Kolkata"},
	} {
		file := oddLines(uint64(seed), c.delim, c.mark, c.lineEnd, c.apart, c.mixed, c.rare, c.zone)
		quick, used := readPass(t, file, true)
		careful, _ := readPass(t, file, false)
		if used < c.plain {
			t.Errorf("%q: only %d lines were plain", c.delim, used)
		}
		if quick.Lines != careful.Lines || quick.Values != careful.Values || !reflect.DeepEqual(quick.Understanding, careful.Understanding) {
			t.Errorf("%q: read quickly\n%+v\n%+v\n%+v\nwith care\n%+v\n%+v\n%+v", c.delim, quick.Lines, quick.Values, quick.Understanding, careful.Lines, careful.Values, careful.Understanding)
		}
		for i, f := range []*frame.Frame{quick.Parts[0].Samples, quick.Parts[0].Extras, quick.Parts[0].Refusals} {
			frametest.Equal(t, f, []*frame.Frame{careful.Parts[0].Samples, careful.Parts[0].Extras, careful.Parts[0].Refusals}[i])
		}
	}
}

// passOver is a pass over a file, as it is planned.
func passOver(t testing.TB, file []byte, to merge.Sink) (*Pass, raw.Source) {
	t.Helper()
	src := logtest.SourceOf(file)
	s, err := dialect.Take(src, limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.New(s, answers.Answers{Systems: []answers.System{logtest.Site}}, plan.Amendments{}, limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return New(p, src.Size, to), src
}

// readPass reads a file in one pass, the quick ways allowed or not, and tells how many
// lines were plain.
func readPass(t *testing.T, file []byte, quick bool) (Reading, int64) {
	t.Helper()
	var all merge.Memory
	one, src := passOver(t, file, &all)
	if one.plain == nil {
		t.Fatal("no line of the file can be plain")
	}
	if !quick {
		one.plain, one.quick = nil, false
	}
	if err := one.Run(io.NewSectionReader(src, 0, src.Size), 1<<20); err != nil || one.Again {
		t.Fatal(err, one.Found)
	}
	r, err := one.Reading()
	if err != nil {
		t.Fatal(err)
	}
	for _, to := range []struct {
		f **frame.Frame
		t table.Table
	}{{&r.Parts[0].Samples, sampleTable}, {&r.Parts[0].Extras, extrasTable}} {
		if *to.f, err = all.Rows(0, to.t); err != nil {
			t.Fatal(err)
		}
	}
	return r, one.plainly
}

// BenchmarkPass reads the slow process without writing it anywhere: from bytes to
// columns.
func BenchmarkPass(b *testing.B) {
	file := logtest.SlowProcess(200_000, false)
	src := logtest.SourceOf(file)
	s, err := dialect.Take(src, limits.Options{})
	if err != nil {
		b.Fatal(err)
	}
	p, err := plan.New(s, answers.Answers{Systems: []answers.System{logtest.Site}}, plan.Amendments{}, limits.Options{})
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(file)))
	defer logtest.PerCPU(b, len(file))()
	for b.Loop() {
		one := New(p, src.Size, logtest.Nowhere{})
		if err := one.Run(io.NewSectionReader(src, 0, src.Size), 1<<20); err != nil || one.lines.Data != 200_000 {
			b.Fatal(err, one.lines)
		}
	}
}
