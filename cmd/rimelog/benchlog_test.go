package main

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"rimelog/pipeline/frame"
	"rimelog/pipeline/table"
)

// A laboratory log as a bench writes it: lines with #, fixed columns parted by
// blanks, exponents, seconds since a start that stands in a comment with a zone
// abbreviation, an expansion valve that hunts. The rows are invented.
func benchLog(seconds float64) string {
	var b strings.Builder
	b.WriteString("# Run number  3 on Tue 2025-06-17T14:20:10 BST\n")
	b.WriteString("# Time (s)      W1 (C)        W2 (C)        S (C)         D (C)         L (C)         PL (bar)      PH (bar)      Q (l/min)\n")
	for t := 0.25; t < seconds; t += 0.5 {
		hunt := math.Sin(2 * math.Pi * t / 85)
		for _, v := range []float64{t, 40, 47.5, 12.1 + 2*hunt, 75, 45.3, 4.15, 14.5, 10} {
			fmt.Fprintf(&b, " %.4E   ", v)
		}
		b.WriteString("\n")
	}
	return b.String()
}

var benchRegister = map[string]string{
	"register/systems.csv": "system,refrigerant,zone\nRig,R134a,Europe/London\n",
	"register/channels.csv": `system,column,channel,unit,reference
Rig,W1,sink_inlet_temp,,
Rig,W2,sink_outlet_temp,,
Rig,S,suction_temp,,
Rig,D,discharge_temp,,
Rig,L,liquid_temp,,
Rig,PL,suction_pressure,bar,absolute
Rig,PH,discharge_pressure,bar,absolute
Rig,Q,sink_flow,l/min,
`,
}

// The whole job runs on a bench log, from its blanks to the page; four minutes
// are too few to judge a trend, and the page says so.
func TestBenchLogFromBlanksToThePage(t *testing.T) {
	folder := t.TempDir()
	put(t, folder, benchRegister)
	put(t, folder, map[string]string{"uploads/Rig/run-3.txt": benchLog(255)})
	var out, errOut bytes.Buffer
	if code := run(t.Context(), []string{"run", "-workspace", folder}, &out, &errOut); code != exitDone {
		t.Fatalf("exit code %d\n%s%s", code, out.String(), errOut.String())
	}
	v := onlyVisit(t, folder, "Rig")
	// British Summer Time is UTC+1 in June 2025 (IANA time zone database).
	if want := time.Date(2025, 6, 17, 13, 20, 10, 250e6, time.UTC); !v.Start.Equal(want) {
		t.Errorf("the log starts at %s, want %s", v.Start, want)
	}
	if v.Use == "trend" {
		t.Error("four minutes are used for trends")
	}
	// Heat to water by hand: 10 l/min of water at 43.75 °C, 990.8 kg/m³ and
	// 4.180 kJ/(kg K) (IAPWS-95 by CoolProp 8.0.0), warmed by 7.5 K: 5.18 kW.
	near(t, "water-side heat", v.SinkHeat, 5.18, 0.03)
	// R134a saturates at 10.03 °C at 4.15 bar and at 53.85 °C at 14.5 bar
	// (Tillner-Roth & Baehr 1994 by CoolProp 8.0.0); the hunting averages out to within
	// the third of a period that the log has left over.
	near(t, "superheat", v.Superheat, 12.1-10.03, 0.3)
	near(t, "subcooling", v.Subcooling, 53.85-45.3, 0.1)
	page, err := os.ReadFile(filepath.Join(folder, "report", "system", "Rig.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"too short to judge a trend", "heat to the condenser&#39;s water", "5.2\u00a0kw"} {
		if !strings.Contains(strings.ToLower(string(page)), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s is %.3f, want %.3f within %g", what, got, want, tol)
	}
}

func onlyVisit(t *testing.T, folder, system string) table.Visit {
	t.Helper()
	f, err := opened(t, folder).data.ReadTable(t.Context(), table.Visits().Path(system, ""))
	if err != nil {
		t.Fatal(err)
	}
	visits, err := frame.Rows[table.Visit](f)
	if err != nil || len(visits) != 1 {
		t.Fatalf("%d visits, %v; want one", len(visits), err)
	}
	return visits[0]
}
