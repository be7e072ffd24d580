package ingest

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
	"rimelog/ingest/read"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A measured is one line of a file whose lines come in any order.
type measured struct {
	second int
	power  int // hundredths of a kilowatt; below zero for none
	extra  int
}

// inAnyOrder are files of several chunks of rows whose lines are not in order of time.
func inAnyOrder() map[string][]measured {
	rng := rand.New(rand.NewPCG(3, 1))
	const n = 80_000
	up := make([]measured, n)
	for i := range up {
		up[i] = measured{i, 100 + rng.IntN(900), rng.IntN(1000)}
		if rng.IntN(20) == 0 {
			up[i].power = -1
		}
	}
	down := slices.Clone(up)
	slices.Reverse(down)
	shuffled := slices.Clone(up)
	rng.Shuffle(n, func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	again := slices.Clone(up[30_000:60_000]) // a second download of the same hours, not all alike
	for i := range again {
		again[i].power += rng.IntN(2)
	}
	doubled := slices.Clone(up)
	for i := range doubled {
		doubled[i].second = i / 50 // a logger that prints minutes only
	}
	return map[string][]measured{
		"ascending": up, "descending": down, "shuffled": shuffled, "doubled stamps": doubled,
		"two downloads": slices.Concat(up[:50_000], again, up[50_000:]),
	}
}

var monthEnd = time.Date(2025, 3, 31, 12, 0, 0, 0, time.UTC) // a month ends within

func fileOf(lines []measured) string {
	var b strings.Builder
	b.WriteString("Time,Power [kW],Wibble\n")
	for _, l := range lines {
		b.WriteString(monthEnd.Add(time.Duration(l.second) * time.Second).Format(logtest.ISO))
		power := ""
		if l.power >= 0 {
			power = logtest.DecimalText(int64(l.power), 2, ".")
		}
		fmt.Fprintf(&b, ",%s,%d\n", power, l.extra)
	}
	return b.String()
}

// inOrder is what the lines say, worked out the plain way: of two values for one time
// the later line's counts.
func inOrder(lines []measured) (times []int64, power []int32, extraTimes []int64, extra []float64) {
	powers, extras := map[int]int{}, map[int]int{}
	for _, l := range lines {
		if l.power >= 0 {
			powers[l.second] = l.power
		}
		extras[l.second] = l.extra
	}
	at := func(second int) int64 { return monthEnd.Add(time.Duration(second) * time.Second).UnixMicro() }
	for second := range 100_000 {
		if p, ok := powers[second]; ok {
			times, power = append(times, at(second)), append(power, int32(p*10))
		}
		if e, ok := extras[second]; ok {
			extraTimes, extra = append(extraTimes, at(second)), append(extra, float64(e))
		}
	}
	return times, power, extraTimes, extra
}

func wantInOrder(t *testing.T, lines []measured, samples, extras *frame.Frame) {
	t.Helper()
	times, power, extraTimes, extra := inOrder(lines)
	got, valid := samples.Fixed32("power_kw")
	if !slices.Equal(samples.Times("time"), times) || !slices.Equal(got, power) || !valid.All() {
		t.Errorf("%d samples, want %d, or other values", samples.Rows(), len(times))
	}
	if !slices.Equal(extras.Times("time"), extraTimes) || !slices.Equal(extras.Floats(nil, "number"), extra) {
		t.Errorf("%d extras, want %d, or other values", extras.Rows(), len(extraTimes))
	}
}

// TestLinesInAnyOrder reads files longer than what is held at once, in memory and into
// a workspace, whose rows wait on disk.
func TestLinesInAnyOrder(t *testing.T) {
	for name, lines := range inAnyOrder() {
		t.Run(name, func(t *testing.T) {
			file := fileOf(lines)
			r, err := read.File(context.Background(), logtest.SourceOf([]byte(file)), "test", logtest.InZone(time.UTC), limits.Options{})
			if err != nil {
				t.Fatal(err)
			}
			wantInOrder(t, lines, r.Parts[0].Samples, r.Parts[0].Extras)
			w := newWorkspace(t)
			w.write("register/systems.csv", "system;zone;altitude_m\nCR-01;UTC;0\n")
			w.write("uploads/CR-01/log.csv", file)
			w.run()
			wantInOrder(t, lines, w.months(table.Samples()), w.months(table.Extras()))
			uploads, _ := w.account()
			if _, v := dataset.Accounts(uploads[0]); v != r.Values {
				t.Errorf("values %+v, in memory %+v", v, r.Values)
			}
		})
	}
}

// months reads March and April of CR-01.
func (w *workspace) months(t table.Table) *frame.Frame {
	w.t.Helper()
	var list []*frame.Frame
	for _, m := range []string{"2025-03", "2025-04"} {
		f, err := w.data.ReadTable(context.Background(), t.Path("CR-01", m))
		if err != nil {
			if m == "2025-04" && errors.Is(err, fs.ErrNotExist) {
				continue
			}
			w.t.Fatal(err)
		}
		list = append(list, f)
	}
	f, err := frame.Concat(list...)
	if err != nil {
		w.t.Fatal(err)
	}
	return f
}
