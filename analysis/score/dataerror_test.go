package score

import (
	"testing"
	"time"

	"rimelog/ingest/demofleet/truth"
	"rimelog/pipeline/table"
)

// Another system's log lies in a folder. That the log after it has other instruments is so; that
// the stranger was not seen is a mistake of its own. At other logs the same words are wrong.
func TestOtherInstrumentsThanAStrangers(t *testing.T) {
	log := func(day int, path, system, kit string, made ...truth.Mistake) truth.File {
		at := time.Date(2025, 1, day, 9, 0, 0, 0, time.UTC)
		return truth.File{Path: path, System: system, Kit: kit, Logger: "a logger", Start: at, End: at.Add(time.Hour), Mistakes: made}
	}
	w := witnessOf(truth.Fleet{Files: []truth.File{
		log(1, "CR-01/1.csv", "CR-01", "A"), log(2, "CR-01/x.csv", "CR-02", "B", truth.Mistake{ID: "D32"}), log(3, "CR-01/3.csv", "CR-01", "A"),
		log(4, "CR-01/4.csv", "CR-01", "A"), log(5, "CR-01/5.csv", "CR-01", "C", truth.Mistake{ID: "D24"}),
	}})
	for path, scored := range map[string]bool{"CR-01/3.csv": false, "CR-01/4.csv": true, "CR-01/5.csv": true} {
		p := table.Problem{Place: "uploads/" + path, System: "CR-01", Rule: "D24"}
		if got := w.stands(p, "D24", path); got != scored {
			t.Errorf("other instruments said of %s: scored %v, want %v", path, got, scored)
		}
	}
}

// A power meter that stays wrong is wrong in every file until it is mended, and only there.
func TestAMeterThatStaysWrongIsWrongInEveryFile(t *testing.T) {
	day := func(d int) time.Time { return time.Date(2025, 1, d, 0, 0, 0, 0, time.UTC) }
	log := func(path, kit string, from, to int, made ...truth.Mistake) truth.File {
		return truth.File{Path: path, System: "CR-01", Logger: "a logger", Kit: kit, Start: day(from), End: day(to), Mistakes: made}
	}
	f := truth.Fleet{
		Systems: []truth.System{{ID: "CR-01", MeterErrors: []truth.MeterError{
			{What: "one phase of three measured", From: day(4), To: day(12)}, {What: "energy counter runs backwards", From: day(1), To: day(28)},
		}}},
		Files: []truth.File{
			log("before", "P", 1, 3), log("begins", "P", 3, 6, truth.Mistake{ID: "D28"}), log("by hand", "V", 7, 8),
			log("lasts", "P", 6, 9), log("ends", "P", 9, 14), log("mended", "P", 14, 18),
		},
	}
	made := made(f)
	for path, want := range map[string]bool{"before": false, "begins": true, "by hand": false, "lasts": true, "ends": true, "mended": false} {
		if got := made[slip{path, "D28"}]; got != want {
			t.Errorf("%s: %v, want %v", path, got, want)
		}
	}
}
