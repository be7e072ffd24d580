package dataset

import (
	"encoding/json"
	"errors"
	"io/fs"
	"reflect"
	"slices"
	"strings"
	"testing"

	"rimelog/pipeline"
	"rimelog/pipeline/frame/frametest"
	"rimelog/pipeline/table"
)

var look = pipeline.Step{Name: "look", Version: 1}

type lookFacts struct {
	Delimiter string `json:"delimiter"`
	Lines     int    `json:"lines"`
}

func TestFacts(t *testing.T) {
	d, _, root := workspace(t)
	member := string(fpOf("archive")) + "+logs/März 2024.csv"
	plain := string(fpOf("plain"))
	for _, upload := range []string{plain, member} {
		if ok, err := d.Facts(ctxb, upload, look, nil); ok || err != nil {
			t.Errorf("facts before the look: %v, %v", ok, err)
		}
		for range 2 { // there already is success
			if err := d.PutFacts(ctxb, upload, look, lookFacts{";", 7}); err != nil {
				t.Fatal(err)
			}
		}
		var got lookFacts
		if ok, err := d.Facts(ctxb, upload, look, &got); !ok || err != nil || got != (lookFacts{";", 7}) {
			t.Errorf("got %+v, %v, %v", got, ok, err)
		}
	}
	ids, err := d.Uploads(ctxb, nil)
	slices.Sort(ids)
	want := []string{plain, member}
	slices.Sort(want)
	if err != nil || !slices.Equal(ids, want) {
		t.Errorf("uploads %v, %v; want %v", ids, err, want)
	}
	for name := range tree(t, root) {
		if strings.ContainsAny(strings.TrimPrefix(name, uploads+"/"), "äM ") {
			t.Errorf("a member's own name became the path %s", name)
		}
	}
}

func TestFactsOfAnOlderStepAreReplaced(t *testing.T) {
	d, _, _ := workspace(t)
	upload, newer := string(fpOf("u")), pipeline.Step{Name: "look", Version: 2}
	for _, s := range []pipeline.Step{look, newer} {
		if ok, err := d.Facts(ctxb, upload, s, nil); ok || err != nil {
			t.Errorf("version %d before it looked: %v, %v", s.Version, ok, err)
		}
		if err := d.PutFacts(ctxb, upload, s, lookFacts{";", s.Version}); err != nil {
			t.Fatal(err)
		}
		var got lookFacts
		if ok, err := d.Facts(ctxb, upload, s, &got); !ok || err != nil || got.Lines != s.Version {
			t.Errorf("version %d: %+v, %v, %v", s.Version, got, ok, err)
		}
	}
}

// TestReading puts an upload of two systems with extras and refusals, and reads
// all of it back.
func TestReading(t *testing.T) {
	d, st, _ := workspace(t)
	e := Entry{
		Upload: string(fpOf("u")), Reading: string(fpOf("r")), Systems: []string{"a", "b"},
		Lines:  Lines{All: 310, Data: 300, Header: 1, Blank: 2, Quarantined: 7},
		Values: Values{Read: 330, Stored: 300, Refused: 20, Missing: 10}, Decisions: json.RawMessage(`{"zone":"UTC"}`),
	}
	refusals := frametest.Random(t, table.Refusals(), 7, 1)
	extras := frametest.Random(t, table.Extras(), 9, 1).Slice(0, 1)
	rows := []Rows{
		{System: "a", Samples: month(t, 3, 100, 1), Extras: extras, Refusals: refusals},
		{System: "b", Samples: month(t, 4, 200, 2), Extras: extras.Slice(0, 0)},
	}
	if ok, err := d.ReadingDone(ctxb, "S", e.Upload, e.Reading); ok || err != nil {
		t.Errorf("done before: %v, %v", ok, err)
	}
	put, err := d.PutReading(ctxb, look, e, rows...)
	if err != nil {
		t.Fatal(err)
	}
	got, ok, err := d.Entry(ctxb, e.Upload, e.Reading)
	if err != nil || !ok || got.Step != "look/1" || got.Lines != e.Lines || got.Values != e.Values {
		t.Errorf("entry %+v, %v, %v", got, ok, err)
	}
	if ok, err := d.ReadingDone(ctxb, "S", e.Upload, e.Reading); !ok || err != nil {
		t.Errorf("done after: %v, %v", ok, err)
	}
	var what []string
	for _, p := range got.Parts {
		what = append(what, p.System+" "+p.Table)
	}
	if want := []string{"a samples", "a extras", "a refusals", "b samples"}; !slices.Equal(what, want) {
		t.Fatalf("parts %v, want %v", what, want)
	}
	if m := got.Parts[3].Months; !slices.Equal(m, []string{"2024-04"}) || got.Parts[2].Months != nil {
		t.Errorf("months %v and %v", m, got.Parts[2].Months)
	}
	for i, want := range []int{100, 1, 7, 200} {
		if f, err := d.ReadPart(ctxb, got.Parts[i]); err != nil || f.Rows() != want {
			t.Errorf("part %d: %v", i, err)
		}
	}
	back, err := d.ReadPart(ctxb, got.Parts[2])
	if err != nil {
		t.Fatal(err)
	}
	frametest.Equal(t, back, refusals)
	again, err := d.PutReading(ctxb, look, e, rows...)
	if err != nil || !reflect.DeepEqual(again, put) {
		t.Errorf("put again: %+v, %v; want %+v", again, err, put)
	}
	if err := st.Remove(ctxb, got.Parts[0].Name); err != nil {
		t.Fatal(err)
	}
	if ok, err := d.ReadingDone(ctxb, "S", e.Upload, e.Reading); ok || err != nil {
		t.Errorf("done without a part: %v, %v", ok, err)
	}
}

func TestReadingWithoutRows(t *testing.T) {
	d, _, _ := workspace(t)
	e := Entry{Upload: string(fpOf("u")), Reading: string(fpOf("r")), Lines: Lines{All: 3, Quarantined: 3}}
	if _, err := d.PutReading(ctxb, look, e, Rows{System: "a"}); err != nil {
		t.Fatal(err)
	}
	if got, ok, err := d.Entry(ctxb, e.Upload, e.Reading); !ok || err != nil || len(got.Parts) != 0 {
		t.Errorf("%+v, %v, %v", got, ok, err)
	}
	if _, ok, err := d.Entry(ctxb, e.Upload, string(fpOf("other"))); ok || err != nil {
		t.Errorf("another reading: %v, %v", ok, err)
	}
	if _, err := d.PutReading(ctxb, look, Entry{Upload: e.Upload, Reading: "r"}); err == nil {
		t.Error("a reading without a fingerprint was put")
	}
}

// TestAccountingLaws are the two laws of the job: each figure alone breaks its own.
func TestAccountingLaws(t *testing.T) {
	lines := Lines{All: 28, Data: 1, Header: 2, Preamble: 3, Footer: 4, Blank: 5, Quarantined: 6, Waiting: 7}
	values := Values{Read: 10, Stored: 1, Duplicates: 2, Refused: 3, Missing: 4}
	if err := errors.Join(lines.Check(), values.Check(), values.Shift(1).Check(), lines.Add(lines).Check(), values.Add(values).Check()); err != nil {
		t.Error(err)
	}
	checkEachField(t, lines, Lines.Check)
	checkEachField(t, values, Values.Check)
	var u table.Upload
	SetAccounts(&u, lines, values)
	if l, v := Accounts(u); l != lines || v != values || u.Quarantined != 6 || u.Missing != 4 || u.Values != 10 {
		t.Errorf("row %+v gave %+v and %+v", u, l, v)
	}
}

func checkEachField[A any](t *testing.T, account A, check func(A) error) {
	t.Helper()
	for i := range reflect.TypeFor[A]().NumField() {
		broken := account
		f := reflect.ValueOf(&broken).Elem().Field(i)
		f.SetInt(f.Int() + 1)
		if check(broken) == nil {
			t.Errorf("%+v adds up", broken)
		}
	}
}

func TestMonths(t *testing.T) {
	// Calendar arithmetic: 2024 is a leap year; 1970-01-01 is day 0 (POSIX).
	const day = 86_400_000_000
	if m := MonthOf(0); m.Name != "1970-01" || m.From != 0 || m.To != 31*day {
		t.Errorf("%+v", m)
	}
	if m := MonthOf(-1); m.Name != "1969-12" || m.To != 0 {
		t.Errorf("%+v", m)
	}
	feb, err := ParseMonth("2024-02")
	if err != nil || feb.To-feb.From != 29*day || feb.To != march2024 {
		t.Errorf("%+v, %v", feb, err)
	}
	var names []string
	for _, m := range Months([]int64{feb.From, feb.To - 1, feb.To, feb.To + 100*day}) {
		names = append(names, m.Name)
	}
	if !slices.Equal(names, []string{"2024-02", "2024-03", "2024-06"}) {
		t.Errorf("%v", names)
	}
	if _, err := ParseMonth("2024-13"); err == nil {
		t.Error("there is no month 13")
	}
}

func TestMissingTable(t *testing.T) {
	d, _, _ := workspace(t)
	if _, err := d.ReadTable(ctxb, pathOf("a", 3)); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("got %v, want not exist", err)
	}
}
