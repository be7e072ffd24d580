package read

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/logtest"
)

// twoReadouts is a file whose second half stands below another header. Its rows are
// invented: suction near 5 °C, discharge near 75 °C.
func twoReadouts(first, again, end string, swapped bool) string {
	var b strings.Builder
	b.WriteString(first)
	for i := range 40 {
		low, high := fmt.Sprintf("%d.5", 2+i%5), fmt.Sprintf("%d.5", 70+i%5)
		if i == 20 {
			b.WriteString(again)
		}
		if i >= 20 && swapped {
			low, high = high, low
		}
		fmt.Fprintf(&b, "2025-03-25 12:%02d:00;%s;%s%s\n", i, low, high, end)
	}
	return b.String()
}

func TestColumnsInAnotherOrderAreTakenByName(t *testing.T) {
	for name, file := range map[string]string{
		"units in the names":       twoReadouts("Time;Suction temp [°C];Discharge temp [°C]\n", "Time;Discharge temp [°C];Suction temp [°C]\n", "", true),
		"a delimiter ends lines":   twoReadouts("Time;Suction temp [°C];Discharge temp [°C]\n", "Time;Discharge temp [°C];Suction temp [°C]\n", ";", true),
		"a row of units":           twoReadouts("Time;Suction temp;Discharge temp\n;°C;°C\n", "Time;Discharge temp;Suction temp\n;°C;°C\n", "", true),
		"and one of processing":    twoReadouts("Time;Suction temp;Discharge temp\n;°C;°C\n;Avg;Max\n", "Time;Discharge temp;Suction temp\n;°C;°C\n;Max;Avg\n", "", true),
		"text before, then header": twoReadouts("Time;Suction temp [°C];Discharge temp [°C]\n", "Readout 2\n\nTime;Discharge temp [°C];Suction temp [°C]\n", "", true),
		"the same order again":     twoReadouts("Time;Suction temp;Discharge temp\n;°C;°C\n", "Time;Suction temp;Discharge temp\n;°C;°C\n", "", false),
		"only the units again":     twoReadouts("Time;Suction temp;Discharge temp\n;°C;°C\n", ";°C;°C\n", "", false),
	} {
		t.Run(name, func(t *testing.T) {
			r := readBytes(t, []byte(file), logtest.InZone(time.UTC))
			if r.Lines.Data != 40 || r.Values.Stored != 80 {
				t.Fatalf("%+v %+v", r.Lines, r.Values)
			}
			suction, _ := r.Parts[0].Samples.Fixed32("suction_temp_c")
			discharge, _ := r.Parts[0].Samples.Fixed32("discharge_temp_c")
			for i := range suction {
				if suction[i] > 10_000 || discharge[i] < 60_000 {
					t.Fatalf("row %d: suction %d, discharge %d", i, suction[i], discharge[i])
				}
			}
		})
	}
}

// Lines below a row of units that changed, or below names in another order without
// their units, can be taken for what they are, or not at all.
func TestAChangedUnitsRowIsAnotherHeader(t *testing.T) {
	for again, stored := range map[string]int64{"Time;Suction temp;Discharge temp\n;°F;°F\n": 80, ";°F;°F\n": 40, "Time;Discharge temp;Suction temp\n": 40} {
		r := readBytes(t, []byte(twoReadouts("Time;Suction temp;Discharge temp\n;°C;°C\n", again, "", false)), logtest.InZone(time.UTC))
		if r.Values.Stored != stored {
			t.Errorf("%q: %+v %+v", again, r.Lines, r.Values)
		}
	}
}
