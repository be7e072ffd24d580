package steady

import (
	"bufio"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"rimelog/analysis/cycle"
)

// A story is a log in words, and what is found in it. Each line is one leg:
//
//	every 10s                          spacing of the samples from here on
//	off 10m                            the compressor stands
//	on 30m sh=6 swing=2/85s drift=0.1  it runs: superheat, its swing and period,
//	                                   its drift in K per minute; noise in K
//	gap 5h                             nothing is logged
//
// After a line of dashes follows what Cut must find: a line per stay with its
// running minutes, then per grade the count of windows, the spread of their mean
// superheat, the first window's start in minutes from the stay's, and the period.
func TestStories(t *testing.T) {
	files, err := filepath.Glob("testdata/*.story")
	if err != nil || len(files) == 0 {
		t.Fatalf("no stories: %v", err)
	}
	for _, name := range files {
		t.Run(filepath.Base(name), func(t *testing.T) {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			story, want, found := strings.Cut(string(text), "----\n")
			if !found {
				t.Fatal("no line of dashes")
			}
			stays, windows := Cut(tell(t, story), nil, Options{})
			if got := told(stays, windows); got != want {
				t.Errorf("got\n%swant\n%s", got, want)
			}
		})
	}
}

// tell turns a story into samples from 2024-05-01 12:00 UTC on.
func tell(t testing.TB, story string) *cycle.Columns {
	t.Helper()
	w := &teller{at: time.Date(2024, 5, 1, 12, 0, 0, 0, time.UTC), every: 10 * time.Second, rng: rand.New(rand.NewPCG(1, 1))}
	lines := bufio.NewScanner(strings.NewReader(story))
	for lines.Scan() {
		words := strings.Fields(lines.Text())
		if len(words) < 2 || words[0] == "#" {
			continue
		}
		d, err := time.ParseDuration(words[1])
		if err != nil {
			t.Fatalf("%q: %v", lines.Text(), err)
		}
		w.leg(t, words[0], d, words[2:])
	}
	return &w.c
}

type teller struct {
	c     cycle.Columns
	at    time.Time
	every time.Duration
	rng   *rand.Rand
}

func (w *teller) leg(t testing.TB, kind string, d time.Duration, traits []string) {
	switch kind {
	case "every":
		w.every = d
	case "gap":
		w.at = w.at.Add(d)
	case "on", "off":
		p := map[string]float64{"sh": 6, "sc": 5, "power": 3, "period": 85, "noise": 0.1}
		for _, word := range traits {
			for name, v := range trait(t, word) {
				p[name] = v
			}
		}
		for end := w.at.Add(d); w.at.Before(end); w.at = w.at.Add(w.every) {
			w.sample(kind == "on", d-end.Sub(w.at), p)
		}
	default:
		t.Fatalf("no leg is called %q", kind)
	}
}

func trait(t testing.TB, word string) map[string]float64 {
	name, text, _ := strings.Cut(word, "=")
	value, period, swings := strings.Cut(text, "/")
	v, err := strconv.ParseFloat(value, 64)
	if err != nil {
		t.Fatalf("%q: %v", word, err)
	}
	out := map[string]float64{name: v}
	if swings {
		d, err := time.ParseDuration(period)
		if err != nil {
			t.Fatalf("%q: %v", word, err)
		}
		out["period"] = d.Seconds()
	}
	return out
}

func (w *teller) sample(on bool, since time.Duration, p map[string]float64) {
	put := func(q cycle.Quantity, v float64) { w.c.Values[q] = append(w.c.Values[q], v) }
	power, ratio := p["power"], 3.5
	if !on {
		power, ratio = 0.01, 1.0
	}
	noise := p["noise"] * w.rng.NormFloat64()
	swing := p["swing"] * math.Sin(2*math.Pi*since.Seconds()/p["period"])
	w.c.Time = append(w.c.Time, w.at.UnixMicro())
	put(cycle.Power, power)
	put(cycle.PressureRatio, ratio)
	put(cycle.Superheat, p["sh"]+swing+p["drift"]*since.Minutes()+noise)
	put(cycle.Subcooling, p["sc"]+noise/2)
	put(cycle.Evaporating, -5-swing/4)
}

func told(stays []Stay, windows []*Window) string {
	var b strings.Builder
	for _, s := range stays {
		fmt.Fprintf(&b, "stay of %d samples, %.0f min running by %s, %d transient\n", s.Samples, s.Running, s.By, s.Transient)
		for _, g := range []Grade{Steady, Oscillating, Spot} {
			var n, provisional int
			lo, hi, period, first := math.Inf(1), math.Inf(-1), math.NaN(), int64(0)
			for _, w := range windows {
				if w.Grade != g || w.Start < s.Start || w.Start > s.End {
					continue
				}
				if n == 0 {
					first, period = w.Start, w.Period
				}
				n++
				if w.Provisional {
					provisional++
				}
				lo, hi = math.Min(lo, w.Mean[cycle.Superheat]), math.Max(hi, w.Mean[cycle.Superheat])
			}
			if n > 0 {
				fmt.Fprintf(&b, "  %d %s (%d provisional) from minute %.1f, superheat %.1f to %.1f, period %.0f s\n",
					n, g, provisional, float64(first-s.Start)/60e6, lo, hi, period)
			}
		}
	}
	return b.String()
}
