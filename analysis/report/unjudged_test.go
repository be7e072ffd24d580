package report

import (
	"strings"
	"testing"
	"time"

	"rimelog/analysis/drift"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

func plain(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }

// visited is a system with judged visits a month apart, from January 2025.
func visited(n int, notes map[string]string) System {
	s := System{Register: register.System{ID: "A1", RefrigerantName: "R134a"}}
	for i := range n {
		at := on("2025-01-10").AddDate(0, i, 0)
		s.Visits = append(s.Visits, table.Visit{Start: at, End: at.Add(time.Hour), Use: table.UseTrend, Instruments: "P-7 T-3"})
	}
	for feature, note := range notes {
		s.Trends = append(s.Trends, table.Trend{Feature: feature, Verdict: drift.NotJudged, Note: note})
	}
	return s
}

// One sentence says what is in the way, one what to do. The notes are the words of
// package drift as it writes them.
func TestObstacle(t *testing.T) {
	repaired := visited(8, map[string]string{
		"subcooling_k":          "4 visits: too few to judge a trend, want 6",
		"discharge_superheat_k": "2 visits: too few to judge a trend, want 6",
	})
	repaired.Events = []register.Event{
		{Time: on("2025-04-01"), Kind: register.Repaired}, {Time: on("2025-04-01"), Kind: register.ChargeAdded},
		{Time: on("2025-05-01"), Kind: register.DirectLeakCheck}, {Time: on("2026-05-01"), Kind: register.CoilCleaned},
	}
	unknown := visited(3, nil)
	unknown.Register.RefrigerantName = ""
	long := visited(2, nil)
	for i := range long.Visits {
		long.Visits[i].Use, long.Visits[i].Reason = table.UseSpot, "never steady: temperatures or pressures kept moving"
	}
	for _, c := range []struct {
		name     string
		system   System
		why, how string
	}{
		{"nothing", System{Register: register.System{ID: "A1"}}, "No log has been read.", "Put its logs below uploads/A1/"},
		{"refrigerant", unknown, "Its refrigerant is not known, and its visits fit none so far: nothing can be worked out from the pressures.", "register/systems.csv, in the line of A1."},
		{"never steady", long, "Only 2 spot readings so far. Never steady: temperatures or pressures kept moving.", "Log longer"},
		{"repair", repaired, "Too few judged visits since 1 Apr 2025 (repaired, charge added): 4 of 6.", "Log it again in steady running; 2 visits to go."},
		{"one", visited(1, map[string]string{"superheat_k": "one visit: too few to judge a trend, want 6"}), "Too few judged visits: 1 of 6.", "5 visits to go."},
		{"instruments", visited(9, map[string]string{"subcooling_k": "instruments changed: only 5 visits with the same ones, want 6"}),
			"The instruments changed: 5 of 6 visits with the same ones.", "Log it again with the same instruments (P-7, T-3); 1 visit to go."},
		{"other instruments left out", visited(9, map[string]string{"subcooling_k": "visits with other instruments left out; 6 visits: too few to tell season and change apart, want 7"}),
			"The instruments changed: 6 of 7 visits with the same ones.", "1 visit to go."},
		{"season", visited(6, map[string]string{"subcooling_k": "outdoor temperature went along with time: season and change cannot be told apart yet"}),
			"The season went along with time: season and change cannot be told apart yet.", "Log it in another season too."},
		{"no season", visited(6, map[string]string{"subcooling_k": "outdoor temperature is not known for the visits, and they cover less than a year: season and change cannot be told apart"}),
			"Nothing tells the season: it cannot be told from a change.", "at every visit."},
		{"too close", visited(6, map[string]string{"subcooling_k": "6 visits within 20 days: too short to judge a trend, want 60 days"}),
			"The visits lie too close together. 6 visits within 20 days: too short to judge a trend, want 60 days.", "in a month or two"},
		{"receiver", visited(6, map[string]string{"subcooling_k": "a receiver keeps subcooling where it is until it is empty: charge cannot be judged from these channels; log the receiver level"}),
			"A receiver holds subcooling where it is: the charge cannot be judged from these channels.", "Log the receiver level"},
		{"receiver and few visits", visited(6, map[string]string{
			"subcooling_k": "a receiver keeps subcooling where it is until it is empty: charge cannot be judged from these channels; log the receiver level",
			"superheat_k":  "4 visits: too few to judge a trend, want 6"}), "Too few judged visits: 4 of 6.", "2 visits to go."},
		{"something new", visited(6, map[string]string{"subcooling_k": "the moon was full"}), "No trend can be judged yet, from 6 judged visits. The moon was full.", "all channels"},
	} {
		o := c.system.obstacle()
		if plain(o.why) != c.why || !strings.Contains(plain(o.how), c.how) {
			t.Errorf("%s:\nwhy  %s\nwant %s\nhow  %s\nwant %s", c.name, plain(o.why), c.why, plain(o.how), c.how)
		}
	}
}

// What a cell says of a feature that has no verdict.
func TestLackInACell(t *testing.T) {
	for note, want := range map[string]string{
		"5 visits: too few to judge a trend, want 6":                        "not judged yet: 5 of the 6 visits needed",
		"instruments changed: only 3 visits with the same ones, want 6":     "not judged yet: 3 of the 6 visits needed with the same instruments",
		"a flooded evaporator has no superheat to judge":                    "not judged",
		"a receiver keeps subcooling where it is until it is empty: ...":    "not judged: a receiver hides it",
		"6 visits within 20 days: too short to judge a trend, want 60 days": "not judged: visits too close together",
		"one visit, not used: 4 minutes: too short to judge a trend":        "not judged",
		"": "not judged",
	} {
		if got := lackOf(table.Trend{Note: note}).words(english); got != want {
			t.Errorf("%q: %q, want %q", note, got, want)
		}
	}
}

// The notes are read as package drift writes them: if its words change, this fails.
func TestLackReadsWhatDriftWrites(t *testing.T) {
	plain, held := register.NewSystem("A1"), register.NewSystem("A1")
	held.Receiver = register.HighSideReceiver
	judge := func(s register.System, n int, every int, change func(i int, v *table.Visit)) lack {
		var visits []table.Visit
		for i := range n {
			v := table.Visit{Start: on("2025-01-10").AddDate(0, 0, i*every), Use: table.UseTrend, Part: table.Whole, Instruments: "P-7",
				Subcooling: 5 + 0.1*float64(i%3), SubcoolingU: 0.3, Superheat: nan, CondenserTD: nan, EvaporatorTD: nan, DischargeSuperheat: nan,
				OutdoorTemp: 12 + 8*float64(i%2), CondensingTemp: 40, RoomTemp: nan}
			v.End = v.Start.Add(time.Hour)
			change(i, &v)
			visits = append(visits, v)
		}
		trends := System{Trends: drift.Judge(s, nil, visits, drift.Options{})}.latest()
		return lackOf(trends[drift.Subcooling])
	}
	same := func(int, *table.Visit) {}
	for _, c := range []struct {
		name string
		got  lack
		want lack
	}{
		{"one", judge(plain, 1, 30, same), lack{cause: fewVisits, have: 1, want: 6}},
		{"few", judge(plain, 4, 30, same), lack{cause: fewVisits, have: 4, want: 6}},
		{"one more for the season", judge(plain, 6, 30, same), lack{cause: fewVisits, have: 6, want: 7}},
		{"within days", judge(plain, 6, 8, same), lack{cause: span}},
		{"receiver", judge(held, 9, 30, same), lack{cause: receiver}},
		{"instruments", judge(plain, 7, 30, func(i int, v *table.Visit) { v.Instruments = []string{"P-7", "P-8"}[i/5] }), lack{cause: instruments, have: 5, want: 6}},
		{"season", judge(plain, 8, 20, func(i int, v *table.Visit) { v.OutdoorTemp = 2 * float64(i) }), lack{cause: weather}},
		{"blind", judge(plain, 8, 20, func(_ int, v *table.Visit) { v.OutdoorTemp, v.CondensingTemp = nan, nan }), lack{cause: blind}},
	} {
		if c.got.cause != c.want.cause || c.got.have != c.want.have || c.got.want != c.want.want {
			t.Errorf("%s: %+v, want %+v", c.name, c.got, c.want)
		}
	}
}
