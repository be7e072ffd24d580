package explanation

import (
	"context"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/limits"
	"rimelog/ingest/logtest"
)

func TestExplainSaysWhatWasDecidedAndWhatIsOpen(t *testing.T) {
	rows := logtest.Truths(40, logtest.Noon, time.Minute)
	file := "Logger: L-7\n" + strings.ReplaceAll(logtest.WithDelim(";")+logtest.CSVTable(rows, ";", ",", "02.01.2006 15:04:05", time.UTC), "bar(g)", "bar") + "Mean;2,6;35,2;1195\n"
	explains(t, file,
		"belongs to CR-01", "cells parted by ;", `decimal mark ","`, "40 data, 1 header, 1 preamble, 1 footer", "dates day first", "zone Europe/Berlin",
		"liquid_temp, °C", "and are read as:", "2025-03-04T11:00:00Z,35.200,1.195", "open: nothing says whether", "CR-01,,Suction pressure [bar],suction_pressure,,,gauge", rows[0].Utc.Format("02.01.2006"),
	)
}

// A column of which nobody knows what it is goes by its name in the line that would say so.
func TestExplainSaysHowToUseAnUnknownColumn(t *testing.T) {
	file := "Time,Suction pressure [bar(g)],Zz 7 C\n" + strings.Repeat("2025-03-04 12:00:00,2.6,15.1\n", 20)
	explains(t, file, "kept, and used for nothing: 1 of the columns", "register/channels.csv: CR-01,,Zz 7 C,CHANNEL,,UNIT,")
}

// explains tells that the explanation of a file of CR-01 in Berlin says all that is wanted.
func explains(t *testing.T, file string, wanted ...string) {
	t.Helper()
	reg := logtest.RegisterOf(t, "system;zone;altitude_m\nCR-01;Europe/Berlin;0\n", "")
	e, err := Of(context.Background(), logtest.SourceOf([]byte(file)), "CR-01/a.csv", "cafe", reg, limits.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	if err := e.Print(&out); err != nil {
		t.Fatal(err)
	}
	for _, want := range wanted {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the explanation lacks %q:\n%s", want, out.String())
		}
	}
}
