package register

import (
	"testing"
	"time"
)

func TestLimits(t *testing.T) {
	r := load(t, map[string]string{"systems.csv": "system,kind\nA1,chiller\nB2,cold room\n", "limits.csv": "system,kind,limit,value,valid_from,valid_to,source\n" +
		"a1,,most discharge temperature,95,,,data sheet\n" +
		",chiller,Most discharge temperature,110,,,\n" +
		",,most discharge temperature,120,,2024-12-31,\n" +
		",,most discharge temperature,115,2025-01-01,,\n" +
		"B2,,most room temperature,-18.5,,,\n"})
	if len(r.Problems) != 0 {
		t.Fatal(messages(r))
	}
	at := func(id string, n LimitName, day time.Time) (v float64) {
		for _, l := range r.Limits(id) {
			if l.Name == n && l.Holds(day) {
				v = l.Value
			}
		}
		return v
	}
	before, after := time.Date(2024, 12, 31, 23, 0, 0, 0, time.UTC), time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		id   string
		name LimitName
		on   time.Time
		want float64
	}{
		{"A1", MostDischargeTemp, after, 95}, {"B2", MostDischargeTemp, before, 120}, {"B2", MostDischargeTemp, after, 115},
		{"B2", MostRoomTemp, after, -18.5}, {"A1", MostRoomTemp, after, 0},
	} {
		if got := at(c.id, c.name, c.on); got != c.want {
			t.Errorf("%s: %s on %v is %v, want %v", c.id, c.name, c.on, got, c.want)
		}
	}
}

func TestBadLimits(t *testing.T) {
	for _, c := range []struct{ name, row, want string }{
		{"no limit", "A1,,,3,,", "register/limits.csv:2: limit empty; write one of least superheat, least hot gas superheat, most discharge temperature, most pressure ratio, least subcooling, most valve opening, most starts, most room temperature\n"},
		{"another limit", "A1,,most start,3,,", "register/limits.csv:2: limit \"most start\": not a word this column knows; write most starts\n"},
		{"no value", "A1,,most starts,,,", "register/limits.csv:2: value empty; write the limit\n"},
		{"too far", "A1,,most discharge temperature,225,,\nA1,,most discharge temperature,437,,", "register/limits.csv:3: value \"437\": outside 40 to 250 °C, for most discharge temperature; check the number and its unit\n"},
		{"no such system", "A2,,most starts,3,,", "register/limits.csv:2: system \"A2\": not in systems.csv; add it to systems.csv\n"},
		{"dates", "A1,,most starts,3,2025-01-01,2024-01-01", "register/limits.csv:2: valid_to \"2024-01-01\": before valid_from; check both dates\n"},
	} {
		r := load(t, map[string]string{"systems.csv": twoSystems, "limits.csv": "system,kind,limit,value,valid_from,valid_to\n" + c.row + "\n"})
		if got := messages(r); got != c.want {
			t.Errorf("%s:\n got %swant %s", c.name, got, c.want)
		}
	}
}
