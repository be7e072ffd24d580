package analysis

import (
	"testing"
	"testing/fstest"
	"time"

	"rimelog/pipeline/dataset"
	"rimelog/pipeline/register"
)

// A month with a retrofit in it is worked out in two parts, each with what was in the
// machine; other months in one.
func TestFillings(t *testing.T) {
	r, err := register.Load(t.Context(), fstest.MapFS{
		"systems.csv": {Data: []byte("system,refrigerant,zone\nA1,R449A,UTC\n")},
		"events.csv":  {Data: []byte("system,date,event,refrigerant\nA1,2020-01-01,install,R404A\nA1,2024-03-10 09:00,retrofit,R449A\n")},
	})
	if err != nil || len(r.Problems) > 0 {
		t.Fatal(err, r.Problems)
	}
	s, system := &Stage{Register: r}, r.Systems[0]
	retrofit := time.Date(2024, 3, 10, 9, 0, 0, 0, time.UTC).UnixMicro()
	for _, c := range []struct {
		month  time.Month
		fluids []string
	}{{2, []string{"R404A"}}, {3, []string{"R404A", "R449A"}}, {4, []string{"R449A"}}} {
		m := dataset.MonthOf(time.Date(2024, c.month, 5, 0, 0, 0, 0, time.UTC).UnixMicro())
		parts := s.fillings(system, m)
		if len(parts) != len(c.fluids) || parts[0].month.From != m.From || parts[len(parts)-1].month.To != m.To {
			t.Fatalf("month %d: %+v", c.month, parts)
		}
		for i, p := range parts {
			if p.system.RefrigerantName != c.fluids[i] {
				t.Errorf("month %d, part %d: %s, want %s", c.month, i, p.system.RefrigerantName, c.fluids[i])
			}
			if i > 0 && (p.month.From != retrofit || parts[i-1].to != retrofit) {
				t.Errorf("month %d is not cut at the retrofit: %+v", c.month, parts)
			}
		}
	}
}
