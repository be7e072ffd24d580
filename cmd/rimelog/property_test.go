package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"rimelog/thermo"
)

// answered runs a batch and returns its rows by column name. The header is row 0.
func answered(t testing.TB, b *batch, in string) []map[string]string {
	t.Helper()
	var out strings.Builder
	if err := b.run(t.Context(), strings.NewReader(in), &out); err != nil {
		t.Fatal(err)
	}
	return byColumn(t, out.String(), b.header.comma)
}

func byColumn(t testing.TB, text string, comma rune) (rows []map[string]string) {
	t.Helper()
	r := csv.NewReader(strings.NewReader(text)) // refuses rows of another length
	r.Comma = comma
	records, err := r.ReadAll()
	if err != nil {
		t.Fatalf("output is no CSV: %v\n%s", err, text)
	}
	for _, rec := range records[1:] {
		row := map[string]string{}
		for i, name := range records[0] {
			row[name] = rec[i]
		}
		rows = append(rows, row)
	}
	return rows
}

func newBatch(exact bool) *batch {
	return &batch{exact: exact, mark: '.', known: map[string]fluid{}}
}

func value(t testing.TB, row map[string]string, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[column], 64)
	if err != nil {
		t.Fatalf("%s: %v in %v", column, err, row)
	}
	return v
}

// TestBatchAgainstReference compares both paths of -batch with the values of an
// independent library, CoolProp 8.0.0, that are committed in testdata/reference
// (states at random between the triple and 0.97 of the critical temperature).
// Tolerances are those of the accuracy promise; the library counts enthalpy from
// 0 at 0 degrees C, where IIR has 200 kJ/kg.
func TestBatchAgainstReference(t *testing.T) {
	for _, name := range []string{"R134a", "R32", "R290", "R717", "R404A", "R407C", "R410A", "R448A", "R454B", "R513A"} {
		for _, exact := range []bool{true, false} {
			t.Run(fmt.Sprintf("%s/exact=%t", name, exact), func(t *testing.T) { compareReference(t, name, exact) })
		}
	}
}

func compareReference(t *testing.T, name string, exact bool) {
	text, err := os.ReadFile("../../testdata/reference/" + name + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	_, body, _ := strings.Cut(string(text), "\n")
	refs := byColumn(t, body, ',')
	var temps, both strings.Builder
	temps.WriteString("refrigerant,temp_c\n")
	both.WriteString("refrigerant,pressure_kpa,temp_c\n")
	for _, ref := range refs {
		k := value(t, ref, "temp_k")
		fmt.Fprintf(&temps, "%s,%.9f\n", name, k-273.15)
		fmt.Fprintf(&both, "%s,%.12g,%.9f\n", name, value(t, ref, "pressure_pa")/1000, k-273.15)
	}
	saturated := answered(t, newBatch(exact), temps.String())
	single := answered(t, newBatch(exact), both.String())
	for i, ref := range refs {
		switch ref["line"] {
		case "bubble":
			compare(t, ref, saturated[i], "bubble_pressure_kpa", "liquid_density_kg_m3", "liquid_enthalpy_kj_kg")
		case "dew":
			compare(t, ref, saturated[i], "dew_pressure_kpa", "vapour_density_kg_m3", "vapour_enthalpy_kj_kg")
		default:
			compare(t, ref, single[i], "pressure_kpa", "density_kg_m3", "enthalpy_kj_kg")
		}
	}
}

func compare(t *testing.T, ref, got map[string]string, pressure, density, enthalpy string) {
	t.Helper()
	if got["error"] != "" {
		t.Errorf("%v: %s", ref, got["error"])
		return
	}
	if p := value(t, ref, "pressure_pa") / 1000; math.Abs(value(t, got, pressure)/p-1) > 1e-5 {
		t.Errorf("%s %s K: %s = %s, want %.9g", ref["line"], ref["temp_k"], pressure, got[pressure], p)
	}
	if rho := value(t, ref, "density_kg_m3"); math.Abs(value(t, got, density)/rho-1) > 1e-4 {
		t.Errorf("%s %s K: %s = %s, want %.9g", ref["line"], ref["temp_k"], density, got[density], rho)
	}
	if h := value(t, ref, "enthalpy_kj_kg") + 200; math.Abs(value(t, got, enthalpy)-h) > 0.02 {
		t.Errorf("%s %s K: %s = %s, want %.9g", ref["line"], ref["temp_k"], enthalpy, got[enthalpy], h)
	}
}

// TestDatumShiftsOnly: a datum moves all enthalpies of a refrigerant by the same
// amount and nothing else (definition of a datum).
func TestDatumShiftsOnly(t *testing.T) {
	const in = "refrigerant,temp_c\nR448A,-30\nR448A,0\nR448A,40\n"
	for _, exact := range []bool{true, false} {
		iir := answered(t, newBatch(exact), in)
		for _, d := range []thermo.Datum{thermo.ASHRAE, thermo.NBP} {
			b := newBatch(exact)
			b.datum = d
			rows := answered(t, b, in)
			shift := value(t, rows[0], "liquid_enthalpy_kj_kg") - value(t, iir[0], "liquid_enthalpy_kj_kg")
			for i := range rows {
				for _, c := range []string{"liquid_enthalpy_kj_kg", "vapour_enthalpy_kj_kg"} {
					if got := value(t, rows[i], c) - value(t, iir[i], c); math.Abs(got-shift) > 1e-5 || math.Abs(shift) < 1 {
						t.Errorf("%s exact=%t row %d: %s moved by %g, others by %g kJ/kg", d, exact, i, c, got, shift)
					}
				}
				if rows[i]["dew_pressure_kpa"] != iir[i]["dew_pressure_kpa"] {
					t.Errorf("%s row %d: the datum moved a pressure", d, i)
				}
			}
		}
	}
}

// TestBatchAndBack: the pressures of a temperature lead back to it (law).
func TestBatchAndBack(t *testing.T) {
	for _, name := range []string{"R134a", "R407C", "R455A", "R744"} {
		for _, exact := range []bool{true, false} {
			row := answered(t, newBatch(exact), "refrigerant,temp_c\n"+name+",-12.5\n")[0]
			back := answered(t, newBatch(exact), fmt.Sprintf("refrigerant,pressure_kpa\n%[1]s,%[2]s\n%[1]s,%[3]s\n", name, row["bubble_pressure_kpa"], row["dew_pressure_kpa"]))
			for i, column := range []string{"bubble_temp_c", "dew_temp_c"} {
				if got := value(t, back[i], column); math.Abs(got+12.5) > 1e-5 {
					t.Errorf("%s exact=%t: %s came back as %.7f", name, exact, column, got)
				}
			}
		}
	}
}

// TestBatchStreams: results come out while rows still go in.
func TestBatchStreams(t *testing.T) {
	in, feed := io.Pipe()
	out := make(chan string, 1000)
	done := make(chan error)
	go func() { done <- newBatch(false).run(t.Context(), in, sink(out)) }()
	if _, err := io.WriteString(feed, "refrigerant,pressure_kpa\n"+strings.Repeat("R32,800\n", 10000)); err != nil {
		t.Fatal(err)
	}
	if first := <-out; !strings.HasPrefix(first, "refrigerant,pressure_kpa,bubble_temp_c") {
		t.Errorf("first output %.80q", first)
	}
	if err := feed.Close(); err != nil {
		t.Fatal(err)
	}
	if err := <-done; err != nil {
		t.Error(err)
	}
}

// A sink passes on what is written to it.
type sink chan string

func (s sink) Write(p []byte) (int, error) {
	s <- string(p)
	return len(p), nil
}

func TestBatchStopsWhenInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	err := newBatch(false).run(ctx, strings.NewReader("refrigerant,temp_c\nR32,0\n"), io.Discard)
	if !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want the context's error", err)
	}
}

// TestBatchTroubleWithFiles: neither a full disk nor a broken input may look done.
func TestBatchTroubleWithFiles(t *testing.T) {
	full := errors.New("no space left")
	in := "refrigerant,temp_c\n" + strings.Repeat("R32,0\n", 1000)
	if err := newBatch(false).run(t.Context(), strings.NewReader(in), failing{full}); !errors.Is(err, full) {
		t.Errorf("full disk: %v", err)
	}
	torn := errors.New("input/output error")
	err := newBatch(false).run(t.Context(), io.MultiReader(strings.NewReader("refrigerant,temp_c\nR32,0\n"), failing{torn}), io.Discard)
	if !errors.Is(err, torn) || !strings.Contains(fmt.Sprint(err), "after line 2") {
		t.Errorf("torn input: %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }
func (f failing) Read([]byte) (int, error)  { return 0, f.err }

// TestPropertyExitCodes: 0 done, 2 usage, 3 something was left out.
func TestPropertyExitCodes(t *testing.T) {
	folder := t.TempDir()
	write := func(name, text string) string {
		path := folder + "/" + name
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	good, bad := write("good.csv", "refrigerant,temp_c\nR32,0\n"), write("bad.csv", "refrigerant,temp_c\nR32,0\nR32,x\n")
	for _, c := range []struct {
		args []string
		want int
	}{
		{[]string{"property", "-batch", good}, exitDone},
		{[]string{"property", "-batch", bad}, exitLeftOut},
		{[]string{"property", "-batch", write("none.csv", "a,b\n1,2\n")}, exitUsage},
		{[]string{"property", "-batch", folder + "/missing.csv"}, exitUsage},
		{[]string{"property", "R32", "-temp-c", "0"}, exitDone},
		{[]string{"property", "R32", "-temp-c", "100"}, exitUsage},
		{[]string{"property", "R32", "-to-c", "100"}, exitLeftOut},
		{[]string{"property", "R32", "-to-c", "100", "-json"}, exitLeftOut},
		{[]string{"property", "R99"}, exitUsage},
		{[]string{"refrigerants"}, exitDone},
		{[]string{"refrigerants", "R99"}, exitUsage},
	} {
		var out, errOut bytes.Buffer
		if got := run(t.Context(), c.args, &out, &errOut); got != c.want {
			t.Errorf("%q: exit %d, want %d\n%s", c.args, got, c.want, errOut.String())
		}
	}
}

// FuzzBatch: whatever the bytes, either the header is refused, or the output is a
// CSV of one width in which each row has all its results or a reason.
func FuzzBatch(f *testing.F) {
	f.Add([]byte("refrigerant,pressure_kpa\nR134a,200\nR448A,\n"))
	f.Add([]byte("\xef\xbb\xbfrefrigerant;temp_c;x\r\nR32;1e400;\"a\nb\"\r\n;;\r\n"))
	f.Add([]byte("pressure_kpa,temp_c,refrigerant\n1e3,-0,R744\n\"1\n2,3,R32\nNaN,0x10,R32\n1_0,1,R1\n"))
	f.Fuzz(func(t *testing.T, in []byte) {
		var out strings.Builder
		b := newBatch(false)
		err := b.run(t.Context(), bytes.NewReader(in), &out)
		var usage *usageError
		if errors.As(err, &usage) && out.Len() == 0 {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		rows := byColumn(t, out.String(), b.header.comma)
		if len(rows) != b.rows {
			t.Fatalf("%d rows out, %d counted", len(rows), b.rows)
		}
		for _, row := range rows {
			for _, c := range b.header.form.columns() {
				if (row[c] == "") != (row[errorColumn] != "") || strings.ContainsAny(row[c], "NI") {
					t.Fatalf("%s = %q with error %q", c, row[c], row[errorColumn])
				}
			}
		}
	})
}

// BenchmarkBatch reports rows per second from text to text.
func BenchmarkBatch(b *testing.B) {
	for _, c := range []struct{ form, header, row string }{
		{"pressure", "refrigerant,pressure_kpa\n", "R448A,612.5\nR134a,1012.25\n"},
		{"temp", "refrigerant,temp_c\n", "R448A,-12.5\nR134a,31.25\n"},
		{"both", "refrigerant,pressure_kpa,temp_c\n", "R448A,612.5,25.75\nR134a,1012.25,20.5\n"},
	} {
		for _, exact := range []bool{false, true} {
			b.Run(fmt.Sprintf("given=%s/exact=%t", c.form, exact), func(b *testing.B) {
				const rows = 2000
				in := c.header + strings.Repeat(c.row, rows/2)
				if err := newBatch(exact).run(b.Context(), strings.NewReader(in), io.Discard); err != nil {
					b.Fatal(err)
				}
				b.ReportAllocs()
				for b.Loop() {
					if err := newBatch(exact).run(b.Context(), strings.NewReader(in), io.Discard); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
			})
		}
	}
}
