package read

import (
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
)

// A table without a clock is understood as far as it goes: its lines are data, its
// columns have names, and every value is refused for the same reason.
func TestTablesWithoutAClockAreUnderstood(t *testing.T) {
	for name, tt := range map[string]struct {
		file                   string
		data, header, preamble int64
		columns, refused       int
	}{
		"coefficients":         {"\xEF\xBB\xBFCoefficient;air;water\n0;6,08;9,99\n1;-0,0941;-0,2049\n", 2, 1, 0, 3, 6},
		"words above numbers":  {"id,2010,2011\n7,1,2\n8,3,4\n", 2, 1, 0, 3, 6},
		"words only":           {"name,kind,place\nA,split,roof\nB,rack,cellar\n", 2, 1, 0, 3, 6},
		"a title above":        {"Machines of 2024\n\nname;kW\nA;1,5\nB;2,5\n", 2, 1, 1, 2, 4},
		"time of day, no date": {"weekday;time;-15;-10\n0;00:00;0,03;0,04\n0;01:00;0,03;0,04\n0;02:00;0,03;0,04\n", 3, 1, 0, 4, 9},
		"no start":             {"Elapsed [s],P [bar(g)]\n0.5,1.5\n1.0,1.6\n", 2, 1, 0, 2, 2},
	} {
		t.Run(name, func(t *testing.T) {
			r := readBytes(t, []byte(tt.file), logtest.InZone(time.UTC))
			u := r.Understanding
			if u.DataRows != tt.data || u.HeaderLines != tt.header || u.PreambleLines != tt.preamble || len(u.Columns) != tt.columns {
				t.Errorf("%+v, %d columns", r.Lines, len(u.Columns))
			}
			if r.Values.Refused != int64(tt.refused) || r.Values.Stored != 0 {
				t.Errorf("%+v", r.Values)
			}
			if err := r.Lines.Check(); err != nil {
				t.Error(err)
			}
		})
	}
}

func TestProseIsNoTable(t *testing.T) {
	r := readBytes(t, []byte("The plant ran well.\nNothing, as far as we know, was changed.\nSee you, next year.\n"+strings.Repeat("More prose follows here.\n", 5)), logtest.InZone(time.UTC))
	if r.Lines.Quarantined != 8 {
		t.Errorf("%+v", r.Lines)
	}
}
