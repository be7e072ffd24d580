package register

import (
	"bytes"
	"testing"
	"testing/fstest"
	"time"
)

const answerSystems = "system,zone\nA1,Europe/Berlin\nB-2,\n"

func TestAnswers(t *testing.T) {
	r := load(t, map[string]string{"systems.csv": answerSystems, "answers.csv": "finding,date,person,outcome,note,quiet_until\n" +
		"a1/charge-loss/2025-02-03,2025-06-12,M. Example,nothing found,,\n" +
		"A1/condenser-fouling/2025-02-03,2025-06-11 14:30,,Other Cause,a fan stood still,2025-07-01\n" +
		"A1/valve-fault/2025-02-03,2025-06-10,,,parts are ordered,2025-07-01\n" +
		"B-2/charge-loss/2025-02-03,2025-06-10,,confirmed,,\n"})
	if len(r.Problems) != 0 {
		t.Fatal(messages(r))
	}
	got := r.Answers("A1")
	if len(got) != 3 || len(r.Answers("b-2")) != 1 {
		t.Fatalf("%d answers of A1, %d of B-2", len(got), len(r.Answers("b-2")))
	}
	if got[0].Outcome != AnswerUnknown || got[1].Outcome != OtherCause || got[2].Outcome != NothingFound || got[2].System != "A1" {
		t.Errorf("in time order: %+v", got)
	}
	// A day alone ends at the next midnight by the clocks of Berlin, two hours before that
	// of UTC in summer (Directive 2000/84/EC).
	if want := time.Date(2025, 6, 12, 21, 59, 59, 999999000, time.UTC); !got[2].Time.Equal(want) {
		t.Errorf("the day of the answer ends at %v, want %v", got[2].Time.UTC(), want)
	}
	if want := time.Date(2025, 6, 11, 12, 30, 0, 0, time.UTC); !got[1].Time.Equal(want) {
		t.Errorf("answered at %v, want %v", got[1].Time.UTC(), want)
	}
	if want := time.Date(2025, 7, 1, 21, 59, 59, 999999000, time.UTC); !got[1].QuietUntil.Equal(want) {
		t.Errorf("quiet until %v, want %v", got[1].QuietUntil.UTC(), want)
	}
	again := writtenAnswers(t, r)
	if again.FleetRows() != r.FleetRows() || len(again.Problems) != 0 {
		t.Errorf("written and read again, the answers differ:\n%s%s", again.FleetRows(), messages(again))
	}
}

func writtenAnswers(t *testing.T, r *Register) *Register {
	t.Helper()
	var b bytes.Buffer
	if err := WriteAnswers(&b, append(append([]Answer{}, r.Answers("A1")...), r.Answers("B-2")...)); err != nil {
		t.Fatal(err)
	}
	again, err := Load(t.Context(), fstest.MapFS{"systems.csv": {Data: []byte(answerSystems)}, "answers.csv": {Data: b.Bytes()}})
	if err != nil {
		t.Fatal(err)
	}
	return again
}

// An answer changes what is judged of its system, and nothing that is worked out before.
func TestAnswersAreOnlyJudgedBy(t *testing.T) {
	without := load(t, map[string]string{"systems.csv": answerSystems})
	with := load(t, map[string]string{"systems.csv": answerSystems, "answers.csv": "finding,date,outcome\nA1/charge-loss/2025-02-03,2025-06-12,confirmed\n"})
	if with.JudgeRows("A1") == without.JudgeRows("A1") || with.FleetRows() == without.FleetRows() {
		t.Error("an answer changes nothing of its system")
	}
	if with.AnalysisRows("A1") != without.AnalysisRows("A1") || with.JudgeRows("B-2") != without.JudgeRows("B-2") {
		t.Error("an answer changes windows, or another system")
	}
}

func TestBadAnswers(t *testing.T) {
	for _, c := range []struct{ name, row, want string }{
		{"no finding", ",2025-06-12,confirmed", "register/answers.csv:2: finding empty, so that nobody knows what is answered; copy it from the report or the table findings: SYSTEM/KIND/DAY, such as Cold-1/charge-loss/2025-02-03"},
		{"no finding's ID", "A1,2025-06-12,confirmed", `register/answers.csv:2: finding "A1": not the ID of a finding; copy it from the report or the table findings: SYSTEM/KIND/DAY, such as Cold-1/charge-loss/2025-02-03`},
		{"no such system", "A2/charge-loss/2025-02-03,2025-06-12,confirmed", `register/answers.csv:2: finding "A2/charge-loss/2025-02-03": system "A2" is not in systems.csv; copy the finding's ID from the report or the table findings`},
		{"no date", "A1/charge-loss/2025-02-03,,confirmed", "register/answers.csv:2: date empty, so that nobody knows which visits came after it; write the day, such as 2026-04-03"},
		{"date in another order", "A1/charge-loss/2025-02-03,12.06.2025,confirmed", `register/answers.csv:2: date "12.06.2025": not a date; write 2025-06-12 or 2025-12-06`},
		{"no outcome", "A1/charge-loss/2025-02-03,2025-06-12,", "register/answers.csv:2: outcome empty, and no quiet_until either; write one of confirmed, other cause, nothing found"},
		{"another outcome", "A1/charge-loss/2025-02-03,2025-06-12,confirmd", `register/answers.csv:2: outcome "confirmd": not a word this column knows; write confirmed`},
		{"quiet before", "A1/charge-loss/2025-02-03,2025-06-12,confirmed,2025-06-11", `register/answers.csv:2: quiet_until "2025-06-11": before date; check both dates`},
		{"twice", "A1/charge-loss/2025-02-03,2025-06-12,confirmed\nA1/charge-loss/2025-02-03,2025-06-12,Confirmed", `register/answers.csv:3: finding "A1/charge-loss/2025-02-03": says the same as line 2; take it out`},
	} {
		r := load(t, map[string]string{"systems.csv": answerSystems, "answers.csv": "finding,date,outcome,quiet_until\n" + c.row + "\n"})
		if got := messages(r); got != c.want && got != c.want+"\n" {
			t.Errorf("%s:\n got %s\nwant %s", c.name, got, c.want)
		}
	}
}
