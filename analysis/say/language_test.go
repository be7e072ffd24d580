package say

import (
	"testing"
	"time"
)

func german(t *testing.T) Locale {
	t.Helper()
	l, err := New("de", Units{})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// Figures and dates as German writes them: decimal comma, the day with a point. Source:
// DIN 1333:1992, DIN 5008:2020, from memory.
func TestGermanFiguresAndDates(t *testing.T) {
	l, zone := german(t), time.FixedZone("UTC+02:00", 2*3600)
	march := time.Date(2024, 3, 12, 12, 5, 0, 0, time.UTC)
	for _, c := range []struct{ got, want string }{
		{l.Number(-3.14159, 2), "\u22123,14"}, {l.Number(-0.04, 1), "0,0"}, {l.Signed(0.04, 1), "0,0"}, {l.Signed(1.5, 1), "+1,5"},
		{l.Thousands(1234567), "1\u202f234\u202f567"},
		{spaced(l.Interval(-4, -2.2, 1, "K")), "\u22124,0 bis \u22122,2 K"},
		{spaced(l.Day(march, zone)), "12. März 2024"}, {spaced(l.Minute(march, zone)), "12. März 2024 14:05"},
		{spaced(l.Count(1, "visit")), "1 Besuch"}, {spaced(l.Count(0, "visit")), "0 Besuche"}, {spaced(l.Count(1200, "visit")), "1\u202f200 Besuche"},
		{l.Word(2), "Zwei"}, {l.Small(3), "drei"}, {l.Small(14), "14"},
		{spaced(l.Length(3 * 24 * time.Hour)), "3 Tage"}, {spaced(l.Length(1100 * 24 * time.Hour)), "3,0 Jahre"},
		{l.Lower("Unterkühlung"), "Unterkühlung"}, {string(l.Separator()), ";"}, {l.Plain(Difference, -1.5, 2), "-1,50"},
		{l.Text("about 95 % uncertainty"), "etwa 95 % Unsicherheit"},
		{spaced(l.Figure(Pressure, 500, 2)), "3,99 bar Überdruck"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// A text that a file lacks stays English, and its figures stay in it.
func TestTextsThatAreMissingStayEnglish(t *testing.T) {
	l := german(t)
	if got := l.Text("no language has %s of this, 5 %%", "much"); got != "no language has much of this, 5 %" {
		t.Errorf("got %q", got)
	}
	if got, want := l.Prose("nobody knows 3.5 K of it"), "nobody knows 3,5 K of it"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// Texts of the tables are known again whatever figures and names are in them, as a whole,
// by sentence, and with a capital or without.
func TestProseInGerman(t *testing.T) {
	l := german(t)
	for text, want := range map[string]string{
		"charge loss":                                  "Kältemittelverlust",
		"Charge loss":                                  "Kältemittelverlust",
		"4 minutes: too short to judge a trend":        "4 Minuten: zu kurz für einen Trend",
		"12 visits: too few to judge a trend, want 20": "12 Besuche: zu wenige für einen Trend, nötig sind 20",
		"subcooler is not in the register; expansion device is not in the register":                                                           "der Unterkühler fehlt im Register; das Expansionsorgan fehlt im Register",
		"Subcooling fell by 2.1 K (-3.3 to -1.9) since 2024-07-02, over 9 visits from 2023-05-19 to 2025-10-03: -1.7 K a year (-2.1 to -1.2)": "Unterkühlung sank um 2,1 K (-3,3 bis -1,9) seit 2024-07-02, 9 Besuche vom 2023-05-19 bis 2025-10-03: -1,7 K im Jahr (-2,1 bis -1,2)",
		"write the refrigerant into the line of %s":                                                                                           "das Kältemittel in die Zeile von %s eintragen", // a name may be anything
		"EN 837-1 class 1.0, 40 CFR 82.152":                                                                                                   "EN 837-1 class 1,0, 40 CFR 82.152",
	} {
		if got := l.Prose(text); got != want {
			t.Errorf("%q:\ngot  %q\nwant %q", text, got, want)
		}
	}
}

func TestLanguagesThatAreNotThere(t *testing.T) {
	if _, err := New("xx", Units{}); err == nil || err.Error() != `no language "xx": want one of en, de` {
		t.Errorf("got %v", err)
	}
	for _, tag := range []string{"", "en"} {
		if l, err := New(tag, Units{}); err != nil || l != (Locale{}) || l.Tag() != "en" {
			t.Errorf("%q: %+v, %v: want English", tag, l, err)
		}
	}
}
