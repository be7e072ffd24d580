package ingest

import (
	"strings"
	"testing"

	"rimelog/ingest/logtest"
)

// A file that nobody claims is shown beside the systems whose files it looks like; it
// still waits.
func TestAnUnclaimedFileNamesTheNearestSystems(t *testing.T) {
	w := newWorkspace(t)
	w.write("register/systems.csv", "system;zone;altitude_m;refrigerant\nCR-01;UTC;0;R134a\nCR-02;UTC;540;R404A\n")
	head := "Refrigerant: R404A\nTime;Suction pressure [bar(g)];Discharge pressure [bar(g)]"
	w.write("uploads/CR-02/a.csv", logtest.Stamped(head, "2025-03-25 12:%02d:00;2.5;15.5"))
	w.write("uploads/CR-01/b.csv", logtest.Stamped("Time;Suction pressure [bar(g)];Discharge pressure [bar(g)]", "2025-03-25 12:%02d:00;0.9;8.5"))
	w.write("uploads/inbox/c.csv", logtest.Stamped(head, "2025-04-25 12:%02d:00;2.6;14.9"))
	w.run()
	uploads, _ := w.account()
	for _, u := range uploads {
		if u.Path != "inbox/c.csv" {
			continue
		}
		for _, want := range []string{"it looks most like CR-02 (R404A, the columns of its files, its pressures, near 250 and 1550 kPa), then CR-01 (the columns of its files)", "channels.csv: CR-02,inbox/c.csv"} {
			if u.Status != statusWaiting || !strings.Contains(u.Reason, want) {
				t.Errorf("%s: %s, want %s", u.Status, u.Reason, want)
			}
		}
	}
}
