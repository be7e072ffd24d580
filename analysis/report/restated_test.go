package report

import (
	"math"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/say"
	"rimelog/pipeline/register"
	"rimelog/pipeline/table"
)

// presuming is a machine whose register names no refrigerant, with a visit a month of which
// the middle one was worked out anew.
func presuming() System {
	s := System{Register: register.NewSystem("A1"), say: say.Locale{}}
	for k := range 3 {
		s.Visits = append(s.Visits, table.Visit{Start: time.Date(2024, time.Month(1+k), 5, 9, 0, 0, 0, time.UTC), Part: table.Whole, Use: table.UseNone,
			Superheat: math.NaN(), Subcooling: math.NaN(), DischargeSuperheat: math.NaN(), CondenserTD: math.NaN(), EvaporatorTD: math.NaN()})
	}
	anew := s.Visits[1]
	anew.Use, anew.Subcooling, anew.SubcoolingU = table.UseTrend, 4.5, 0.6
	s.Restated = []table.Restated{table.RestatedOf(anew, "R134a")}
	return s
}

func TestWhatAFindingRestsOnIsShown(t *testing.T) {
	s := presuming()
	seen := s.seen()
	if len(seen) != 1 || seen[0].column != "subcooling_k" {
		t.Fatalf("features seen: %v; want subcooling, which table visits hides", seen)
	}
	if c := s.course(seen[0]); len(c.Readings) != 1 || c.Readings[0].Measured != 4.5 || !c.Readings[0].At.Equal(s.Visits[1].Start) {
		t.Errorf("the course shows %+v; want the visit as it was judged", c.Readings)
	}
	if s.used(table.UseTrend) != 1 || s.Visits[1].Use != table.UseNone {
		t.Error("the visit as judged is not counted, or the visit as shown was changed")
	}
	if got := s.presumed(); !strings.Contains(got, "names no refrigerant") || !strings.Contains(got, "R134a (1\u00a0visit)") {
		t.Errorf("said: %s", got)
	}
	if s.Register.RefrigerantName = "R22"; !strings.Contains(s.presumed(), "do not fit the refrigerant that the register names") {
		t.Errorf("said: %s", s.presumed())
	}
	if s.Restated = nil; s.presumed() != "" || len(s.seen()) != 0 {
		t.Error("something is shown that was not worked out anew")
	}
}

// The page says once by which refrigerant a machine is judged: captions do not repeat it, and the
// limits of a finding have it as one, without what to do about it.
func TestWhatIsPresumedIsSaidOnce(t *testing.T) {
	const why = "the register names no refrigerant that is known; until the register is right, visits are judged by R134a, which fits; would fit as well: R450A"
	s := presuming()
	if got := s.besides("few visits; " + why + "; look at the nameplate"); got != "few visits" {
		t.Errorf("a caption says %q", got)
	}
	got := s.limits(table.Finding{LimitedBy: "the subcooler is not in the register; " + why + "; look at the nameplate"})
	if len(got) != 2 || !strings.Contains(got[1], "R134a, which fits; would fit as well: R450A") {
		t.Errorf("limits %q", got)
	}
	if s.Restated = nil; s.besides(why) != why {
		t.Error("a page that does not say it leaves it out")
	}
}
