package records

import (
	"encoding/json"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"rimelog/thermo"
)

func fluid(t testing.TB, name string) *thermo.Refrigerant {
	t.Helper()
	r, err := thermo.Lookup(name)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Global warming potentials of blends as commonly published with the AR4 values (trade
// tables, from memory), worked out here from composition: within 1.
func TestGWPOfBlends(t *testing.T) {
	published := map[string]float64{
		"R401A": 1182, "R402A": 2788, "R403B": 4457, "R404A": 3922, "R407A": 2107, "R407B": 2804, "R407C": 1774, "R407D": 1627,
		"R407E": 1552, "R407F": 1825, "R407H": 1495, "R408A": 3152, "R409A": 1585, "R410A": 2088, "R410B": 2229, "R413A": 2053,
		"R417A": 2346, "R419A": 2967, "R421A": 2631, "R421B": 3190, "R422A": 3143, "R422B": 2526, "R422D": 2729, "R423A": 2280,
		"R424A": 2440, "R425A": 1505, "R426A": 1508, "R427A": 2138, "R428A": 3607, "R434A": 3245, "R437A": 1805, "R438A": 2265,
		"R442A": 1888, "R448A": 1387, "R449A": 1397, "R450A": 605, "R452A": 2140, "R452B": 698, "R454A": 239, "R454B": 466,
		"R454C": 148, "R455A": 148, "R471A": 148, "R502": 4657, "R507A": 3985, "R508A": 13214, "R513A": 631,
	}
	if len(published) != 47 {
		t.Fatalf("%d blends, want 47", len(published))
	}
	set := rules(t).On("GB", on(t, "2026-01-01"))[0]
	for name, want := range published {
		if got, ok := set.GWPOf(fluid(t, name)); !ok || !near(got, want, 1.0) {
			t.Errorf("%s: %v, want %v", name, got, want)
		}
	}
}

// The values of a system follow the rules of the day: Regulation (EU) 2024/573 changed
// them on 2024-03-11 (a trade body's answers on changed values: R513A 631 to 629.5, R508B
// 13 396 to 13 504, R1234yf 4 to 0.501, R290 3 to 0.02).
func TestGWPByDay(t *testing.T) {
	for _, c := range []struct {
		name          string
		before, after float64
	}{
		{"R513A", 631.4, 629.5}, {"R508B", 13396, 13504}, {"R1234yf", 4, 0.501}, {"R290", 3, 0.02}, {"R134a", 1430, 1430},
	} {
		for _, x := range []struct {
			day  string
			want float64
		}{{"2024-03-10", c.before}, {"2024-03-11", c.after}} {
			set, ok := (&circuit{rules: rules(t), jurisdiction: "DE"}).setOn(on(t, x.day))
			if got, known := set.GWPOf(fluid(t, c.name)); !ok || !known || !near(got, x.want, 0.05) {
				t.Errorf("%s by %s: %v, want %v", c.name, set.ID, got, x.want)
			}
		}
	}
	b := kept(t, "2026-01-01", eu+"A,R513A,20,DE,no,no,,", "system,date,event,kg\nA,2024-03-10,charge added,1\nA,2024-03-11,charge added,1\n")
	if b.Book[0].GWPSet != "AR4" || !near(b.Book[0].CO2e, 0.6314, 1e-3) || b.Book[1].GWPSet != "EU 2024/573" || !near(b.Book[1].CO2e, 0.6295, 1e-4) {
		t.Errorf("old records do not keep their set: %+v", b.Book)
	}
}

// What charge first reaches 5 t of Annex I or 1 kg of Annex II Section 1: a column of the
// refrigerant table that the rules come from.
func TestFirstThreshold(t *testing.T) {
	for name, want := range map[string]float64{
		"R32": 7.41, "R134a": 3.50, "R404A": 1.27, "R407C": 2.82, "R410A": 2.40, "R448A": 3.61, "R449A": 3.58, "R452A": 2.34,
		"R454B": 3.22, "R454C": 1.27, "R455A": 1.32, "R513A": 1.79, "R515B": 1.10, "R1234yf": 1, "R1234ze(E)": 1, "R507A": 1.25, "R471A": 1.04,
	} {
		set := rules(t).On("EU", on(t, "2025-06-01"))[0]
		first := 0.0
		for _, r := range set.LeakChecks {
			perKG, ok := set.Measure(fluid(t, name), r.Group, r.Measure)
			if kg := r.Classes[0].From / perKG; ok && perKG > 0 && (first == 0 || kg < first) {
				first = kg
			}
		}
		if !near(first, want, 0.0051) {
			t.Errorf("%s: %v kg, want %v", name, first, want)
		}
	}
}

// Every rule says where it stands, from when it holds and whether its text was seen;
// every set is read again from what it is written as.
func TestEmbeddedRules(t *testing.T) {
	sets := rules(t).Sets()
	if len(sets) < 7 {
		t.Fatalf("%d rule sets", len(sets))
	}
	for _, s := range sets {
		b, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		again, err := ParseRuleSet(b)
		if err != nil {
			t.Fatalf("%s: %v", s.ID, err)
		}
		again.SHA256, again.Text = s.SHA256, s.Text
		if !reflect.DeepEqual(again, s) {
			t.Errorf("%s: read %+v\nagain %+v", s.ID, s, again)
		}
	}
}

// A file of the user's takes the place of the embedded one with its id; mistakes are told
// with the file.
func TestUsersRules(t *testing.T) {
	const own = `{"id": "%s", "jurisdiction": "EU", "title": "House rules", "holds_in": ["EU"], "valid_from": "2024-01-01", "gwp_set": "AR5",
		"gwp": {"R32": 700}, "groups": {"ours": ["R32"]}, "leak_checks": [{"text": "1", "standing": "seen", "group": "ours", "measure": "kg",
		"classes": [{"from": 1, "every_months": 1, "with_detection_months": 2}]}]}`
	file := func(text string) fstest.MapFS { return fstest.MapFS{"rules/a.json": {Data: []byte(text)}} }
	r, err := rules(t).With(file(strings.Replace(own, "%s", "eu-2024-573", 1)), "rules")
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Sets()) != len(rules(t).Sets()) || r.Key() == rules(t).Key() {
		t.Error("the user's set does not take the place of the embedded one")
	}
	if gwp, _ := r.On("EU", on(t, "2025-01-01"))[0].GWPOf(fluid(t, "R32")); gwp != 700 {
		t.Errorf("R32 has %v, want the user's 700", gwp)
	}
	for name, c := range map[string]struct{ text, want string }{
		"unknown field":   {`{"ident": 1}`, `rules/a.json: json: unknown field "ident"`},
		"no JSON":         {`id: x`, "rules/a.json: invalid character"},
		"two values":      {strings.Replace(own, "%s", "x", 1) + "{}", "more than one JSON value"},
		"a substance":     {strings.Replace(strings.Replace(own, "%s", "x", 1), `["R32"]`, `["R404A"]`, 1), `"R404A" is no single substance`},
		"a standing":      {strings.Replace(strings.Replace(own, "%s", "x", 1), `"seen"`, `"certain"`, 1), `standing "certain": want "seen" or "from memory, check before use"`},
		"a group":         {strings.Replace(strings.Replace(own, "%s", "x", 1), `"group": "ours"`, `"group": "theirs"`, 1), `group "theirs" is not among groups`},
		"a set":           {strings.Replace(strings.Replace(own, "%s", "x", 1), "AR5", "AR9", 1), `gwp_set: "AR9"`},
		"an interval":     {strings.Replace(strings.Replace(own, "%s", "x", 1), `"every_months": 1,`, `"every_months": 0,`, 1), "0 months: want 1 to 120"},
		"a negative GWP":  {strings.Replace(strings.Replace(own, "%s", "x", 1), "700", "-1", 1), `"R32" -1`},
		"an empty object": {`{}`, "want lower-case letters"},
	} {
		if _, err := rules(t).With(file(c.text), "rules"); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	two := fstest.MapFS{"rules/a.json": {Data: []byte(strings.Replace(own, "%s", "x", 1))}, "rules/b.json": {Data: []byte(strings.Replace(own, "%s", "x", 1))}}
	if _, err := rules(t).With(two, "rules"); err == nil || !strings.Contains(err.Error(), `rules/b.json: id "x" is that of rules/a.json too`) {
		t.Errorf("two files of one id: %v", err)
	}
	if r, err := rules(t).With(fstest.MapFS{}, "rules"); err != nil || r.Key() != rules(t).Key() {
		t.Errorf("no folder: %v", err)
	}
}

// Whatever the bytes are: a rule set that works or an error, and a set that is read is
// read again from what it is written as, with the books kept by it.
func FuzzParseRuleSet(f *testing.F) {
	names, err := embedded.ReadDir("rules")
	if err != nil {
		f.Fatal(err)
	}
	for _, n := range names {
		b, err := embedded.ReadFile("rules/" + n.Name())
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Add([]byte(`{"id":"x","valid_from":"2024-13-01"}`))
	systems := fleet(f, eu+"A,R448A,200,US,no,yes,cold room,\nB,R22,60,DE,,,,\n", busy)
	f.Fuzz(func(t *testing.T, b []byte) {
		s, err := ParseRuleSet(b)
		if err != nil {
			return
		}
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		again, err := ParseRuleSet(text)
		if err != nil {
			t.Fatalf("written as %s: %v", text, err)
		}
		again.SHA256, again.Text = s.SHA256, s.Text
		if !reflect.DeepEqual(s, again) {
			t.Errorf("read %+v\nagain %+v", s, again)
		}
		Keep(systems, Rules{[]RuleSet{s}}, Options{}, Date{On: on(t, "2026-06-01")})
	})
}

// busy are events of every kind.
const busy = `system,date,event,kg,refrigerant,quality,reason,outcome
A,2020-01-01,install,200,,,,
A,2025-02-01,charge added,90,,new,leak,
A,2025-02-01,repaired,,,,,
A,2025-02-10,verification test,,,,,passed
A,2025-02-20,verification test,,,,,passed
A,2025-03-01,charge added,170,,,,
A,2026-02-01,recovered,20,,,season,
B,2024-01-01,direct leak check,,,,,failed
B,2024-01-01,leak found,,,,,
B,2026-01-01,decommissioned,,,,,
`
