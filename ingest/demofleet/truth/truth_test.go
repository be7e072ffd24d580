package truth

import (
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"
)

var start = time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC)

func after(years float64) time.Time {
	return start.Add(time.Duration(years * 8766 * float64(time.Hour)))
}

// The size of a fault is arithmetic: so much at once, so much a year, at most so
// much, and nothing once it has ended.
func TestEpisodeGrows(t *testing.T) {
	e := Episode{Fault: Leak, Onset: start, PerYear: 0.2, Sudden: 0.05, Most: 0.35, Ended: after(3)}
	for _, c := range []struct{ at, want float64 }{{-0.1, 0}, {0, 0.05}, {0.5, 0.15}, {1, 0.25}, {2.9, 0.35}, {3, 0}} {
		if got := e.Size(after(c.at)); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("after %.1f years: size %.4f, want %.2f", c.at, got, c.want)
		}
	}
}

func TestChargeIsWhatIsLeft(t *testing.T) {
	s := System{RatedCharge: 4, Episodes: []Episode{
		{Fault: Leak, Onset: start, PerYear: 0.1},
		{Fault: Leak, Onset: after(1), Sudden: 0.05},
		{Fault: Overcharge, Onset: start, Sudden: 0.2},
		{Fault: CondenserFouling, Onset: start, Sudden: 0.5},
	}}
	if got, want := s.Charge(after(2)), 4*(1-0.2-0.05+0.2); math.Abs(got-want) > 1e-6 {
		t.Errorf("charge %.4f kg, want %.4f", got, want)
	}
	if got := s.Fault(CondenserFouling, after(2)); got != 0.5 {
		t.Errorf("fouling %.2f, want 0.50", got)
	}
	s.Retrofit = &Retrofit{From: after(3), RatedCharge: 5}
	if got, want := s.Charge(after(3)), 5*(1-0.3-0.05+0.2); math.Abs(got-want) > 1e-6 {
		t.Errorf("charge after the retrofit %.4f kg, want %.4f", got, want)
	}
}

func TestLoadNamesWhatIsWrong(t *testing.T) {
	good := `{"Seed": 1}`
	for name, c := range map[string]struct {
		dir  fstest.MapFS
		want string
	}{
		"nothing there": {fstest.MapFS{}, fleetFile},
		"fleet":         {fstest.MapFS{fleetFile: {Data: []byte("{")}, filesFile: {}}, fleetFile},
		"no files":      {fstest.MapFS{fleetFile: {Data: []byte(good)}}, filesFile},
		"files": {fstest.MapFS{
			fleetFile: {Data: []byte(good)}, filesFile: {Data: []byte("{\"Path\": \"a\"}\n{\"Path\": 3}\n")},
		}, filesFile + ":2"},
	} {
		if _, err := Load(c.dir); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v does not name %s", name, err, c.want)
		}
	}
}
