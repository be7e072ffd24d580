package ingest

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"rimelog/ingest/clock"
	"rimelog/ingest/logtest"
)

// irregular gives the starts of a compressor that runs by its load: no two pauses alike.
func irregular(rng *rand.Rand, n int) (at []int64) {
	t := logtest.Noon.UnixMicro()
	for range n {
		t += int64(200+rng.IntN(500)) * clock.Second
		at = append(at, t)
	}
	return at
}

// The shift that was put in is found again, whatever it is; where starts have nothing
// to do with each other, or come at one beat, nothing is said.
func TestClockOffsetsAreFoundFromStarts(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		a := irregular(rng, 8+rng.IntN(8))
		ahead := int64(rng.IntN(7000)-3500) * clock.Second
		var b []int64
		for i, x := range a {
			if i != 2 { // one that the other did not see
				b = append(b, x+ahead+int64(rng.IntN(3)-1)*clock.Second)
			}
		}
		got, _, ok := clockOffset(a, b, sameMoment)
		if !ok || !near64(got, ahead, 2*clock.Second) {
			t.Errorf("found %d s, %v; put in %d s", got/clock.Second, ok, ahead/clock.Second)
		}
		if got, agree, ok := clockOffset(a, irregular(rng, 12), sameMoment); ok {
			t.Errorf("strangers are %d s apart by %d starts", got/clock.Second, agree)
		}
	}
	var beat []int64
	for i := range 10 {
		beat = append(beat, logtest.Noon.UnixMicro()+int64(i)*300*clock.Second)
	}
	if got, _, ok := clockOffset(beat, beat, sameMoment); ok && got != 0 {
		t.Errorf("a steady beat is %d s apart", got/clock.Second)
	}
}

// cycling is what two loggers write of one compressor: its power, and its pressures by a
// clock that is off. The figures are invented.
func cycling(starts []int64, ahead time.Duration) (power, pressures string) {
	p := strings.Builder{}
	q := strings.Builder{}
	p.WriteString("Time;Power [W]\n")
	q.WriteString("Time;Suction pressure [bar(g)];Discharge pressure [bar(g)]\n")
	for i := range 3600 {
		at := logtest.Noon.Add(time.Duration(2*i) * time.Second)
		on := false
		for _, s := range starts {
			on = on || at.UnixMicro() >= s && at.UnixMicro() < s+150*clock.Second
		}
		w, low, high := 20, 6.5, 7.5
		if on {
			w, low, high = 1800, 2.5, 15.5
		}
		fmt.Fprintf(&p, "%s;%d\n", at.Format(logtest.ISO), w)
		fmt.Fprintf(&q, "%s;%.1f;%.1f\n", at.Add(ahead).Format(logtest.ISO), low, high)
	}
	return p.String(), q.String()
}

func TestALoggerWhoseClockIsOffIsShown(t *testing.T) {
	w := newWorkspace(t)
	w.write("register/systems.csv", "system;zone;altitude_m\nCR-01;UTC;0\n")
	power, pressures := cycling(irregular(rand.New(rand.NewPCG(5, 6)), 12), 37*time.Second)
	w.write("uploads/CR-01/power.csv", power)
	w.write("uploads/CR-01/pressures.csv", pressures)
	w.run()
	find := func() (remedy string) {
		_, problems := w.account()
		for _, p := range problems {
			if strings.Contains(p.Problem, "compressor starts") {
				remedy = p.Remedy
			}
		}
		return remedy
	}
	remedy := find()
	_, line, ok := strings.Cut(remedy, "channels.csv: ")
	if !ok || !strings.Contains(line, "ahead") && !strings.Contains(line, "behind") {
		t.Fatalf("remedy %q", remedy)
	}
	w.write("register/channels.csv", "system,file,column,channel,index,unit,reference,sign,instrument,valid_from,valid_to\n"+line+"\n")
	w.run()
	if again := find(); again != "" {
		t.Errorf("after the line was pasted: %s", again)
	}
	f := w.samples("CR-01", "2025-03")
	both := 0
	for i := range f.Rows() {
		if f.Valid("power_kw").At(i) && f.Valid("suction_pressure_kpa").At(i) {
			both++
		}
	}
	if both < 3500 {
		t.Errorf("%d of %d rows hold both loggers' values", both, f.Rows())
	}
}
