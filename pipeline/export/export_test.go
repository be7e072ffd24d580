package export

import (
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"io"
	"iter"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"rimelog/pipeline"
	"rimelog/pipeline/dataset"
	"rimelog/pipeline/frame"
	"rimelog/pipeline/store"
	"rimelog/pipeline/table"
)

var noon = time.Date(2025, 3, 1, 12, 0, 0, 0, time.UTC)

// fleet is a dataset of two systems with hostile names in their results.
func fleet(t *testing.T) *dataset.Dataset {
	t.Helper()
	dir, err := store.OpenDir(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	d := dataset.New(dir)
	for i, id := range []string{"A-1", "B-1"} {
		visits := []table.Visit{visit(noon, float64(i)+5.5), visit(noon.AddDate(0, 1, 0), math.NaN())}
		commit(t, d, dataset.SystemUnit(id), put(t, d, table.Visits(), id, "", visits))
		samples := measured(t, noon, -2_500, 7)
		june := measured(t, noon.AddDate(0, 3, 0), 1_000_001)
		commit(t, d, dataset.SystemUnit(id),
			stage(t, d, table.Samples(), id, "2025-03", samples), stage(t, d, table.Samples(), id, "2025-06", june))
	}
	commit(t, d, dataset.FleetUnit,
		put(t, d, table.Findings(), "", "", []table.Finding{
			{ID: "A-1/x", System: "A-1", Site: "=HYPERLINK(\"http://x\")", Kind: "-1+1", Evidence: "one\ntwo", RaisedOn: noon, Size: -7.25},
			{ID: "B-1/x", System: "B-1", Site: "@there", RaisedOn: noon.AddDate(0, 0, 1)},
		}),
		put(t, d, table.Uploads(), "", "", []table.Upload{
			{Upload: "1", Path: "A-1/a.csv", Systems: "A-1"}, {Upload: "2", Path: "both.csv", Systems: "A-1 B-1"}, {Upload: "3", Path: "nobody.csv"},
		}))
	return d
}

func visit(start time.Time, superheat float64) table.Visit {
	return table.Visit{Start: start, End: start.Add(time.Hour), Part: table.Whole, Use: table.UseTrend, Superheat: superheat, Subcooling: math.NaN()}
}

func measured(t *testing.T, from time.Time, millikelvin ...int32) *frame.Frame {
	t.Helper()
	b := frame.NewBuilder(table.Samples(), len(millikelvin))
	for i, v := range millikelvin {
		b.Column("time").Int64(from.Add(time.Duration(i) * time.Second).UnixMicro())
		b.Column("suction_temp_c").Int32(v)
	}
	f, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func put[Row any](t *testing.T, d *dataset.Dataset, tab table.Table, system, month string, rows []Row) dataset.File {
	t.Helper()
	f, err := frame.FromRows(tab, rows)
	if err != nil {
		t.Fatal(err)
	}
	return stage(t, d, tab, system, month, f)
}

func stage(t *testing.T, d *dataset.Dataset, tab table.Table, system, month string, f *frame.Frame) dataset.File {
	t.Helper()
	path := tab.Path(system, month)
	fp := pipeline.Fingerprint(strings.Repeat("0", 64))
	file, err := d.StageFrame(t.Context(), fp, pipeline.Step{Name: "test", Version: 1}, path, f, nil)
	if err != nil {
		t.Fatal(err)
	}
	return file
}

func commit(t *testing.T, d *dataset.Dataset, unit string, files ...dataset.File) {
	t.Helper()
	g, err := d.Newest(t.Context(), unit)
	if err == nil {
		g, err = d.Commit(t.Context(), g.With(files...))
	}
	if err = errors.Join(err, d.Publish(t.Context(), g)); err != nil {
		t.Fatal(err)
	}
}

// csvOf copies a table and reads it back with the standard library's reader.
func csvOf(t *testing.T, d *dataset.Dataset, s Selection, tab table.Table) [][]string {
	t.Helper()
	var b bytes.Buffer
	if err := CSV(&b, Columns(tab), s.Rows(t.Context(), d, tab)); err != nil {
		t.Fatal(err)
	}
	text, marked := strings.CutPrefix(b.String(), "\ufeff")
	if !marked || !strings.Contains(text, "\r\n") {
		t.Errorf("%s: want a byte order mark and CRLF, got %q", tab.Name, text[:20])
	}
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func column(rows [][]string, name string) (cells []string) {
	i := slices.Index(rows[0], name)
	for _, r := range rows[1:] {
		cells = append(cells, r[i])
	}
	return cells
}

func TestCSVKeepsEveryDigitAndNull(t *testing.T) {
	d := fleet(t)
	samples := csvOf(t, d, Selection{Systems: []string{"A-1"}}, table.Samples())
	if got := column(samples, "suction_temp_c"); !slices.Equal(got, []string{"-2.5", "0.007", "1000.001"}) {
		t.Errorf("suction temperatures %v", got)
	}
	if got := column(samples, "time"); got[1] != "2025-03-01 12:00:01" {
		t.Errorf("times %v", got)
	}
	visits := csvOf(t, d, Selection{}, table.Visits())
	if got := column(visits, "superheat_k"); !slices.Equal(got, []string{"5.5", "", "6.5", ""}) {
		t.Errorf("superheats %v", got)
	}
	if got := column(visits, "system"); !slices.Equal(got, []string{"A-1", "A-1", "B-1", "B-1"}) {
		t.Errorf("systems %v", got)
	}
}

// A cell that begins with one of = + - @, tab or return runs as a formula in a
// spreadsheet (OWASP, "CSV Injection"); numbers stay numbers.
func TestNoCellIsAFormula(t *testing.T) {
	rows := csvOf(t, fleet(t), Selection{}, table.Findings())
	for name, want := range map[string]string{"site": `'=HYPERLINK("http://x")`, "kind": "'-1+1", "evidence": "one two", "size_k": "-7.25"} {
		if got := column(rows, name)[0]; got != want {
			t.Errorf("%s is %q, want %q", name, got, want)
		}
	}
	if got := column(rows, "site")[1]; got != "'@there" {
		t.Errorf("site is %q", got)
	}
}

// A selection of systems shows nothing of another: neither its rows nor rows that
// concern both, nor tables that do not say whose their rows are.
func TestSelectionShowsNothingOfOthers(t *testing.T) {
	d, mine := fleet(t), Selection{Systems: []string{"A-1"}}
	for _, tab := range table.All() {
		if !mine.Allows(tab) {
			continue
		}
		for i, row := range csvOf(t, d, mine, tab)[1:] {
			if strings.Contains(strings.Join(row, " "), "B-1") || strings.Contains(strings.Join(row, " "), "nobody") {
				t.Errorf("%s row %d shows another system: %v", tab.Name, i, row)
			}
		}
	}
	if got := column(csvOf(t, d, mine, table.Uploads()), "path"); !slices.Equal(got, []string{"A-1/a.csv"}) {
		t.Errorf("uploads %v", got)
	}
}

func TestPeriodBoundsTheRows(t *testing.T) {
	d := fleet(t)
	march := Selection{From: noon, To: noon.Add(time.Second)}
	if got := csvOf(t, d, march, table.Samples()); len(got) != 3 {
		t.Errorf("one second of two systems has rows %v", got)
	}
	if got := csvOf(t, d, Selection{From: noon.AddDate(0, 2, 0)}, table.Samples()); len(got) != 3 {
		t.Errorf("from May on there are rows %v", got)
	}
	if got := csvOf(t, d, Selection{To: noon.AddDate(0, 0, 1)}, table.Findings()); len(got) != 2 {
		t.Errorf("findings raised up to then: %v", got)
	}
}

func TestParquetCopyHasTheRowsAndTheSystem(t *testing.T) {
	var b bytes.Buffer
	err := Parquet(&b, Columns(table.Samples()), Selection{}.Rows(t.Context(), fleet(t), table.Samples()))
	if err != nil || !bytes.HasPrefix(b.Bytes(), []byte("PAR1")) || !bytes.HasSuffix(b.Bytes(), []byte("PAR1")) {
		t.Fatalf("no Parquet file: %v", err)
	}
}

func workbook(t *testing.T, d *dataset.Dataset, perSheet int, tables ...table.Table) []byte {
	t.Helper()
	b, err := NewWorkbook()
	if err != nil {
		t.Fatal(err)
	}
	b.rowsPerSheet = perSheet
	for _, tab := range tables {
		if err := b.Add(Columns(tab), Selection{}.Rows(t.Context(), d, tab)); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	if err := b.Write(&out); err != nil {
		t.Fatal(err)
	}
	if err := b.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestWorkbookHasUnitsDatesAndAFrozenHeader(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(workbook(t, fleet(t), sheetRows, table.Visits(), table.Findings())))
	if err != nil {
		t.Fatal(err)
	}
	if got := f.GetSheetList(); !slices.Equal(got, []string{"visits", "findings", "columns"}) {
		t.Errorf("sheets %v", got)
	}
	for cell, want := range map[string]string{"A1": "system", "B1": "start [UTC]", "B2": "2025-03-01 12:00:00", "R1": "superheat_k [K]", "R2": "5.5", "R3": ""} {
		if got, err := f.GetCellValue("visits", cell); err != nil || got != want {
			t.Errorf("visits %s is %q, %v; want %q", cell, got, err, want)
		}
	}
	if panes, err := f.GetPanes("visits"); err != nil || !panes.Freeze || panes.YSplit != 1 {
		t.Errorf("panes %+v, %v", panes, err)
	}
	// Day 45717 of the 1900 date system is 1 March 2025: 45658 is 1 January 2025.
	if raw, err := f.GetCellValue("visits", "B2", excelize.Options{RawCellValue: true}); err != nil || raw != "45717.5" {
		t.Errorf("the time is stored as %q, %v", raw, err)
	}
	if text, err := f.GetCellFormula("findings", "D2"); err != nil || text != "" {
		t.Errorf("a site became the formula %q, %v", text, err)
	}
}

func TestWorkbookGoesOnInTheNextSheet(t *testing.T) {
	f, err := excelize.OpenReader(bytes.NewReader(workbook(t, fleet(t), 3, table.Visits())))
	if err != nil {
		t.Fatal(err)
	}
	rows, err := f.GetRows("visits (2)")
	if err != nil || len(rows) != 3 || rows[0][0] != "system" || rows[1][0] != "B-1" {
		t.Errorf("second sheet: %v, %v", rows, err)
	}
}

func TestSameSelectionSameBytes(t *testing.T) {
	d := fleet(t)
	first := workbook(t, d, sheetRows, table.Visits(), table.Findings(), table.Uploads())
	for range 5 {
		if !bytes.Equal(first, workbook(t, d, sheetRows, table.Visits(), table.Findings(), table.Uploads())) {
			t.Fatal("two workbooks of the same rows differ")
		}
	}
}

func TestErrorsEndACopy(t *testing.T) {
	broken := errors.New("disk gone")
	var rows iter.Seq2[*frame.Frame, error] = func(yield func(*frame.Frame, error) bool) { yield(nil, broken) }
	if err := CSV(io.Discard, Columns(table.Visits()), rows); !errors.Is(err, broken) {
		t.Errorf("CSV: %v", err)
	}
	if err := Parquet(io.Discard, Columns(table.Visits()), rows); !errors.Is(err, broken) {
		t.Errorf("Parquet: %v", err)
	}
	cancelled, cancel := context.WithCancel(t.Context())
	cancel()
	if err := CSV(io.Discard, Columns(table.Visits()), Selection{}.Rows(cancelled, fleet(t), table.Visits())); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

func TestDecimalText(t *testing.T) {
	for _, c := range []struct {
		mantissa int64
		digits   int
		want     string
	}{{0, 3, "0"}, {1, 3, "0.001"}, {-1, 3, "-0.001"}, {-1500, 3, "-1.5"}, {123456, 6, "0.123456"}, {1000, 3, "1"}, {math.MinInt64 + 1, 3, "-9223372036854775.807"}} {
		if got := (fixed{c.mantissa, c.digits}).String(); got != c.want {
			t.Errorf("%d of %d digits is %s, want %s", c.mantissa, c.digits, got, c.want)
		}
	}
}
