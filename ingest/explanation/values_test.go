package explanation

import (
	"context"
	"strings"
	"testing"

	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
)

func TestValuesArePrintedAsRead(t *testing.T) {
	reg := logtest.RegisterOf(t, "system;zone;altitude_m\nCR-01;Europe/Berlin;0\n", "")
	file := "Time;Suction pressure [bar(g)];Outdoor temp [°C];Running\n2025-03-04 12:00:00;2,62;-4,5;on\n2025-03-04 12:01:00;;-0,05;off\n"
	var out strings.Builder
	if err := WriteValues(context.Background(), &out, logtest.SourceOf([]byte(file)), "CR-01/a.csv", "u", reg, limits.Options{}); err != nil {
		t.Fatal(err)
	}
	want := "time,suction_pressure_kpa,outdoor_temp_c,running\n" +
		"2025-03-04T11:00:00Z,363.325,-4.500,true\n" +
		"2025-03-04T11:01:00Z,,-0.050,false\n"
	if out.String() != want {
		t.Errorf("got\n%s\nwant\n%s", out.String(), want)
	}
}
