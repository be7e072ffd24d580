package score

import (
	"strings"
	"testing"
	"testing/fstest"

	"rimelog/ingest/demofleet/truth"
)

func TestPointsAreReadByName(t *testing.T) {
	folder := fstest.MapFS{
		"good.csv": {Data: []byte("time,subcooling_k,news,suction_superheat_k,level,outdoor_c,source_c,sink_c\n2024-01-01T10:00:00Z,4.5,x,6.25,0.5,7,8,9\n2024-01-01T09:00:00Z,4,x,6,0,0,0,0\n2024-01-01T10:00:00Z,4.5,x,6.25,0.5,7,8,9\n")},
		"bad.csv":  {Data: []byte("time,subcooling_k\n2024-01-01T10:00:00Z,4.5\n2024-01-01T10:05:00Z,four\n")},
		"none.csv": {},
	}
	list, err := points(folder, "good.csv")
	if err != nil || len(list) != 2 {
		t.Fatalf("got %v, %v; want two points", list, err)
	}
	if p := list[1]; p.Subcooling != 4.5 || p.SuctionSuperheat != 6.25 || p.Time.Hour() != 10 {
		t.Errorf("got %+v, want 4.5 K and 6.25 K at 10 h", p)
	}
	if p := list[1]; p.Level != 0.5 || p.Outdoor != 7 || p.Source != 8 || p.Sink != 9 {
		t.Errorf("got %+v, want half a receiver at 7, 8 and 9 °C", p)
	}
	if list, err := points(folder, "never-logged.csv"); err != nil || list != nil {
		t.Errorf("a system that was never logged: got %v, %v; want nothing", list, err)
	}
	for name, want := range map[string]string{"bad.csv": "bad.csv:3", "none.csv": "none.csv: no header"} {
		if _, err := points(folder, name); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want %q in it", name, err, want)
		}
	}
}

// Between knots true values go evenly; nothing is said of what lies between two logs.
func TestTrueValuesBetweenKnots(t *testing.T) {
	s := view{Observed: Observed{Points: []truth.Point{
		{Time: on(0), Subcooling: 4}, {Time: on(0).Add(farthest), Subcooling: 6}, {Time: on(1), Subcooling: 8},
	}}}
	near(t, "half way", Number(s.at(trueSubcooling, on(0).Add(farthest/2))), 5, 1e-9)
	near(t, "mean", Number(s.mean(trueSubcooling, on(0), on(0).Add(farthest))), 5, 1e-9)
	missing(t, "between logs", Number(s.at(trueSubcooling, on(0.5))))
	missing(t, "before the first", Number(s.at(trueSubcooling, on(-1))))
}
