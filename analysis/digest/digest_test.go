package digest

import (
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/drift"
	"rimelog/analysis/say"
	"rimelog/pipeline/table"
)

// english is the locale that needs no catalogue.
var english say.Locale

func day(text string) time.Time {
	t, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return t
}

func finding(id, state string, size, half float64) table.Finding {
	system, _, _ := strings.Cut(id, "/")
	return table.Finding{ID: id, System: system, Site: "North quay", Kind: "charge loss", State: state, Feature: "subcooling_k",
		Size: size, SizeLo: size - half, SizeHi: size + half, NextCheck: "direct leak check recommended", Suspected: day("2025-02-01")}
}

// changes tells night after night, and gives what each digest says.
func changes(t *testing.T, nights ...Fleet) (all [][]Change) {
	t.Helper()
	var told Told
	for i, f := range nights {
		f.AsOf = day("2025-06-01").AddDate(0, 0, i)
		var d Digest
		d, told = f.Since("north", told)
		b, err := json.Marshal(told) // as it is kept between nights
		if err != nil {
			t.Fatal(err)
		}
		told = Told{}
		if err := json.Unmarshal(b, &told); err != nil {
			t.Fatal(err)
		}
		var said []Change
		for _, item := range d.Items {
			said = append(said, item.Change)
		}
		all = append(all, said)
	}
	return all
}

func findings(f ...table.Finding) Fleet { return Fleet{Findings: f} }

func TestAFindingsLifeIsToldOnceEach(t *testing.T) {
	got := changes(t,
		findings(finding("A-1/x", "open", -3, 1)),
		findings(finding("A-1/x", "open", -3.5, 1)), // within what was told
		findings(finding("A-1/x", "open", -3.9, 1)), // small steps
		findings(finding("A-1/x", "open", -4.2, 1)), // add up
		findings(finding("A-1/x", "answered", -4.2, 1)),
		findings(finding("A-1/x", "closed by data", -1, 1)),
		findings(finding("A-1/x", "closed by data", -1, 1)),
		findings(finding("A-1/x", "open", -2, 1)),
	)
	want := [][]Change{{New}, nil, nil, {Worse}, {Answered}, {Closed}, nil, {Again}}
	if !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("told %v, want %v", got, want)
	}
}

// A finding that nothing gives any more is told as withdrawn, once; one that another group
// looks after now is not.
func TestWithdrawnIsTold(t *testing.T) {
	got := changes(t, findings(finding("A-1/charge-loss/2025-01-01", "open", -3, 1)), findings(), findings())
	if len(got[1]) != 1 || got[1][0] != Gone || got[2] != nil {
		t.Errorf("told %v", got)
	}
	f := findings(finding("A-1/charge-loss/2025-01-01", "open", -3, 1))
	f.AsOf = day("2025-06-01")
	_, told := f.Since("a", Told{})
	if d, _ := f.Of(func(s string) bool { return s == "B-1" }).Since("a", told); !d.Empty() {
		t.Errorf("of another group's system: %v", d.Items)
	}
}

// How a machine stands has no interval: it is told once, and its memory can be written.
func TestWhatHasNoIntervalIsToldOnce(t *testing.T) {
	hot := func(size float64) table.Finding {
		x := finding("A-1/hot-discharge-gas/2025-01-01", "open", size, math.NaN())
		x.Observed = "discharge gas 118 °C for 52 of 52 minutes"
		return x
	}
	if got := changes(t, findings(hot(5)), findings(hot(9)), findings(hot(math.NaN()))); len(got[0]) != 1 || got[1] != nil || got[2] != nil {
		t.Errorf("told %v", got)
	}
}

// How often findings were right goes with every digest.
func TestHitRateIsTold(t *testing.T) {
	right := finding("A-1/charge-loss/2025-01-01", "answered", -3, 1)
	right.Answer = "confirmed"
	f := findings(right, finding("B-1/charge-loss/2025-01-01", "open", -3, 1))
	f.AsOf = day("2025-06-01")
	d, _ := f.Since("all", Told{})
	var text, html strings.Builder
	if err := errors.Join(d.Text(&text, english), d.HTML(&html, english)); err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{text.String(), html.String()} {
		if !strings.Contains(s, "Charge loss: 1 answered, 1 confirmed") {
			t.Errorf("no hit rate in\n%s", s)
		}
	}
}

// A finding that was never told of while it was open is no news when it is closed; a size
// that grows the good way is none either.
func TestWhatIsNoNews(t *testing.T) {
	got := changes(t, findings(finding("A-1/x", "closed by data", -3, 1), finding("B-1/x", "open", 3, 1)),
		findings(finding("B-1/x", "open", 1, 1)))
	if len(got[0]) != 1 || got[0][0] != New || got[1] != nil {
		t.Errorf("told %v", got)
	}
}

func TestChecksAreToldOnceAMonth(t *testing.T) {
	f := Fleet{AsOf: day("2025-06-03"), Checks: []table.LeakCheck{
		{System: "A-1", What: "leak check", State: "due soon", DueOn: day("2025-06-20")},
		{System: "A-1", What: "leak check", State: "overdue", DueOn: day("2025-04-20")},
		{System: "A-1", What: "leak check", State: "planned", DueOn: day("2025-07-01")},
		{System: "A-1", What: "report", State: "not known"},
		{System: "B-1", What: "leak check", State: "never done", Why: "12 kg of R404A"},
	}}
	d, told := f.Since("all", Told{})
	if len(d.Items) != 3 || d.Subject(english) != "rimelog 2025-06-03: 3 due checks" {
		t.Errorf("told %v", d.Items)
	}
	if got, want := d.Items[2].Detail, "never done, due now: 12 kg of R404A"; got != want {
		t.Errorf("of a check that was never done: %q, want %q", got, want)
	}
	if d, _ := f.Since("all", told); !d.Empty() {
		t.Errorf("told again in the same month: %v", d.Items)
	}
	f.AsOf = day("2025-07-02")
	if d, _ := f.Since("all", told); len(d.Items) != 4 {
		t.Errorf("next month: %v", d.Items)
	}
}

func TestGroupsSeeTheirOwn(t *testing.T) {
	f := findings(finding("A-1/x", "open", -3, 1), finding("B-1/x", "open", -3, 1))
	f.Uploads = []table.Upload{{Upload: "1", Path: "nobody.csv", Status: "waiting"}, {Upload: "2", Path: "B-1/p.csv", Status: "unreadable", Systems: "B-1"}}
	f.AsOf = day("2025-06-01")
	d, _ := f.Of(func(s string) bool { return s == "B-1" }).Since("b", Told{})
	if len(d.Items) != 2 || d.Items[0].System != "B-1" || d.Items[1].Change != Refused {
		t.Errorf("B's group is told %v", d.Items)
	}
	if d, _ := f.Since("all", Told{}); len(d.Items) != 4 {
		t.Errorf("those who look after all are told %v", d.Items)
	}
}

// Names from users do not get out of their place, in neither form.
func TestHostileNames(t *testing.T) {
	x := finding("A-1/x", "open", -3, 1)
	x.Site, x.NextCheck = "<script>alert(1)</script>\r\nBcc: all@example.org", "one\ntwo"
	f := findings(x)
	f.AsOf = day("2025-06-01")
	d, _ := f.Since("all", Told{})
	var html, text strings.Builder
	if err := d.HTML(&html, english); err != nil {
		t.Fatal(err)
	}
	if err := d.Text(&text, english); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(html.String(), "<script") || strings.Contains(text.String(), "\nBcc:") || strings.Contains(text.String(), "\ntwo") || strings.ContainsAny(d.Subject(english), "\r\n<") {
		t.Errorf("%s\n%s\n%s", d.Subject(english), html.String(), text.String())
	}
	if !strings.Contains(html.String(), "licensed persons") || !strings.Contains(text.String(), "licensed persons") {
		t.Error("the cautions are missing")
	}
}

// A German reader is told in German: what is new with its grammar, figures with a comma,
// dates as German writes them. The path of a file stays as it is. Source of the forms: DIN
// 1333:1992 and DIN 5008:2020, from memory.
func TestDigestInGerman(t *testing.T) {
	german, err := say.New("de", say.Units{})
	if err != nil {
		t.Fatal(err)
	}
	f := findings(finding("A-1/x", "open", -3.24, 1), finding("B-1/x", "open", -3, 1))
	f.Uploads = []table.Upload{{Upload: "2", Path: "A-1/log of 1.5.csv", Status: "waiting", Systems: "A-1"}}
	f.AsOf = day("2025-06-01")
	d, _ := f.Since("all", Told{AsOf: "2025-05-01"})
	var text, html strings.Builder
	if err := errors.Join(d.Text(&text, german), d.HTML(&html, german)); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"rimelog 2025-06-01: 2 neue Befunde, 1 abgelehnte Datei", "Seit 1. Mai 2025.", "NEUER BEFUND: A-1, North quay, Kältemittelverlust",
		"Unterkühlung −3,2 K (−4,2 bis −2,2), vermutet seit etwa 1. Februar 2025.", "Als Nächstes: Direkte Dichtheitskontrolle empfohlen.", "A-1/log of 1.5.csv",
	} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("the mail does not say %q:\n%s", want, text.String())
		}
	}
	for _, want := range []string{`<html lang="de">`, "Neuer Befund", "2 neue Befunde"} {
		if !strings.Contains(html.String(), want) {
			t.Errorf("the page of the mail does not say %q", want)
		}
	}
}

// A feature is written as words, and an interval that is open says so.
func TestWhatMoved(t *testing.T) {
	x := finding("A-1/x", "open", 3, math.NaN())
	x.Feature = "condenser_td_k"
	if got, want := findingItem(x, New).Detail, "condenser temperature difference +3.0 K (its interval is open), suspected since about 2025-02-01"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	x.Feature, x.Size, x.SizeLo, x.SizeHi = drift.Level, -20.4, -24, -16.8 // of what a receiver holds, no kelvins
	if got, want := findingItem(x, New).Detail, "receiver level -20.4 % (-24.0 to -16.8), suspected since about 2025-02-01"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
